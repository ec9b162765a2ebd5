/* Every page has the outline of the marking. What a page needs whole comes with its own data and is put in its place here. */
(function (global) {
  "use strict";
  const { marking, whole = {} } = global.PITWRIGHT;

  for (const [list, items] of Object.entries(whole)) {
    for (const item of items) {
      const known = marking[list].find((one) => (item.id === undefined ? one.lesson === item.lesson : one.id === item.id));
      if (known) Object.assign(known, item);
      else marking[list].push(item);
    }
  }
})(globalThis);
