/*
 * What was seen → how likely each stop is, and what to look for next. The same as `generator/apart/look.rs`, step by step: doubles and
 * the four basic operations in the same order, decided by whole millionths, so that both pick the same sign every time.
 */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /**
   * @typedef {{id: string, alarm: boolean, shows: number[]}} Sign shows: in hundredths, for each stop
   * @typedef {{stops: unknown[], signs: Sign[], standsOut: number, leastWorth: number}} Stops stops and signs by id
   * @typedef {"yes" | "no" | "unseen" | null} Answer
   * @typedef {{likely: number[], order: number[], worth: number[], next: number | null, end: string | null}} Look
   */

  /** Terms of the series for the logarithm. */
  const TERMS = 14;

  /** The logarithm to base 2 of a number above 0 and up to 1; the browser's own may round otherwise. */
  function log2(x) {
    let [m, e] = [x, 0];
    while (m < 1) {
      m *= 2;
      e -= 1;
    }
    const y = (m - 1) / (m + 1);
    const square = y * y;
    let sum = 0;
    for (let term = TERMS - 1; term >= 0; term -= 1) sum = sum * square + 1 / (2 * term + 1);
    return e + 2 * y * sum * Math.LOG2E;
  }

  function entropy(chance) {
    if (chance <= 0 || chance >= 1) return 0;
    const other = 1 - chance;
    return 0 - (chance * log2(chance) + other * log2(other));
  }

  const millionths = (number) => Math.max(0, Math.floor(number * 1e6 + 0.5));

  /** Bayes' rule from equal chances, sign by sign in the order of their ids, whatever the order of the answers. */
  function chances({ stops, signs }, answers) {
    const all = stops.map(() => 1 / stops.length);
    signs.forEach(({ shows }, at) => {
      if (answers[at] !== "yes" && answers[at] !== "no") return;
      let sum = 0;
      all.forEach((_, stop) => {
        const hundredths = answers[at] === "yes" ? shows[stop] : 100 - shows[stop];
        all[stop] *= hundredths / 100;
        sum += all[stop];
      });
      all.forEach((_, stop) => {
        all[stop] /= sum;
      });
    });
    return all;
  }

  /** What a sign tells of the stops on average, in bits. */
  function worth(all, shows) {
    let [seen, left] = [0, 0];
    all.forEach((chance, stop) => {
      seen += chance * (shows[stop] / 100);
      left += chance * entropy(shows[stop] / 100);
    });
    return entropy(seen) - left;
  }

  /** @param {Stops} stops @param {Answer[]} answers one for each sign @returns {Look} */
  function look(stops, answers) {
    const all = chances(stops, answers);
    const likely = all.map(millionths);
    const order = likely.map((_, stop) => stop).sort((one, other) => likely[other] - likely[one] || one - other);
    const worths = stops.signs.map(({ shows }, at) => (answers[at] ? 0 : millionths(worth(all, shows))));
    const best = worths.reduce((found, here, at) => (found === null || here > worths[found] ? at : found), null);
    let end = null;
    if (stops.signs.some(({ alarm }, at) => alarm && answers[at] === "yes")) end = "at-once";
    else if (likely[order[0]] >= stops.standsOut) end = "stands-out";
    else if (best === null || worths[best] < stops.leastWorth) end = "nothing-tells";
    return { likely, order, worth: worths, next: end ? null : best, end };
  }

  PITWRIGHT.apart = { look };
})(globalThis);
