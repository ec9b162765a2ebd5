/* The slip of whoever is here: fetched from the store, checked, kept when a newer one is brought in. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /** @returns {import("./slip.js").Mine} */
  function mine(code, statements) {
    const { marking, course } = PITWRIGHT;
    const seen = statements.reduce((latest, one) => Math.max(latest, Date.parse(one.timestamp)), 0);
    return { code, marking, markingHash: course.markingHash, now: Date.now(), seen };
  }

  /**
   * @param {string} code @param {object[]} statements that person's
   * @returns {Promise<null | {good: import("./slip.js").Good} | {word: string, values?: object}>} null if there is none
   */
  async function slipOf(code, statements) {
    const kept = await PITWRIGHT.keeper.slip(code);
    return kept ? PITWRIGHT.slip.check(kept, mine(code, statements)) : null;
  }

  /**
   * The tries that trainers released, by assessment. They stay released however old the slip is.
   * @param {string} code @param {object[]} statements that person's
   * @returns {Promise<(item: {kind: string, id: string, edition: number}) => {more: number, at: number}[]>}
   */
  async function releases(code, statements) {
    const found = await slipOf(code, statements);
    return (item) => (found && found.good ? PITWRIGHT.slip.released(found.good, item) : []);
  }

  const REFUSED = { future: "slip_future", clock: "slip_clock", old: "slip_old" };

  /**
   * Keeps a slip that was brought in, if it is good and not older than the one that is here.
   * @param {string} file its name @param {object} value @param {string} code @param {object[]} statements
   * @returns {Promise<{text: string, taken: boolean}>} what to tell the person
   */
  async function takeSlip(file, value, code, statements) {
    const { word, day } = PITWRIGHT;
    const refused = (key, values = {}) => ({ text: word("slip_refused", { file, why: word(key, values) }), taken: false });
    const held = mine(code, statements);
    const checked = await PITWRIGHT.slip.check(value, held);
    if (checked.word) return refused(checked.word, checked.values);
    const { silent, issued } = checked.good;
    if (REFUSED[silent]) return refused(REFUSED[silent], { date: day(issued), days: held.marking.slipDays });
    // What lies in the store counts for nothing unless it is good itself: a bad one gives way.
    const kept = await slipOf(code, statements);
    if (kept && kept.good && kept.good.issued > issued) return refused("slip_older", { date: day(kept.good.issued) });
    if (kept && kept.good && kept.good.issued === issued) return { text: word("slip_known"), taken: false };
    await PITWRIGHT.keeper.keepSlip(code, value);
    return { text: word("slip_taken", { date: day(issued) }), taken: true };
  }

  Object.assign(PITWRIGHT, { slipOf, releases, takeSlip });
})(globalThis);
