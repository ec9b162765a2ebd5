/*
 * What a lesson left for later (style/far.css) is laid out once the page can be used, block by block, while there is nothing else to do: of
 * what is not laid out a screen reader is told nothing (tried in Chromium 156: headings without their words).
 */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  /** However busy a page is, it takes no longer than this for each block, in milliseconds. */
  const AT_MOST = 200;
  const soon = global.requestIdleCallback ? (work) => global.requestIdleCallback(work, { timeout: AT_MOST }) : (work) => global.setTimeout(work, 0);

  PITWRIGHT.part("far", (lesson) => {
    const blocks = lesson.querySelectorAll(":scope > .signs, :scope > .lesson-end, :scope > .body > *");
    function near(at) {
      if (at === blocks.length) {
        lesson.dataset.far = "none";
        return;
      }
      blocks[at].dataset.near = "";
      soon(() => near(at + 1));
    }
    soon(() => near(0));
  });
})(globalThis);
