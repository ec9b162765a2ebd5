/*
 * Drawings that follow a state. An element with data-when="NAME: VALUE, VALUE; NAME: VALUE" shows while every NAME has one of its values;
 * a name without a value counts as `unseen`. The style hides what has data-off.
 */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /** Rules as they were read; a drawing asks for the same ones at every move. */
  const read = new Map();

  /** @param {string} rule @returns {{name: string, wanted: string[]}[]} */
  function conditions(rule) {
    if (!read.has(rule)) {
      const parts = rule.split(";").map((condition) => {
        const colon = condition.indexOf(":");
        return { name: condition.slice(0, colon).trim(), wanted: condition.slice(colon + 1).split(",").map((one) => one.trim()) };
      });
      read.set(rule, parts);
    }
    return read.get(rule);
  }

  /** @param {string} rule @param {Record<string, string | number | null>} values */
  function met(rule, values) {
    return conditions(rule).every(({ name, wanted }) => {
      const value = Object.hasOwn(values, name) ? values[name] : null;
      return wanted.includes(value === null || value === undefined ? "unseen" : String(value));
    });
  }

  PITWRIGHT.bound = {
    met,

    /** Every name that something in a drawing follows. @param {Element} svg @returns {Set<string>} */
    names(svg) {
      const rules = Array.from(svg.querySelectorAll("[data-when]"), (element) => conditions(element.dataset.when));
      return new Set(rules.flat().map(({ name }) => name));
    },

    /** Shows and hides the elements of a drawing by what holds now. */
    apply(svg, values) {
      for (const element of svg.querySelectorAll("[data-when]")) {
        element.toggleAttribute("data-off", !met(element.dataset.when, values));
      }
    },
  };
})(globalThis);
