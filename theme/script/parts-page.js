/* The page of parts: what scripts make of a page, made here by the same scripts of examples. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;
  const { document } = global;

  const of = (list) => PITWRIGHT.marking[list].find((one) => one.id === document.body.dataset.id);
  const DAY = 86400000;

  /** A test of the practice questions, each answered: `right` says which rightly. */
  function result(right) {
    const { marking, texts, mark } = PITWRIGHT;
    const { questions } = marking.practice.find((one) => one.lesson === "pieces");
    const bank = { id: "example", title: PITWRIGHT.word("test"), pass: 80, questions };
    texts.questions = texts.asks;
    const wrong = (question) =>
      ({
        choice: () => question.options.find((id) => !question.right.includes(id)),
        place: () => question.spots.find((id) => !question.right.includes(id)),
        numeric: () => "4",
        sequencing: () => PITWRIGHT.response.order(question.steps.slice().reverse()),
        matching: () => PITWRIGHT.response.pairs(question.pairs.map((left, at, all) => ({ left, right: all[(at + 1) % all.length] }))),
      })[question.kind]();
    const answers = questions.map((known, at) => {
      const question = { ...known, critical: at === 0 };
      const response = right(at) ? mark.right(question)[0] : wrong(question);
      return { question, response, parts: mark.question(question, response) };
    });
    return PITWRIGHT.bankResult(bank, answers, mark.bank(bank, answers), PITWRIGHT.word("state_used"));
  }

  function call(responses) {
    const scenario = of("scenarios");
    return PITWRIGHT.debrief(scenario, PITWRIGHT.walk.walk(scenario, responses), PITWRIGHT.word("state_used"));
  }

  /** A run through the drill, act by act, from its first start. `how` shows its end. */
  function run(ids, how) {
    const drill = of("drills");
    const { model } = PITWRIGHT.marking.machines.find((one) => one.id === drill.machine);
    const play = PITWRIGHT.play(model, drill);
    const words = PITWRIGHT.drillWordsOf(play, PITWRIGHT.machineWords);
    const turns = [];
    let now = play.begin(0);
    for (const id of ids) {
      const act = play.machine.acts.findIndex((one) => one.id === id);
      const turn = { act, ...play.step(now, act, () => 0x100000000), before: now };
      turns.push(turn);
      now = turn.run;
    }
    const texts = PITWRIGHT.drillWords;
    const all = { play, words, texts, title: drill.title, start: 0, turns, run: now, way: texts.ways[texts.wayOf[0]], ways: PITWRIGHT.waysOn() };
    return PITWRIGHT.drillDebrief[how]({ ...all, counts: false, takenBack: 1, after: PITWRIGHT.word("drill_practice_done") });
  }

  const FIRST = ["tell-shop", "switch-off", "hang-lock", "set-strut", "try-it", "let-go"];
  const WHOLE = [...FIRST, "open-lid", "take-lint", "shut-lid", "loose-strut", "take-lock", "switch-on"];

  /** A slip of today, in each state that it can say. */
  function good() {
    const now = Date.now();
    const day = (from) => new Date(now + from * DAY).toISOString().slice(0, 10);
    const [first, second] = PITWRIGHT.marking.competencies.map(({ id }) => id);
    return {
      issued: new Date(now).toISOString(),
      by: "TR-1",
      until: now + 30 * DAY,
      silent: null,
      slip: {
        standings: [
          { competency: first, standing: "signed", may: "alone", until: day(30), missing: [] },
          { competency: second, standing: "studying", may: "accompanied", missing: [PITWRIGHT.word("state_untried")] },
        ],
        assignments: [
          { thing: { lesson: "pieces" }, due: day(5), done: false },
          { thing: { lesson: "lockout" }, due: day(-5), done: false },
          { thing: { competency: first }, due: null, done: true },
        ],
        tries: [{ assessment: { drill: "lint-jam" }, more: 1 }],
      },
    };
  }

  const slip = (found) => PITWRIGHT.slipSections(found, PITWRIGHT.progress.fold([], PITWRIGHT.marking), []);

  const SHOWN = {
    "who-form": () => [PITWRIGHT.whoForm()],
    notice: () => [PITWRIGHT.noticeOf("example", PITWRIGHT.word("parts_notice"), { label: PITWRIGHT.word("to_record"), run: () => {} })],
    pins: () => [true, false].map((stands) => PITWRIGHT.deck.onePin(stands)),
    "deck-whole": () => PITWRIGHT.besideDeck(7, PITWRIGHT.make("p", { class: "standing-pins" }, PITWRIGHT.word("pins_stand", { standing: 7 }))),
    passed: () => [result(() => true)],
    failed: () => [result((at) => at > 2)],
    "call-safe": () => [call(["tell", "call"])],
    "call-unsafe": () => [call(["reach", "anyway"])],
    "drill-stopped": () => [run([...FIRST.slice(0, 3), "open-lid"], "stop")],
    "drill-left": () => [run(FIRST.slice(0, 3), "debrief")],
    "drill-cured": () => [run(["tell-shop", ...WHOLE], "debrief")],
    slip: () => slip({ good: good() }),
    "slip-silent": () => slip({ good: { ...good(), silent: "old" } }),
    "slip-none": () => slip(null),
  };

  PITWRIGHT.part("shown", (element) => element.append(...SHOWN[element.dataset.show]()));

  PITWRIGHT.part("shown-alone", (element) => {
    const may = document.querySelector("#alone-examples .alone").cloneNode(true);
    may.querySelector("h2").removeAttribute("id");
    may.removeAttribute("aria-labelledby");
    may.removeAttribute("data-part");
    PITWRIGHT.aloneMay(may, good(), good().until, PITWRIGHT.here.code || "E-7");
    element.append(may);
  });

  // No lesson is read here, so there is no place in one to go back to.
  PITWRIGHT.placeDone = async () => {};

  /** A colour or a length, shown as what it is. */
  PITWRIGHT.part("token", (element) => {
    const { colour, size, space } = element.dataset;
    if (colour) element.style.background = `var(--${colour})`;
    if (size) element.style.fontSize = `var(--${size})`;
    if (space) element.style.width = `var(--${space})`;
  });

  /** Two practice questions are answered already, so that what is told of an answer is seen. */
  PITWRIGHT.part("answered", (element) => {
    const answer = (form, id) => {
      form.querySelector(`[value="${id}"]`).checked = true;
      form.requestSubmit();
    };
    // Forms are emptied when the person changes; this comes after.
    PITWRIGHT.here.watch(() =>
      global.setTimeout(() => {
        const forms = element.querySelectorAll("form");
        answer(forms[0], "prove");
        answer(forms[1], "lamp");
      }),
    );
  });

  // There are no pages of the examples.
  document.addEventListener("click", (event) => {
    const link = event.target.closest(".example a[href]");
    if (link && !link.closest("[data-part=find]") && !link.getAttribute("href").startsWith("#")) event.preventDefault();
  });
})(globalThis);
