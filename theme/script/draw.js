/* Which questions a form asks, in which order, from the attempt's seed. The register draws the same form again. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /**
   * @typedef {object} Asked
   * @property {object} question the question's key, from the marking
   * @property {string[]} shown ids of what is shown, in the order shown: options, the right side of pairs, steps, spots; empty for a number
   */

  /**
   * For each row of the blueprint in order, that competency's questions are shuffled and the first so many taken; then
   * the whole form is shuffled; then, in the order of the form, what each question shows.
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
    return drawn.map((question) => ({ question, shown: shown(question, random) }));
  }

  const SHOWN = { choice: "options", matching: "pairs", sequencing: "steps", place: "spots" };

  /**
   * What one question shows, shuffled.
   * @param {object} question from the marking
   * @param {{shuffle: (items: string[]) => string[]}} random
   * @returns {string[]}
   */
  function shown(question, random) {
    const key = SHOWN[question.kind];
    return random.shuffle(key ? question[key].slice() : []);
  }

  PITWRIGHT.draw = { form, shown };
})(globalThis);
