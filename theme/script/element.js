/* Making elements. Text goes in as text; only the course's own rendered HTML goes in as HTML. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});
  const { document } = global;

  /**
   * @param {string} tag
   * @param {Record<string, string | number | boolean | EventListener | null>} [attributes] true: present; false or null:
   *   absent; a function under "onNAME" is added as a listener
   * @param {...(Node | string | null | (Node | string | null)[])} children
   */
  function make(tag, attributes = {}, ...children) {
    const element = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) {
      if (typeof value === "function") element.addEventListener(name.slice(2), value);
      else if (value === true) element.setAttribute(name, "");
      else if (value !== false && value !== null) element.setAttribute(name, String(value));
    }
    element.append(...children.flat().filter((child) => child !== null));
    return element;
  }

  /**
   * An element around HTML that the compiler rendered from the course's own sources. Never for anything typed or brought in.
   * @param {string} tag @param {Record<string, string>} attributes @param {string} html
   */
  function makeRendered(tag, attributes, html) {
    const element = make(tag, attributes);
    element.innerHTML = html;
    return element;
  }

  /** Puts the focus on an element that has no focus of its own, such as a heading. */
  function focusOn(element) {
    element.tabIndex = -1;
    element.focus();
    element.scrollIntoView({ block: "start" });
  }

  /**
   * Before an element is drawn anew: notes whether the focus is inside. Call the answer afterwards, and the focus, if it
   * was, goes to what now stands first.
   * @param {HTMLElement} element
   */
  function focusKept(element) {
    const inside = element.contains(document.activeElement);
    return () => {
      const first = element.querySelector("h1, h2, button, a, p");
      if (!inside || !first || element.contains(document.activeElement)) return;
      if (!first.matches("button, a")) first.tabIndex = -1;
      first.focus({ preventScroll: true });
    };
  }

  /**
   * Lets a button do its work once at a time. It is not disabled meanwhile, because that would lose the focus.
   * @param {HTMLElement} button
   * @param {() => Promise<void>} work
   */
  async function pressed(button, work) {
    if (button.getAttribute("aria-disabled") === "true") return;
    button.setAttribute("aria-disabled", "true");
    try {
      await work();
    } finally {
      button.removeAttribute("aria-disabled");
    }
  }

  Object.assign(PITWRIGHT, { make, makeRendered, focusOn, focusKept, pressed });
})(globalThis);
