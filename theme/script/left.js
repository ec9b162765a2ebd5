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
    // Marks of choices come from the marking; a course compiled anew since may have other scenes, and then the
    // register, which keeps the old marking, has the last word.
    const scenario = PITWRIGHT.marking.scenarios.find((one) => one.id === sitting.id);
    const scenes = new Map((scenario ? scenario.scenes : []).map((scene) => [scene.id, scene]));
    return attempt.answers.reduce((sum, answer) => {
      const scene = scenes.get(answer.of);
      const choice = scene && scene.choices.find((one) => one.id === answer.response);
      return sum + (choice ? choice.marks : 0);
    }, 0);
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
