/*
 * Drawings that follow a state. An element with data-when="NAME: VALUE, VALUE; NAME: VALUE" shows while every NAME has one of its values;
 * a name without a value counts as `unseen`. The style hides what has data-off.
 */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /** @param {string} rule @param {Record<string, string | number | null>} values */
  function met(rule, values) {
    return rule.split(";").every((condition) => {
      const colon = condition.indexOf(":");
      const name = condition.slice(0, colon).trim();
      const value = Object.hasOwn(values, name) ? values[name] : null;
      const wanted = condition.slice(colon + 1).split(",").map((one) => one.trim());
      return wanted.includes(value === null || value === undefined ? "unseen" : String(value));
    });
  }

  PITWRIGHT.bound = {
    met,

    /** Every name that something in a drawing follows. @param {Element} svg @returns {Set<string>} */
    names(svg) {
      const rules = Array.from(svg.querySelectorAll("[data-when]"), (element) => element.dataset.when.split(";"));
      return new Set(rules.flat().map((condition) => condition.slice(0, condition.indexOf(":")).trim()));
    },

    /** Shows and hides the elements of a drawing by what holds now. */
    apply(svg, values) {
      for (const element of svg.querySelectorAll("[data-when]")) {
        element.toggleAttribute("data-off", !met(element.dataset.when, values));
      }
    },
  };
})(globalThis);
