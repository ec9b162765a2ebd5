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
    function near(blocks) {
      if (blocks.length === 0) {
        lesson.dataset.far = "none";
        return;
      }
      blocks[0].dataset.near = "";
      soon(() => near(blocks.slice(1)));
    }
    // The style alone says what is far.
    const isFar = (block) => global.getComputedStyle(block).contentVisibility === "auto";
    soon(() => near([...lesson.querySelectorAll(":scope > *, :scope > .body > *")].filter(isFar)));
  });
})(globalThis);
