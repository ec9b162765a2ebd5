/* Parts of a page that a script brings to life. One that fails says so in its place; the others go on. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /** @type {{name: string, start: (element: HTMLElement) => void | Promise<void>}[]} */
  const parts = [];

  /**
   * @param {string} name the value of data-part on the elements that it brings to life
   * @param {(element: HTMLElement) => void | Promise<void>} start
   */
  function part(name, start) {
    parts.push({ name, start });
  }

  /** Runs `work`; what it throws is told in `element` and nowhere else. */
  async function guarded(element, work) {
    try {
      await work();
    } catch (error) {
      global.console.error(error);
      const told = PITWRIGHT.make("p", { class: "part-failed", role: "alert" }, PITWRIGHT.word("part_failed", { why: error.message }));
      element.hidden = false;
      element.append(told);
    }
  }

  /** Starts every part that this page has. */
  function startParts() {
    for (const { name, start } of parts) {
      // Parts of a drawing are called so too, and are nobody's work here.
      for (const element of global.document.querySelectorAll(`[data-part="${name}"]:not(svg *)`)) {
        guarded(element, () => start(element));
      }
    }
  }

  Object.assign(PITWRIGHT, { part, guarded, startParts });
})(globalThis);
