/*
 * What is pressed before a page's other scripts run is kept, and pressed once they do: a page can be used from its first picture on.
 * Stands in the head of every page. A press that waits so carries data-early. Its value is empty, or names what stands in its place when
 * the scripts have run (a selector); if that is not there, the page is another than was pressed, and nothing is.
 */
(function (global) {
  "use strict";
  const { document } = global;
  let pressed = null;

  function keep({ target }) {
    const press = target.closest("[data-early]");
    if (!press) return;
    if (pressed) pressed.removeAttribute("data-pressed");
    pressed = press;
    pressed.setAttribute("data-pressed", "");
  }
  document.addEventListener("click", keep, true);

  // Whoever loads a page again, or comes back to it, is led by the browser to where they were: all of it is laid out at once (style/far.css).
  const [way] = global.performance.getEntriesByType("navigation");
  if (way && way.type !== "navigate") document.documentElement.dataset.whole = "";

  /** Called when the scripts have run. */
  global.PITWRIGHT_EARLY = () => {
    document.removeEventListener("click", keep, true);
    if (!pressed) return;
    pressed.removeAttribute("data-pressed");
    const { early } = pressed.dataset;
    const now = early ? document.querySelector(early) : pressed;
    if (now && now.isConnected) now.click();
  };
})(globalThis);
