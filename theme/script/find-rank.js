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
  const wrongAtMost = (word) => (word.length < 3 ? 0 : word.length < 7 ? 1 : 2);
  /** No more than so many words are taken for one that is not known. */
  const MOST_MEANT = 12;

  /** How much of a page's score comes from its best piece. The rest comes from each word wherever on the page it says most. */
  const BEST_PIECE = 0.6;
  /** How much the head of a page counts beside its pieces. */
  const HEAD = 1;

  /** What is found by less than this share of the best score is left out, and so is what comes after so many pages. */
  const LEAST_SHARE = 0.3;
  const MOST_PAGES = 12;

  /** The lines of the index: the words of a family, and how much they say about which document. */
  function families(index) {
    const value = new Map(Array.from(index.digits, (digit, at) => [digit, at]));
    return index.families.split("\n").map((line) => {
      const [words, found] = line.split("\t");
      const places = [];
      let [place, gap] = [-1, 0];
      for (const letter of found) {
        if (value.has(letter)) {
          gap = gap * value.size + value.get(letter);
        } else {
          place += gap || 1;
          places.push({ place, weight: index.weights[letter.charCodeAt(0) - 65] });
          gap = 0;
        }
      }
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
    const { words, distance, letters, farApart } = PITWRIGHT.findWords;
    const all = families(index);
    const { pages, pieces } = shelves(index);
    const passed = new Set(words(passedOver));
    const known = new Map(all.flatMap((family, at) => family.words.map((word) => [word, at])));
    const everyday = new Map(Object.entries(index.everyday));
    const phrases = [...everyday.keys()].filter((said) => said.includes(" ")).map((said) => said.split(" "));
    const spellings = [...new Set([...known.keys(), ...[...everyday.keys()].filter((said) => !said.includes(" "))])].sort();
    const lettersOf = spellings.map(letters);

    /** BM25 of one word over some documents, of which `places` are those that have it. */
    function saturated(places, first, count) {
      const own = places.filter(({ place }) => place >= first && place < first + count);
      const rare = Math.log(1 + (count - own.length + 0.5) / (own.length + 0.5));
      const scores = new Float64Array(count);
      for (const { place, weight } of own) scores[place - first] = (rare * weight) / (index.k1 + weight);
      return scores;
    }

    /**
     * What a family says about each piece. Heads of pages (titles, signs) are a collection by themselves: a word that stands in every
     * text may still be the name of one page.
     */
    function said(at) {
      const family = all[at];
      if (!family.said) {
        const heads = saturated(family.places, 0, pages.length);
        family.said = saturated(family.places, pages.length, pieces.length);
        for (const [place, page] of pages.entries()) {
          for (let piece = page.first; piece < page.end; piece += 1) family.said[piece] += HEAD * heads[place];
        }
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
      const own = letters(word);
      for (const [at, one] of spellings.entries()) {
        // Of three letters nearly anything could be made.
        if (farApart(own, lettersOf[at], nearest.steps) || (word.length === 3 && one[0] !== word[0])) continue;
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

    const meanings = new Map();

    /**
     * What a word may mean: families, each with how much it counts. At each key all words but one are as they were.
     * @param {string} word @param {boolean} last it may not be typed to its end yet
     */
    function meant(word, last) {
      const key = last ? `${word}…` : word;
      if (!meanings.has(key)) meanings.set(key, meantAnew(word, last));
      return meanings.get(key);
    }

    function meantAnew(word, last) {
      const found = new Map();
      const add = (at, share) => found.set(at, Math.max(share, found.get(at) || 0));
      /** A word that is known, in the course or in everyday talk. */
      const take = (one, share) => {
        if (known.has(one)) add(known.get(one), share);
        for (const at of everyday.get(one) || []) add(at, share * EVERYDAY);
      };
      take(word, 1);
      const sure = found.size > 0;
      if (last ? word.length >= 2 : !sure && word.length >= 3) {
        for (const one of begun(word).slice(0, MOST_MEANT)) take(one, BEGUN * Math.sqrt(word.length / one.length));
      }
      if (!sure && wrongAtMost(word) > 0) {
        const { steps, found: near } = misspelt(word, wrongAtMost(word));
        if (steps > 0) for (const one of near.slice(0, MOST_MEANT)) take(one, MISSPELT[steps] * (one[0] === word[0] ? 1 : OTHER_FIRST));
        if (word.length >= 4) for (const one of ended(word).slice(0, MOST_MEANT)) take(one, ENDED);
      }
      return found;
    }

    /** Whether a word is another, or may well be a misspelling of it. */
    const mayBe = (word, other) => word === other || (word.length > 3 && !known.has(word) && distance(word, other, wrongAtMost(word)) <= wrongAtMost(word));

    /** The everyday phrase that begins at a place of a query, the longest. */
    function phraseAt(typed, at) {
      const here = phrases.filter((phrase) => phrase.every((word, on) => at + on < typed.length && mayBe(typed[at + on], word)));
      return here.sort((one, other) => other.length - one.length)[0];
    }

    /** The query as groups: what each of its words, or some of them together, may mean. */
    function groups(query) {
      const typed = words(query.replaceAll("-", " "));
      const open = /[\p{Alphabetic}\p{N}]$/u.test(query);
      const made = [];
      for (let at = 0; at < typed.length; ) {
        const phrase = phraseAt(typed, at);
        const own = typed.slice(at, at + (phrase ? phrase.length : 1));
        const means = new Map(phrase ? everyday.get(phrase.join(" ")).map((family) => [family, EVERYDAY]) : []);
        const telling = own.filter((word) => !passed.has(word));
        for (const word of telling) {
          const place = at + own.indexOf(word);
          const here = new Map(meant(word, open && place === typed.length - 1));
          // Two words that the course writes as one.
          const joined = known.get(word + (typed[place + 1] || " "));
          if (joined !== undefined) here.set(joined, 1);
          for (const [family, share] of here) means.set(family, Math.max(share, means.get(family) || 0));
        }
        if (phrase || telling.length > 0) made.push({ typed: own.join(" "), means });
        at += own.length;
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
      const scored = asked.map(scores);
      const found = [];
      for (const page of pages) {
        const highest = new Float64Array(asked.length);
        let best = { piece: null, score: 0 };
        for (let piece = page.first; piece < page.end; piece += 1) {
          let score = 0;
          for (let at = 0; at < asked.length; at += 1) {
            const one = scored[at][piece];
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
      const taken = asked.flatMap(({ means }) => [...means.keys()]);
      return {
        found: found.filter(({ score }) => score >= least).slice(0, MOST_PAGES),
        words: new Set(taken.flatMap((family) => all[family].words)),
        missed: asked.filter(({ means }) => means.size === 0).map(({ typed }) => typed),
      };
    }

    /** Words that look most like one that nothing is known of: at least half of it stays. */
    function nearest(word, count) {
      const most = Math.floor(word.length / 2);
      const steps = (one) => distance(word, one, most) - (one[0] === word[0] ? 0.5 : 0);
      const near = spellings.map((one) => ({ one, steps: steps(one) })).filter(({ steps }) => steps <= most);
      near.sort((a, b) => a.steps - b.steps || (a.one < b.one ? -1 : 1));
      return near.slice(0, count).map(({ one }) => one);
    }

    return { look, nearest, pages };
  }

  PITWRIGHT.finder = finder;
})(globalThis);
