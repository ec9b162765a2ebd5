/* A response's text ↔ the ids in it, as xAPI 1.0.3 writes several: [,] between the parts of a list, [.] within a pair. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  const LIST = "[,]";
  const PAIR = "[.]";

  /** @param {string[]} ids in the order that counts */
  const order = (ids) => ids.join(LIST);

  /** @param {string[]} ids in whatever order */
  const set = (ids) => order(ids.slice().sort());

  /** @param {{left: string, right: string}[]} pairs in the order of the left side */
  const pairs = (pairs) => order(pairs.map(({ left, right }) => left + PAIR + right));

  /** @param {string} response @returns {string[]} */
  const ids = (response) => response.split(LIST);

  /** @param {string} response @returns {{left: string, right: string}[]} a part that is no pair has an empty right side */
  const sides = (response) =>
    ids(response).map((pair) => {
      const at = pair.indexOf(PAIR);
      return at < 0 ? { left: pair, right: "" } : { left: pair.slice(0, at), right: pair.slice(at + PAIR.length) };
    });

  PITWRIGHT.response = { order, set, pairs, ids, sides };
})(globalThis);
