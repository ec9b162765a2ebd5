/* The job sheet's print button; without script the browser's own menu prints as well. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  PITWRIGHT.part("print", (element) => {
    element.hidden = false;
    element.addEventListener("click", () => global.print());
  });
})(globalThis);
