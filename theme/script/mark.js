/* Marks: a response and a question's key go in, a number of parts comes out; a whole form goes in, a result comes out. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /** Parts that a fully right answer earns: the least common multiple of 1 to 10, so that shares stay whole numbers. */
  const FULL = 2520;

  /**
   * @param {object} question the question's key, from the marking
   * @param {string} response an option's id, or a decimal number as text
   * @returns {number} parts of FULL
   */
  function question(question, response) {
    const right =
      question.kind === "choice"
        ? question.right.length === 1 && question.right[0] === response
        : PITWRIGHT.decimal.within(question.answer, question.tolerance, response);
    return right ? FULL : 0;
  }

  /**
   * @typedef {object} BankResult
   * @property {number} parts sum of all marks, in parts of FULL
   * @property {number} asked questions asked
   * @property {string[]} missedCritical ids of critical questions that earned less than full marks
   * @property {boolean} passed
   */

  /**
   * @param {{pass: number}} bank from the marking; pass in per cent
   * @param {{question: object, parts: number}[]} marks each question asked; one left unanswered earns 0
   * @returns {BankResult}
   */
  function bank(bank, marks) {
    const parts = marks.reduce((sum, one) => sum + one.parts, 0);
    const asked = marks.length;
    const missedCritical = marks
      .filter((one) => one.question.critical && one.parts < FULL)
      .map((one) => one.question.id);
    const enough = parts * 100 >= bank.pass * asked * FULL;
    return { parts, asked, missedCritical, passed: enough && asked > 0 && missedCritical.length === 0 };
  }

  PITWRIGHT.mark = { FULL, question, bank };
})(globalThis);
