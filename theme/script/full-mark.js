/* What a fully right answer earns. Every page that reads a record needs it; only pages that mark need the rest of mark.js. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /** Parts that a fully right answer earns: the least common multiple of 1 to 10, so that shares stay whole numbers. */
  PITWRIGHT.FULL = 2520;
})(globalThis);
