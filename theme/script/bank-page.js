/* A test: one question at a time, in the order that the seed draws. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;
  const { document } = global;

  PITWRIGHT.part("bank-attempt", (element) => {
    const { make, makeRendered, word, texts } = PITWRIGHT;
    const bank = PITWRIGHT.marking.banks.find((one) => one.id === document.body.dataset.id);
    const plan = { kind: "bank", item: bank, max: bank.draw.reduce((sum, row) => sum + row.count, 0), run };

    function run(running) {
      const form = PITWRIGHT.draw.form(bank, running.seed);
      const answers = [];

      function ask() {
        const { question, shown } = form[answers.length];
        const text = texts.questions[question.id];
        PITWRIGHT.sitting.show(
          element,
          make(
            "section",
            { class: "turn" },
            make("p", { class: "over" }, bank.title),
            make("h1", {}, word("turn_of", { turn: answers.length + 1, all: form.length })),
            question.critical ? make("p", { class: "critical" }, word("critical")) : null,
            makeRendered("div", { class: "stem", id: "stem" }, text.stem),
            PITWRIGHT.questionForm({
              ...PITWRIGHT.planOf(question, text, texts.drawings, shown),
              labelledBy: "stem",
              press: word("next_question"),
              onAnswer: (response) => keep(question, response),
            }),
          ),
        );
      }

      async function keep(question, response) {
        // After a failed finish the last answer is kept already: only the finish is tried again.
        if (answers.length < form.length) {
          const parts = PITWRIGHT.mark.question(question, response);
          await running.answer(question.id, response, parts);
          answers.push({ question, response, parts });
        }
        if (answers.length < form.length) ask();
        else await finish();
      }

      async function finish() {
        const result = PITWRIGHT.mark.bank(bank, answers);
        await running.finish({ passed: result.passed, raw: result.parts / PITWRIGHT.FULL });
        const { code } = PITWRIGHT.here;
        const tries = PITWRIGHT.sitting.leaveWords(await PITWRIGHT.sitting.leaveOf(code, plan));
        PITWRIGHT.sitting.show(element, PITWRIGHT.bankResult(bank, answers, result, tries));
      }

      ask();
    }

    PITWRIGHT.sitting.offer(element, plan);
  });
})(globalThis);
