/* Looking back on a call: every choice, why, what was unsafe, what would have been better. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  const line = (label, content) => PITWRIGHT.make("p", {}, PITWRIGHT.make("b", {}, PITWRIGHT.word(label)), " ", content);

  /** What an unsafe choice can do, and how bad that is. */
  function danger(text) {
    const { make, makeRendered, word } = PITWRIGHT;
    return make(
      "div",
      { class: "danger-told" },
      line("harm_word", makeRendered("span", {}, text.unsafe.harm)),
      make("p", {}, word(`severity_${text.unsafe.severity}`)),
    );
  }

  function look(scenario, step, number) {
    const { make, makeRendered, word, texts } = PITWRIGHT;
    const scene = texts.scenes[step.scene];
    const text = scene.choices[step.choice.id];
    const better = PITWRIGHT.walk.better(scenario, step.scene, step.choice.id);
    return make(
      "li",
      { class: `look${step.choice.unsafe ? " look-unsafe" : ""}` },
      make("h3", {}, word("turn_call", { turn: number })),
      makeRendered("div", { class: "look-scene" }, scene.says),
      step.choice.unsafe ? make("p", { class: "unsafe-word" }, word("unsafe_word")) : null,
      line("you_chose", makeRendered("span", {}, text.says)),
      line("why", makeRendered("span", {}, text.because)),
      step.choice.unsafe ? danger(text) : null,
      step.lucky ? make("p", {}, word("lucky")) : null,
      better
        ? make(
            "div",
            { class: "better" },
            line("better", makeRendered("span", {}, scene.choices[better.id].says)),
            makeRendered("p", {}, scene.choices[better.id].because),
          )
        : make("p", { class: "hint" }, word("good_choice")),
    );
  }

  /**
   * @param {object} scenario from the marking
   * @param {import("./walk.js").Walk} walk a finished one
   * @param {string} tries what may follow when it is not passed, in words
   * @returns {HTMLElement}
   */
  function debrief(scenario, walk, tries) {
    const { make, makeRendered, word, texts } = PITWRIGHT;
    const first = walk.firstUnsafe;
    const unsafe = walk.steps.filter((step) => step.choice.unsafe).length;
    const firstText = first && texts.scenes[first.scene].choices[first.choice.id];
    const study = walk.passed ? [] : PITWRIGHT.studyFor(PITWRIGHT.marking, scenario.competencies);
    return make(
      "section",
      { class: `result result-${walk.passed ? "passed" : "failed"}` },
      make("p", { class: "over" }, scenario.title),
      make("h1", {}, word(walk.passed ? "passed" : "failed")),
      makeRendered("div", { class: "ending" }, texts.scenes[walk.at].says),
      make("p", {}, word(walk.ending === "safe" ? "ended_safe" : "ended_unsafe")),
      make("p", { class: "result-score" }, word("call_marks", { got: walk.marks, all: scenario.most, need: scenario.pass })),
      make("p", {}, word("call_unsafe_count", { count: unsafe })),
      first
        ? make(
            "section",
            { class: "first-unsafe" },
            make("h2", {}, word("first_unsafe")),
            makeRendered("p", { class: "first-unsafe-act" }, firstText.says),
            danger(firstText),
            first.lucky ? make("p", {}, word("lucky")) : null,
          )
        : null,
      make("p", {}, walk.passed ? word("after_pass") : tries),
      PITWRIGHT.studyLinks(study),
      make("h2", {}, word("debrief")),
      make("ol", { class: "looks" }, walk.steps.map((step, index) => look(scenario, step, index + 1))),
      PITWRIGHT.waysOn(),
    );
  }

  PITWRIGHT.debrief = debrief;
})(globalThis);
