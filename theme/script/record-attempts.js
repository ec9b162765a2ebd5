/* Every attempt on record: what it earned, when, whether it counts, and how its answers went. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  /** So many attempts stand in sight; the older ones are folded. */
  const LATEST = 3;

  /** How an attempt went, in words: per competency for a test, unsafe choices for a call, acts for a drill. */
  function detail(attempt) {
    return { bank: bankDetail, scenario: scenarioDetail, drill: drillDetail }[attempt.kind](attempt);
  }

  function bankDetail(attempt) {
    const { word, marking } = PITWRIGHT;
    const bank = marking.banks.find((one) => one.id === attempt.id);
    const tally = new Map();
    let missed = 0;
    for (const { of, parts } of attempt.answers) {
      const question = bank && bank.questions.find((one) => one.id === of);
      if (!question) continue;
      const right = parts === PITWRIGHT.FULL;
      const sum = tally.get(question.competency) || { got: 0, all: 0 };
      tally.set(question.competency, { got: sum.got + (right ? 1 : 0), all: sum.all + 1 });
      if (question.critical && !right) missed += 1;
    }
    const words = Array.from(tally, ([id, sum]) => {
      const competency = marking.competencies.find((one) => one.id === id);
      return word("per_competency", { says: competency ? competency.says : id, ...sum });
    });
    return missed ? [word("lack_critical", { count: missed }), ...words] : words;
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

  function attemptItem(attempt, counts) {
    const { make, word, moment, marking, record } = PITWRIGHT;
    const item = marking[`${attempt.kind}s`].find((one) => one.id === attempt.id);
    const { end } = attempt;
    const outcome = !end ? word("record_running") : word(end.passed ? "passed" : "failed");
    const facts = [
      word({ bank: "test", scenario: "call", drill: "drill" }[attempt.kind]),
      moment(attempt.begun),
      end && attempt.kind !== "drill" ? word("score_words", { got: PITWRIGHT.figure(end.raw), all: end.max }) : null,
      end && end.left ? word("record_left") : null,
      item && item.edition !== attempt.edition ? word("record_edition", { edition: attempt.edition }) : null,
      end && !counts ? word("record_uncounted") : null,
    ];
    return record.row(
      Boolean(end && end.passed && counts),
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
    );
  }

  /** The registrations of the attempts that count, as the register counts them. */
  function counted(attempts, good) {
    const { marking } = PITWRIGHT;
    const series = new Map();
    for (const attempt of attempts) {
      const key = `${attempt.kind}/${attempt.id}/${attempt.edition}`;
      series.set(key, [...(series.get(key) || []), attempt]);
    }
    const all = Array.from(series.values(), (here) => {
      const released = good ? PITWRIGHT.slip.released(good, here[0]) : [];
      return PITWRIGHT.attempts.tally(here, marking.attempts, released, Date.now()).counted;
    });
    return new Set(all.flat());
  }

  /** @param {object[]} statements @param {null | import("./slip.js").Good} good @returns {HTMLElement} */
  function attemptsSection(statements, good) {
    const { make, word, marking, record } = PITWRIGHT;
    const attempts = PITWRIGHT.attempts.fold(statements, marking.home);
    const counts = counted(attempts, good);
    const items = attempts.reverse().map((attempt) => attemptItem(attempt, counts.has(attempt.registration)));
    const older = (count) => word("record_older", { count });
    return record.section(word("record_attempts"), ...(items.length ? record.rows(items, LATEST, older) : [make("p", {}, word("record_none"))]));
  }

  PITWRIGHT.attemptsSection = attemptsSection;
})(globalThis);
