/* A practice question in a lesson: answered, told at once, tried again at will. Kept, never counted. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  PITWRIGHT.part("ask", (element) => {
    const { make, makeRendered, word } = PITWRIGHT;
    const { lesson: lessonId, ask: id } = element.dataset;
    const lesson = PITWRIGHT.marking.lessons.find((one) => one.id === lessonId);
    const practice = PITWRIGHT.marking.practice.find((one) => one.lesson === lessonId);
    const question = practice.questions.find((one) => one.id === id);
    const text = PITWRIGHT.texts.asks[id];
    const stem = element.querySelector(".stem");
    stem.id = `stem-${id}`;
    // Shuffled, so that the order tells nothing.
    const shown = PITWRIGHT.draw.shown(question, PITWRIGHT.random.fromHex(PITWRIGHT.random.seed()));
    const told = make("div", { class: "told", role: "status" });

    async function answer(response) {
      const { code } = PITWRIGHT.here;
      const parts = PITWRIGHT.mark.question(question, response);
      if (code) {
        const frame = PITWRIGHT.statement.frame(PITWRIGHT.course, code);
        await PITWRIGHT.keeper.add(PITWRIGHT.statement.practised(frame, lesson, id, response, parts));
      }
      const right = parts === PITWRIGHT.FULL;
      const words = right ? word("right") : parts ? word("partly_right", { share: PITWRIGHT.shareWords(parts) }) : word("wrong");
      told.className = `told told-${right ? "right" : "wrong"}`;
      told.replaceChildren(
        make("p", { class: "told-word" }, words),
        ...[right ? null : PITWRIGHT.wrongPlace(question, text, response)].filter(Boolean),
        makeRendered("p", {}, text.because),
        ...(code ? [] : [make("p", { class: "hint" }, word("not_kept"))]),
      );
    }

    function clear() {
      told.className = "told";
      told.replaceChildren();
    }

    const form = PITWRIGHT.questionForm({
      ...PITWRIGHT.planOf(question, text, PITWRIGHT.texts.drawings, shown),
      labelledBy: stem.id,
      press: word("answer"),
      onAnswer: answer,
    });
    // What was told belongs to the answer that was given, and goes when another is chosen or typed.
    form.addEventListener("input", clear);
    PITWRIGHT.here.watch(() => {
      clear();
      form.reset();
    });
    element.querySelector("[data-plain]").replaceWith(form, told);
  });
})(globalThis);
