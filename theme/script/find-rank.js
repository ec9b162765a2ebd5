/* What is looked for → the pages that answer best, each with its best piece. Knows nothing of a page's elements. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /** How much a word counts that is not the one typed: said otherwise in the course, begun, or misspelt. */
  const EVERYDAY = 0.8;
  const BEGUN = 0.8;
  const MISSPELT = [1, 0.7, 0.5];
  /** A first letter is seldom wrong. */
  const OTHER_FIRST = 0.7;
  /** Words that begin alike and end otherwise. */
  const ENDED = 0.6;

  /** How many letters of a word may be wrong. */
  const wrongAtMost = (word) => (word.length < 4 ? 0 : word.length < 7 ? 1 : 2);
  /** No more than so many words are taken for one that is not known. */
  const MOST_MEANT = 12;

  /** How much of a page's score comes from its best piece. The rest comes from each word wherever on the page it says most. */
  const BEST_PIECE = 0.6;
  /** What is found by less than this share of the best score is left out, and so is what comes after so many pages. */
  const LEAST_SHARE = 0.2;
  const MOST_PAGES = 20;

  /** The lines of the index: the words of a family, and how much they say about which document. */
  function families(index) {
    return index.families.split("\n").map((line) => {
      const [words, found] = line.split("\t");
      let place = -1;
      const places = Array.from(found.matchAll(/([0-9a-z]*)([A-Z])/g), ([, gap, level]) => {
        place += gap === "" ? 1 : parseInt(gap, 36);
        return { place, weight: index.weights[level.charCodeAt(0) - 65] };
      });
      return { words: words.split(" "), places };
    });
  }

  /** The pages, and all their pieces one after another; each piece knows its page and its place in it. */
  function shelves(index) {
    const pieces = [];
    const pages = index.pages.map(([to, title, kind, handsOn, also, own], page) => {
      const first = pieces.length;
      for (const [heading, rest] of own) {
        // A number is a procedure with so many steps, anything else the anchor of a section.
        const steps = typeof rest === "number" ? rest : 0;
        pieces.push({ page, at: pieces.length - first, heading, anchor: steps > 0 ? "" : rest, steps });
      }
      return { to, title, kind, handsOn: handsOn === 1, also, first, end: pieces.length };
    });
    return { pages, pieces };
  }

  /**
   * Makes ready to look through an index.
   * @param {object} index what `data/find.js` holds
   * @param {string} passedOver words that say nothing by themselves
   */
  function finder(index, passedOver) {
    const { words, distance } = PITWRIGHT.findWords;
    const all = families(index);
    const { pages, pieces } = shelves(index);
    const passed = new Set(words(passedOver));
    const known = new Map(all.flatMap((family, at) => family.words.map((word) => [word, at])));
    const spellings = [...known.keys()].sort();
    const everyday = new Map(Object.entries(index.everyday));

    /** What a family says about each piece, with what it says about the piece's page as a whole; and how rare it is. */
    function said(at) {
      const family = all[at];
      if (!family.said) {
        const weights = new Float64Array(pieces.length);
        for (const { place, weight } of family.places) {
          const page = pages[place];
          if (page) for (let piece = page.first; piece < page.end; piece += 1) weights[piece] += weight;
          else weights[place - pages.length] += weight;
        }
        const among = weights.reduce((count, weight) => count + (weight > 0 ? 1 : 0), 0);
        const rare = Math.log(1 + (pieces.length - among + 0.5) / (among + 0.5));
        family.said = weights.map((weight) => (rare * weight) / (index.k1 + weight));
      }
      return family.said;
    }

    /** Known words that begin with a word, the shortest first. */
    function begun(word) {
      return spellings.filter((one) => one.startsWith(word)).sort((one, other) => one.length - other.length);
    }

    /** Known words that a word may be a misspelling of, the nearest only. */
    function misspelt(word, most) {
      let nearest = { steps: most, found: [] };
      for (const one of spellings) {
        const steps = distance(word, one, nearest.steps);
        if (steps < nearest.steps) nearest = { steps, found: [one] };
        else if (steps === nearest.steps && steps <= most) nearest.found.push(one);
      }
      return nearest;
    }

    /** Known words that begin as a word does and end otherwise: at least four letters the same, at most three others at the end of each. */
    function ended(word) {
      return spellings.filter((one) => {
        let same = 0;
        while (same < word.length && word[same] === one[same]) same += 1;
        return same >= 4 && word.length - same <= 3 && one.length - same <= 3;
      });
    }

    /**
     * What a word may mean: families, each with how much it counts.
     * @param {string} word @param {boolean} last it may not be typed to its end yet
     */
    function meant(word, last) {
      const found = new Map();
      const add = (at, share) => found.set(at, Math.max(share, found.get(at) || 0));
      if (known.has(word)) add(known.get(word), 1);
      for (const at of everyday.get(word) || []) add(at, EVERYDAY);
      const sure = found.size > 0;
      if (last ? word.length >= 2 : !sure && word.length >= 3) {
        for (const one of begun(word).slice(0, MOST_MEANT)) add(known.get(one), BEGUN * Math.sqrt(word.length / one.length));
      }
      if (!sure) {
        const { steps, found: near } = misspelt(word, wrongAtMost(word));
        if (steps > 0) for (const one of near.slice(0, MOST_MEANT)) add(known.get(one), MISSPELT[steps] * (one[0] === word[0] ? 1 : OTHER_FIRST));
        if (word.length >= 4) for (const one of ended(word).slice(0, MOST_MEANT)) add(known.get(one), ENDED);
      }
      return found;
    }

    /** The query as groups: what each of its words, or some of them together, may mean. */
    function groups(query) {
      const typed = words(query);
      const open = /[\p{Alphabetic}\p{N}]$/u.test(query);
      const made = [];
      for (let at = 0; at < typed.length; at += 1) {
        const together = [3, 2].find((count) => at + count <= typed.length && everyday.has(typed.slice(at, at + count).join(" ")));
        const count = together || 1;
        const own = typed.slice(at, at + count);
        const phrase = together ? everyday.get(own.join(" ")) : [];
        const means = new Map(phrase.map((family) => [family, EVERYDAY]));
        for (const [on, word] of own.entries()) {
          if (passed.has(word)) continue;
          const here = meant(word, open && at + on === typed.length - 1);
          // Two words that the course writes as one.
          const joined = known.get(word + (typed[at + on + 1] || " "));
          if (joined !== undefined) here.set(joined, 1);
          for (const [family, share] of here) means.set(family, Math.max(share, means.get(family) || 0));
        }
        if (together || own.some((word) => !passed.has(word))) made.push({ typed: own.join(" "), means });
        at += count - 1;
      }
      return made;
    }

    /** What a group says about each piece: what the likeliest of its meanings says. */
    function scores({ means }) {
      const best = new Float64Array(pieces.length);
      for (const [family, share] of means) {
        const own = said(family);
        for (let piece = 0; piece < best.length; piece += 1) best[piece] = Math.max(best[piece], share * own[piece]);
      }
      return best;
    }

    /**
     * Looks for something.
     * @param {string} query
     * @returns {{found: {page: object, piece: object, score: number}[], words: Set<string>, missed: string[]}} the pages, best
     *   first; all words of the course that the query was taken to mean; and what of it nothing is known of
     */
    function look(query) {
      const asked = groups(query);
      const all_scores = asked.map(scores);
      const found = [];
      for (const page of pages) {
        const highest = new Float64Array(asked.length);
        let best = { piece: null, score: 0 };
        for (let piece = page.first; piece < page.end; piece += 1) {
          let score = 0;
          for (let at = 0; at < asked.length; at += 1) {
            const one = all_scores[at][piece];
            score += one;
            if (one > highest[at]) highest[at] = one;
          }
          if (score > best.score) best = { piece: pieces[piece], score };
        }
        if (best.piece) {
          const whole = highest.reduce((sum, one) => sum + one, 0);
          found.push({ page, piece: best.piece, score: BEST_PIECE * best.score + (1 - BEST_PIECE) * whole });
        }
      }
      found.sort((one, other) => other.score - one.score || one.page.first - other.page.first);
      const least = found.length > 0 ? found[0].score * LEAST_SHARE : 0;
      const meanings = asked.flatMap(({ means }) => [...means.keys()]);
      return {
        found: found.filter(({ score }) => score >= least).slice(0, MOST_PAGES),
        words: new Set(meanings.flatMap((family) => all[family].words)),
        missed: asked.filter(({ means }) => means.size === 0).map(({ typed }) => typed),
      };
    }

    /** Words of the course that look most like one that nothing is known of. */
    function nearest(word, count) {
      const near = spellings.map((one) => ({ one, steps: distance(word, one, word.length) - (one[0] === word[0] ? 0.5 : 0) }));
      near.sort((a, b) => a.steps - b.steps || (a.one < b.one ? -1 : 1));
      return near.slice(0, count).map(({ one }) => one);
    }

    return { look, nearest, pages };
  }

  PITWRIGHT.finder = finder;
})(globalThis);
