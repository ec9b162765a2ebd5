/*
 * The generator behind every form: xoshiro128**, 32 bits wide, the same in the register.
 * Source: D. Blackman, S. Vigna, "Scrambled linear pseudorandom number generators", ACM Trans. Math. Softw. 47(4), 2021.
 * Shuffling: R. Durstenfeld, "Algorithm 235: Random permutation", Commun. ACM 7(7), 1964.
 */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /**
   * @typedef {object} Generator
   * @property {() => number} next the next word, 0 … 2^32 − 1
   * @property {(bound: number) => number} below a whole number from 0 to bound − 1, each equally likely
   * @property {<T>(items: T[]) => T[]} shuffle shuffles in place and returns the same array
   */

  /** @param {number} word @param {number} by 1 … 31 */
  const rotateLeft = (word, by) => ((word << by) | (word >>> (32 - by))) >>> 0;

  /**
   * A generator whose state is the seed's four big-endian words.
   * @param {string} seed 32 hexadecimal digits, not all zero
   * @returns {Generator}
   */
  function fromHex(seed) {
    if (!/^[0-9a-fA-F]{32}$/.test(seed) || /^0+$/.test(seed)) {
      throw new RangeError("the seed is not 32 hexadecimal digits, or is all zero");
    }
    const s = [0, 8, 16, 24].map((from) => parseInt(seed.slice(from, from + 8), 16));

    function next() {
      const result = Math.imul(rotateLeft(Math.imul(s[1], 5) >>> 0, 7), 9) >>> 0;
      const t = (s[1] << 9) >>> 0;
      s[2] = (s[2] ^ s[0]) >>> 0;
      s[3] = (s[3] ^ s[1]) >>> 0;
      s[1] = (s[1] ^ s[2]) >>> 0;
      s[0] = (s[0] ^ s[3]) >>> 0;
      s[2] = (s[2] ^ t) >>> 0;
      s[3] = rotateLeft(s[3], 11);
      return result;
    }

    function below(bound) {
      if (bound === 0) return 0;
      // Words past the last whole multiple of the bound are drawn again, so that no number is favoured.
      const whole = Math.floor(0x100000000 / bound) * bound;
      let word = next();
      while (word >= whole) word = next();
      return word % bound;
    }

    function shuffle(items) {
      for (let last = items.length - 1; last >= 1; last -= 1) {
        const other = below(last + 1);
        [items[last], items[other]] = [items[other], items[last]];
      }
      return items;
    }

    return { next, below, shuffle };
  }

  /** A fresh seed from the browser's own randomness. */
  function seed() {
    const bytes = global.crypto.getRandomValues(new Uint8Array(16));
    const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
    return /^0+$/.test(hex) ? seed() : hex;
  }

  PITWRIGHT.random = { fromHex, seed };
})(globalThis);
