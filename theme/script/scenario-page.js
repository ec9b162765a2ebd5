/* A call: scene by scene, choices in the order written, the debrief at its end. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;
  const { document } = global;

  PITWRIGHT.part("scenario-attempt", (element) => {
    const { make, makeRendered, word, texts } = PITWRIGHT;
    const scenario = PITWRIGHT.marking.scenarios.find((one) => one.id === document.body.dataset.id);
    const earns = new Map(scenario.scenes.flatMap(({ id, choices }) => choices.map((choice) => [`${id} ${choice.id}`, choice.marks])));
    const plan = { kind: "scenario", item: scenario, max: scenario.most, earns, run };

    function run(running) {
      const responses = [];

      function scene() {
        const { at } = PITWRIGHT.walk.walk(scenario, responses);
        const { choices } = scenario.scenes.find((one) => one.id === at);
        const text = texts.scenes[at];
        PITWRIGHT.sitting.show(
          element,
          make(
            "section",
            { class: "turn" },
            make("p", { class: "over" }, scenario.title),
            make("h1", {}, word("turn_call", { turn: responses.length + 1 })),
            makeRendered("div", { class: "scene", id: "scene" }, text.says),
            PITWRIGHT.questionForm({
              kind: "choice",
              labelledBy: "scene",
              shown: choices.map((choice) => ({ id: choice.id, html: text.choices[choice.id].says })),
              press: word("choose_this"),
              onAnswer: (response) => keep(at, response),
            }),
          ),
        );
      }

      async function keep(at, response) {
        // After a failed finish the last choice is kept already: only the finish is tried again.
        if (!PITWRIGHT.walk.walk(scenario, responses).ending) {
          await running.answer(at, response, null);
          responses.push(response);
        }
        if (PITWRIGHT.walk.walk(scenario, responses).ending) await finish();
        else scene();
      }

      async function finish() {
        const walk = PITWRIGHT.walk.walk(scenario, responses);
        await running.finish({ passed: walk.passed, raw: walk.marks });
        const tries = PITWRIGHT.sitting.leaveWords(await PITWRIGHT.sitting.leaveOf(PITWRIGHT.here.code, plan));
        PITWRIGHT.sitting.show(element, PITWRIGHT.debrief(scenario, walk, tries));
      }

      scene();
    }

    PITWRIGHT.sitting.offer(element, plan);
  });
})(globalThis);
