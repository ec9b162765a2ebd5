/*
 * Attempts that were left. Every page looks for them when it opens: an attempt that is on record as begun, has no end,
 * and is held by no open page was left, and leaving is failing. The fail is written for the person who began it.
 */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /** What a left attempt had earned by then. A question not answered earns nothing. */
  function earned(sitting, statements) {
    const [attempt] = PITWRIGHT.attempts.fold(statements, sitting.home);
    if (!attempt) return 0;
    if (sitting.kind === "bank") {
      return attempt.answers.reduce((sum, answer) => sum + answer.parts, 0) / PITWRIGHT.FULL;
    }
    // A run through a drill earns nothing but its end.
    if (sitting.kind === "drill") return 0;
    // What each choice earns was put down when the call began: other pages do not know it, and the course may have been compiled anew
    // since. For a call begun before that was put down nothing is told, and the register, which keeps the marking, has the last word.
    const earns = sitting.earns || new Map();
    return attempt.answers.reduce((sum, { of, response }) => sum + (earns.get(`${of} ${response}`) || 0), 0);
  }

  /** Records the fail of every attempt that was left. */
  async function settleLeft() {
    for (const { sitting, statements } of await PITWRIGHT.keeper.abandoned()) {
      const statement = await PITWRIGHT.statement.left(sitting, statements, earned(sitting, statements));
      try {
        await PITWRIGHT.keeper.end(sitting.registration, statement);
      } catch (error) {
        // Another page of the course was quicker; it has been recorded.
        if (error.name === "Ended") continue;
        throw error;
      }
      if (PITWRIGHT.here.code === sitting.code || (await PITWRIGHT.keeper.who()) === sitting.code) {
        PITWRIGHT.notice(
          `left-${sitting.registration}`,
          PITWRIGHT.word("left_noted", { title: sitting.title, date: PITWRIGHT.moment(statement.timestamp) }),
        );
      }
    }
  }

  let first = null;
  /** The look that this page takes when it opens; whatever depends on the record waits for it. */
  PITWRIGHT.leftSettled = () => (first = first || settleLeft());
  PITWRIGHT.settleLeft = settleLeft;
  PITWRIGHT.leftEarned = earned;

  PITWRIGHT.part("notices", () => PITWRIGHT.leftSettled());
})(globalThis);
