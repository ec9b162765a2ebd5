/* A person's own record: what the slip says, what is read, every attempt and what it earned, handing and bringing in. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  /** How an attempt went, in words: per competency for a test, unsafe choices for a call, acts for a drill. */
  function detail(attempt) {
    return { bank: bankDetail, scenario: scenarioDetail, drill: drillDetail }[attempt.kind](attempt);
  }

  function bankDetail(attempt) {
    const { word, marking } = PITWRIGHT;
    const bank = marking.banks.find((one) => one.id === attempt.id);
    const tally = new Map();
    for (const { of, parts } of attempt.answers) {
      const question = bank && bank.questions.find((one) => one.id === of);
      if (!question) continue;
      const sum = tally.get(question.competency) || { got: 0, all: 0 };
      tally.set(question.competency, { got: sum.got + (parts === PITWRIGHT.FULL ? 1 : 0), all: sum.all + 1 });
    }
    return Array.from(tally, ([id, sum]) => {
      const competency = marking.competencies.find((one) => one.id === id);
      return word("per_competency", { says: competency ? competency.says : id, ...sum });
    });
  }

  function scenarioDetail(attempt) {
    const { word, marking } = PITWRIGHT;
    const scenario = marking.scenarios.find((one) => one.id === attempt.id);
    if (!scenario) return [];
    const scenes = new Map(scenario.scenes.map((scene) => [scene.id, scene]));
    const unsafe = attempt.answers.filter(({ of, response }) => {
      const choice = scenes.has(of) && scenes.get(of).choices.find((one) => one.id === response);
      return choice && choice.unsafe;
    });
    return [word("call_unsafe_count", { count: unsafe.length })];
  }

  function drillDetail(attempt) {
    const { word, statement } = PITWRIGHT;
    const acts = attempt.answers.filter(({ of }) => of !== statement.LEAVE_IT);
    const givenUp = acts.length < attempt.answers.length ? [word("drill_given_up")] : [];
    return [word("drill_acts", { count: acts.length }), ...givenUp];
  }

  function attemptItem(attempt) {
    const { make, word, moment, marking, deck } = PITWRIGHT;
    const item = marking[`${attempt.kind}s`].find((one) => one.id === attempt.id);
    const { end } = attempt;
    const outcome = !end ? word("record_running") : word(end.passed ? "passed" : "failed");
    const facts = [
      word({ bank: "test", scenario: "call", drill: "drill" }[attempt.kind]),
      moment(attempt.begun),
      end && attempt.kind !== "drill" ? word("score_words", { got: PITWRIGHT.figure(end.raw), all: end.max }) : null,
      end && end.left ? word("record_left") : null,
    ];
    return make(
      "li",
      { class: "row" },
      make("span", { class: "row-pin" }, deck.onePin(Boolean(end && end.passed))),
      make(
        "div",
        { class: "row-text" },
        make("h3", { class: "row-title" }, `${item ? item.title : attempt.id}: ${outcome}`),
        make("p", { class: "row-facts" }, facts.filter(Boolean).join(" · ")),
        attempt.answers.length
          ? make(
              "details",
              { class: "row-facts" },
              make("summary", {}, word("record_answers")),
              make("ul", {}, detail(attempt).map((text) => make("li", {}, text))),
            )
          : null,
      ),
    );
  }

  function lessonItem(lesson, { state, at }) {
    const { make, word, day, deck } = PITWRIGHT;
    const key = { unread: "state_unread", read: "state_read", old: "state_read_old" }[state];
    return make(
      "li",
      { class: "row" },
      make("span", { class: "row-pin" }, deck.onePin(state === "read")),
      make(
        "div",
        { class: "row-text" },
        make("a", { class: "row-link", href: `lesson/${lesson.id}.html` }, lesson.title),
        make("p", { class: "row-facts" }, word(key, { date: at ? day(at) : "" })),
      ),
    );
  }

  function section(title, ...content) {
    return PITWRIGHT.make("section", { class: "module" }, PITWRIGHT.make("h2", { class: "board-line" }, title), ...content);
  }

  function unhandedWords(rows) {
    const { word } = PITWRIGHT;
    const count = rows.filter((row) => !row.handed).length;
    if (rows.length === 0) return word("record_empty");
    if (count === 0) return word("record_handed");
    return word("record_unhanded", { count });
  }

  function handSection(code, rows) {
    const { make, word, pressed, handIn } = PITWRIGHT;
    const told = make("p", { class: "hand-told", role: "status" });
    const state = make("p", { class: "hand-state" }, unhandedWords(rows));
    const press = make("button", { type: "button", class: "press press-main" }, word("hand_in"));
    press.addEventListener("click", () =>
      pressed(press, async () => {
        try {
          const { file, count } = await handIn(code);
          told.textContent = word("handed_file", { file, count });
          state.textContent = word("record_handed");
          PITWRIGHT.unnotice("unhanded");
        } catch (error) {
          told.textContent = word("store_wrong", { why: error.message });
        }
      }),
    );
    return section(word("hand_in_title"), state, make("p", {}, word("hand_in_lead")), rows.length ? press : null, told);
  }

  function bringSection(code, empty, redraw) {
    const { make, word, bringIn } = PITWRIGHT;
    const told = make("p", { class: "hand-told", role: "status" });
    const input = make("input", { type: "file", id: "bring", accept: ".json,application/json" });

    async function take(file) {
      if (!file) return;
      try {
        const { text, taken } = await bringIn(file, code);
        if (taken) await redraw(text);
        else told.textContent = text;
      } catch (error) {
        told.textContent = word("store_wrong", { why: error.message });
      }
      input.value = "";
    }

    input.addEventListener("change", () => take(input.files[0]));
    const drop = make(
      "div",
      { class: "drop" },
      make("label", { for: "bring", class: "label" }, word("bring_label")),
      input,
      make("p", { class: "hint" }, word("bring_drop")),
    );
    drop.addEventListener("dragover", (event) => event.preventDefault());
    drop.addEventListener("drop", (event) => {
      event.preventDefault();
      take(event.dataTransfer.files[0]);
    });
    const lead = empty ? `${word("bring_empty_hint")} ${word("bring_lead")}` : word("bring_lead");
    return section(word("bring_title"), make("p", {}, lead), drop, told);
  }

  PITWRIGHT.part("record-page", async (element) => {
    const { make, word, marking, course } = PITWRIGHT;
    await PITWRIGHT.leftSettled();

    async function draw(code, told = "") {
      const refocus = PITWRIGHT.focusKept(element);
      if (!code) {
        element.replaceChildren(make("p", {}, word("record_nobody")), PITWRIGHT.whoForm());
        refocus();
        return;
      }
      const rows = await PITWRIGHT.keeper.statements(code);
      if (PITWRIGHT.here.code !== code) return;
      const statements = rows.map((row) => row.statement);
      const slip = await PITWRIGHT.slipOf(code, statements);
      if (PITWRIGHT.here.code !== code) return;
      const progress = PITWRIGHT.progress.fold(statements, marking);
      const attempts = PITWRIGHT.attempts.fold(statements, marking.home).reverse();
      const practice = statements.filter((one) => PITWRIGHT.statement.extension(one, "practice")).length;
      const { lessons } = marking;
      element.replaceChildren(
        make(
          "section",
          { class: "standing" },
          PITWRIGHT.besideDeck(progress.standing, make("h2", {}, word("record_of", { code })), ...PITWRIGHT.standingWords(progress)),
        ),
        make("p", { class: "hand-told", role: "status" }, told),
        ...PITWRIGHT.slipSections(slip, progress),
        handSection(code, rows),
        section(word("record_attempts"), attempts.length ? make("ol", { class: "rows" }, attempts.map(attemptItem)) : make("p", {}, word("record_none"))),
        section(
          word("record_lessons"),
          make("ol", { class: "rows" }, lessons.map((lesson) => lessonItem(lesson, progress.lessons.get(lesson.id)))),
          make("p", { class: "hint" }, word("record_practice", { count: practice })),
        ),
        bringSection(code, rows.length === 0, (text) => draw(code, text)),
      );
      if (told) PITWRIGHT.say(told);
      refocus();
    }

    PITWRIGHT.here.watch((code) => PITWRIGHT.guarded(element, () => draw(code)));
  });
})(globalThis);
