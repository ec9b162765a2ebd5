/* Which questions a form asks, in which order, from the attempt's seed. The register draws the same form again. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /**
   * @typedef {object} Asked
   * @property {object} question the question's key, from the marking
   * @property {string[]} options ids in the order shown; empty where the kind has none
   */

  /**
   * For each row of the blueprint in order, that competency's questions are shuffled and the first so many taken; then
   * the whole form is shuffled; then each question's options, in the order of the form.
   * @param {{draw: {competency: string, count: number}[], questions: object[]}} bank from the marking
   * @param {string} seed 32 hexadecimal digits
   * @returns {Asked[]}
   */
  function form(bank, seed) {
    const random = PITWRIGHT.random.fromHex(seed);
    const drawn = [];
    for (const row of bank.draw) {
      const pool = bank.questions.filter((question) => question.competency === row.competency);
      drawn.push(...random.shuffle(pool).slice(0, row.count));
    }
    random.shuffle(drawn);
    return drawn.map((question) => ({
      question,
      options: random.shuffle(question.kind === "choice" ? question.options.slice() : []),
    }));
  }

  PITWRIGHT.draw = { form };
})(globalThis);
