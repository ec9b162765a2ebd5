/* base58btc, in which keys and proofs are written: letters and digits without 0, O, I and l. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  const DIGITS = "123456789ABCDEFGHJKLMNPQRSTUVWXYZabcdefghijkmnopqrstuvwxyz";
  /** Nothing that is read here is longer; the work grows with the square of the length. */
  const MOST = 200;

  /**
   * @param {string} text
   * @returns {Uint8Array | null} null if it is not base58
   */
  function decode(text) {
    if (text.length > MOST) return null;
    const zeros = text.length - text.replace(/^1+/, "").length;
    /** Base 256, the least first. */
    const bytes = [];
    for (const letter of text.slice(zeros)) {
      let carry = DIGITS.indexOf(letter);
      if (carry < 0) return null;
      for (let place = 0; place < bytes.length || carry > 0; place += 1) {
        carry += 58 * (bytes[place] || 0);
        bytes[place] = carry % 256;
        carry = Math.floor(carry / 256);
      }
    }
    return Uint8Array.from([...Array(zeros).fill(0), ...bytes.reverse()]);
  }

  PITWRIGHT.base58 = { decode };
})(globalThis);
