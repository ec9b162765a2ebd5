/* The page of parts keeps nothing: what its examples write is gone with the page, and the record is not even opened. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  const memory = PITWRIGHT.memory.open();
  memory.setWho("E-7");
  PITWRIGHT.keeper = { ...memory, state: Promise.resolve({ kept: true, why: "" }) };
})(globalThis);
