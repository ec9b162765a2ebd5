/* The texts behind what was found: loaded in parts when they are shown, and cut to what answers. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /** About how many letters of a text are shown. */
  const SHOWN = 240;

  /** Loads the texts of a page when they are wanted. */
  function texts(index, root) {
    const parts = new Map();

    function load(part) {
      if (!parts.has(part)) parts.set(part, PITWRIGHT.later(`data/find-${part}.js`, root, () => PITWRIGHT[`findTexts${part}`]));
      return parts.get(part);
    }

    /** The passages of each piece of a page, the page given by its place in the index. */
    return async (page) => {
      const after = index.parts.findIndex((first) => first > page);
      const part = (after < 0 ? index.parts.length : after) - 1;
      return (await load(part))[page - index.parts[part]];
    };
  }

  /** The different words of each of some texts, taken apart once. */
  const takenApart = new WeakMap();

  function wordsOf(texts) {
    if (!takenApart.has(texts)) takenApart.set(texts, texts.map((text) => new Set(PITWRIGHT.findWords.words(text))));
    return takenApart.get(texts);
  }

  /** How many different words of a text are wanted, each counted by how seldom the texts have it. */
  function weigher(texts, wanted) {
    const among = new Map();
    const has = wordsOf(texts).map((words) => [...words].filter((word) => wanted.has(word)));
    for (const word of has.flat()) among.set(word, (among.get(word) || 0) + 1);
    return (at) => has[at].reduce((sum, word) => sum + 1 + 1 / among.get(word), 0);
  }

  /** The first of the highest. */
  function highest(count, weigh) {
    let best = { at: 0, weight: -1 };
    for (let at = 0; at < count; at += 1) {
      const weight = weigh(at);
      if (weight > best.weight) best = { at, weight };
    }
    return best.at;
  }

  /** Sentences, each with the space after it. */
  const sentences = (text) => text.match(/.+?(?:[.?!:]["”’)]*\s+|$)/gsu) || [];

  /**
   * What to show of a piece: the passage that answers best, whole sentences of it only, since half of a sentence can say the opposite.
   * @param {string[]} passages
   * @param {Set<string>} wanted
   * @param {boolean} whole shows the passage to its end, as for a step
   * @returns {{at: number, cuts: {text: string, marked: boolean}[], before: boolean, after: boolean}} which passage, and whether
   *   some of it is left out before and after
   */
  function excerpt(passages, wanted, whole) {
    const at = highest(passages.length, weigher(passages, wanted));
    const text = passages[at] || "";
    const { marked } = PITWRIGHT.findWords;
    if (whole || text.length <= SHOWN) return { at, cuts: marked(text, wanted), before: false, after: false };
    const all = sentences(text);
    const first = highest(all.length, weigher(all, wanted));
    let [from, to] = [first, first + 1];
    const length = () => all.slice(from, to).join("").length;
    while (to < all.length && length() + all[to].length <= SHOWN) to += 1;
    while (from > 0 && length() + all[from - 1].length <= SHOWN) from -= 1;
    return { at, cuts: marked(all.slice(from, to).join("").trim(), wanted), before: from > 0, after: to < all.length };
  }

  PITWRIGHT.findTexts = { texts, excerpt };
})(globalThis);
