/* A practice question in a lesson: answered, told at once, tried again at will. Kept, never counted. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  /** The options that the page shows without script, shuffled so that their order tells nothing. */
  function optionsOf(element) {
    const options = Array.from(element.querySelectorAll("[data-option]"), (item) => ({
      id: item.dataset.option,
      html: item.innerHTML,
    }));
    return PITWRIGHT.random.fromHex(PITWRIGHT.random.seed()).shuffle(options);
  }

  PITWRIGHT.part("ask", (element) => {
    const { make, makeRendered, word } = PITWRIGHT;
    const { lesson: lessonId, ask: id } = element.dataset;
    const lesson = PITWRIGHT.marking.lessons.find((one) => one.id === lessonId);
    const practice = PITWRIGHT.marking.practice.find((one) => one.lesson === lessonId);
    const question = practice.questions.find((one) => one.id === id);
    const { because } = PITWRIGHT.texts.asks[id];
    const stem = element.querySelector(".stem");
    stem.id = `stem-${id}`;
    const options = optionsOf(element);
    const told = make("div", { class: "told", role: "status" });

    async function answer(response) {
      const { code } = PITWRIGHT.here;
      const parts = PITWRIGHT.mark.question(question, response);
      if (code) {
        const frame = PITWRIGHT.statement.frame(PITWRIGHT.course, code);
        await PITWRIGHT.keeper.add(PITWRIGHT.statement.practised(frame, lesson, id, response, parts));
      }
      const right = parts === PITWRIGHT.mark.FULL;
      told.className = `told told-${right ? "right" : "wrong"}`;
      told.replaceChildren(
        make("p", { class: "told-word" }, word(right ? "right" : "wrong")),
        makeRendered("p", {}, because),
        ...(code ? [] : [make("p", { class: "hint" }, word("not_kept"))]),
      );
    }

    function clear() {
      told.className = "told";
      told.replaceChildren();
    }

    const form = PITWRIGHT.questionForm({
      kind: question.kind,
      labelledBy: stem.id,
      options,
      unit: question.unit,
      press: word("answer"),
      onAnswer: answer,
    });
    // What was told belongs to the answer that was given, and goes when another is chosen or typed.
    form.addEventListener("input", clear);
    PITWRIGHT.here.watch(() => {
      clear();
      form.reset();
    });
    const plain = element.querySelector("[data-options], [data-unit]");
    plain.replaceWith(form, told);
  });
})(globalThis);
