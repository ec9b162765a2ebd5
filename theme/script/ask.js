/* A practice question: answered, told at once, tried again at will. Kept, never counted. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  /**
   * @param {object} asked
   * @param {{id: string, edition: number}} asked.lesson
   * @param {object} asked.question of the marking @param {object} asked.text its words @param {Record<string, string>} asked.drawings
   * @param {string} asked.labelledBy the id of its stem
   * @param {(right: boolean) => void} [asked.onTold]
   * @returns {{form: HTMLElement, told: HTMLElement}}
   */
  function practice({ lesson, question, text, drawings, labelledBy, onTold = () => {} }) {
    const { make, makeRendered, word } = PITWRIGHT;
    // Shuffled, so that the order tells nothing.
    const shown = PITWRIGHT.draw.shown(question, PITWRIGHT.random.fromHex(PITWRIGHT.random.seed()));
    const told = make("div", { class: "told", role: "status" });

    async function answer(response) {
      const { code } = PITWRIGHT.here;
      const parts = PITWRIGHT.mark.question(question, response);
      if (code) {
        const frame = PITWRIGHT.statement.frame(PITWRIGHT.course, code);
        await PITWRIGHT.keeper.add(PITWRIGHT.statement.practised(frame, lesson, question.id, response, parts));
      }
      const right = parts === PITWRIGHT.FULL;
      const words = right ? word("right") : parts ? word("partly_right", { share: PITWRIGHT.shareWords(parts) }) : word("wrong");
      told.className = `told told-${right ? "right" : "wrong"}`;
      told.replaceChildren(
        make("p", { class: "told-word" }, words),
        ...[right ? null : PITWRIGHT.wrongPlace(question, text, response)].filter(Boolean),
        ...(right ? [] : PITWRIGHT.mark.right(question).slice(0, 1)).map((key) =>
          make("div", { class: "told-right-is" }, make("b", {}, word("right_answer")), " ", PITWRIGHT.answerWords(question, text, key)),
        ),
        makeRendered("p", {}, text.because),
        ...(code ? [] : [make("p", { class: "hint" }, word("not_kept"))]),
      );
      onTold(right);
    }

    function clear() {
      told.className = "told";
      told.replaceChildren();
    }

    const form = PITWRIGHT.questionForm({
      ...PITWRIGHT.planOf(question, text, drawings, shown),
      labelledBy,
      press: word("answer"),
      onAnswer: answer,
    });
    // What was told belongs to the answer that was given, and goes when another is chosen or typed.
    form.addEventListener("input", clear);
    PITWRIGHT.here.watch(() => {
      clear();
      form.reset();
    });
    return { form, told };
  }

  PITWRIGHT.practice = practice;

  PITWRIGHT.part("ask", (element) => {
    const { lesson: lessonId, ask: id } = element.dataset;
    const stem = element.querySelector(".stem");
    stem.id = `stem-${id}`;
    const { form, told } = practice({
      lesson: PITWRIGHT.marking.lessons.find((one) => one.id === lessonId),
      question: PITWRIGHT.marking.practice.find((one) => one.lesson === lessonId).questions.find((one) => one.id === id),
      text: PITWRIGHT.texts.asks[id],
      drawings: PITWRIGHT.texts.drawings,
      labelledBy: stem.id,
    });
    element.querySelector("[data-plain]").replaceWith(form, told);
  });
})(globalThis);
