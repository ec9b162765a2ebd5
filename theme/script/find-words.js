/* Words as they are looked for, and how far apart two spellings are. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  const LETTERS = "[\\p{Alphabetic}\\p{N}]+";
  const PART = `${LETTERS}(?:['\u2019]${LETTERS})*`;
  /** A word with its hyphens. */
  const RUN = new RegExp(`${PART}(?:-${PART})*`, "gu");

  /** Letter by letter, as the compiler does it: a whole text at once would treat a last sigma apart. */
  const lower = (text) => (/^[\0-\x7f]*$/.test(text) ? text.toLowerCase() : Array.from(text, (letter) => letter.toLowerCase()).join(""));
  const bare = (text) => lower(text.replace(/['\u2019]/g, ""));

  /**
   * The words of a text as `generator/find/words.rs` takes them: a word with hyphens gives its parts, then the whole in one.
   * @param {string} text
   * @returns {string[]}
   */
  function words(text) {
    return (text.match(RUN) || []).flatMap((run) => {
      const parts = bare(run).split("-");
      return parts.length > 1 ? [...parts, parts.join("")] : parts;
    });
  }

  /**
   * A text cut where its words begin and end: those that `wanted` names, by themselves or with all their hyphens, are marked.
   * @param {string} text
   * @param {Set<string>} wanted
   * @returns {{text: string, marked: boolean}[]}
   */
  function marked(text, wanted) {
    const cut = [];
    const add = (piece, is) => {
      const last = cut[cut.length - 1];
      if (last && last.marked === is) last.text += piece;
      else if (piece) cut.push({ text: piece, marked: is });
    };
    let from = 0;
    for (const { 0: run, index } of text.matchAll(RUN)) {
      add(text.slice(from, index), false);
      from = index + run.length;
      if (wanted.has(bare(run).replaceAll("-", ""))) add(run, true);
      else for (const part of run.split(/(-)/)) add(part, wanted.has(bare(part)));
    }
    add(text.slice(from), false);
    return cut;
  }

  /**
   * How many letters have to be put in, left out, changed, or swapped with their neighbour to make one word of the other
   * (F. J. Damerau, "A technique for computer detection and correction of spelling errors", Comm. ACM 7(3), 1964), or more
   * than `most` where it is more.
   * @param {string} one @param {string} other @param {number} most
   */
  function distance(one, other, most) {
    const width = other.length + 1;
    if (Math.abs(one.length - other.length) > most) return most + 1;
    // Three rows of the table, kept from call to call: a key compares a thousand words.
    if (rows[0].length < width) rows = [0, 1, 2].map(() => new Uint16Array(2 * width));
    let [before, last, next] = rows;
    for (let at = 0; at < width; at += 1) last[at] = at;
    for (let row = 1; row <= one.length; row += 1) {
      next[0] = row;
      let least = row;
      for (let at = 1; at < width; at += 1) {
        const letter = other[at - 1];
        let steps = Math.min(last[at] + 1, next[at - 1] + 1, last[at - 1] + (one[row - 1] === letter ? 0 : 1));
        if (row > 1 && at > 1 && one[row - 1] === other[at - 2] && one[row - 2] === letter) steps = Math.min(steps, before[at - 2] + 1);
        next[at] = steps;
        if (steps < least) least = steps;
      }
      if (least > most) return most + 1;
      [before, last, next] = [last, next, before];
    }
    return last[other.length];
  }

  let rows = [[], [], []];

  /** Which letters a word has, as bits: words that differ in more letters than may be wrong need no closer look. */
  function letters(word) {
    let bits = 0;
    for (let at = 0; at < word.length; at += 1) bits |= 1 << (word.charCodeAt(at) & 31);
    return bits;
  }

  /** Whether one word has more than `most` letters that the other lacks, or the other way about. */
  function farApart(one, other, most) {
    const count = (bits) => {
      let [left, ones] = [bits, 0];
      for (; left !== 0; ones += 1) left &= left - 1;
      return ones;
    };
    return count(one & ~other) > most || count(other & ~one) > most;
  }

  PITWRIGHT.findWords = { words, marked, distance, letters, farApart };
})(globalThis);
