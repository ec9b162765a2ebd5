/* Drawings bound to values: an element with `data-when="sweep: guard, up; cup.3: two"` shows only while that is so. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /** What an element is bound to. @param {string} when @returns {{name: string, values: string[]}[]} */
  const clauses = (when) =>
    when.split(";").map((clause) => {
      const at = clause.indexOf(":");
      return { name: clause.slice(0, at).trim(), values: clause.slice(at + 1).split(",").map((value) => value.trim()) };
    });

  /**
   * Shows and hides what is bound in a drawing.
   * @param {Element} svg
   * @param {Map<string, string>} values by name; a name that is not there is `unseen`
   */
  function apply(svg, values) {
    for (const element of svg.querySelectorAll("[data-when]")) {
      const shows = clauses(element.dataset.when).every(({ name, values: due }) => due.includes(values.get(name) || "unseen"));
      if (shows) element.removeAttribute("display");
      else element.setAttribute("display", "none");
    }
  }

  /** Every name that something in a drawing is bound to. @param {Element} svg @returns {Set<string>} */
  const names = (svg) =>
    new Set(Array.from(svg.querySelectorAll("[data-when]")).flatMap((element) => clauses(element.dataset.when).map(({ name }) => name)));

  PITWRIGHT.bound = { apply, names };
})(globalThis);
