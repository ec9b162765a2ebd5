/*
 * What stands after the # of a page's address: read, and kept up without a step in the history. In the one-file edition a page has no
 * address of its own; there it stands after the page's name in the address of the file.
 */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});
  const { history, location } = global;

  PITWRIGHT.address = {
    hash: () => global.PITWRIGHT_HASH || location.hash,
    /** @param {string} hash with its #, or nothing */
    keep(hash) {
      if (global.PITWRIGHT_ONE) {
        global.PITWRIGHT_HASH = hash;
        global.PITWRIGHT_ONE.keep(global.PITWRIGHT_PLACE.path, hash);
      } else history.replaceState(null, "", hash || location.href.split("#")[0]);
    },
  };
})(globalThis);
