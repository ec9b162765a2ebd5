/* The result of a test, after its last answer: marks, what was missed, why, and what to study. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  function line(label, content) {
    return PITWRIGHT.make("div", { class: "result-line" }, PITWRIGHT.make("b", {}, PITWRIGHT.word(label)), " ", content);
  }

  /** What a question is about, where it can be read up. */
  function studied(competency) {
    const { make, word, marking } = PITWRIGHT;
    const root = global.document.body.dataset.root;
    const known = marking.competencies.find((one) => one.id === competency);
    const id = known && known.study[known.study.length - 1];
    const lesson = marking.lessons.find((one) => one.id === id);
    return lesson ? line("read_up", make("a", { href: `${root}lesson/${id}.html` }, lesson.title)) : null;
  }

  function item({ question, response, parts }, text) {
    const { make, makeRendered, word } = PITWRIGHT;
    const right = parts === PITWRIGHT.FULL;
    const mark = right ? word("mark_full") : parts ? word("partly_right", { share: PITWRIGHT.shareWords(parts) }) : word("mark_none");
    const keys = PITWRIGHT.mark.right(question);
    return make(
      "li",
      { class: "result-item" },
      make("span", { class: "row-pin" }, PITWRIGHT.deck.onePin(right)),
      make(
        "div",
        {},
        make("p", { class: "result-mark" }, mark, question.critical ? ` · ${word("critical")}` : ""),
        makeRendered("div", { class: "stem" }, text.stem),
        line("your_answer", PITWRIGHT.answerWords(question, text, response)),
        right ? null : PITWRIGHT.wrongPlace(question, text, response),
        right ? null : keys.map((key, at) => line(question.ways ? "right_order" : at ? "right_answer_too" : "right_answer", PITWRIGHT.answerWords(question, text, key))),
        line("why", makeRendered("span", {}, text.because)),
        right ? null : studied(question.competency),
      ),
    );
  }

  /**
   * @param {object} bank from the marking
   * @param {{question: object, response: string, parts: number}[]} answers in the order asked
   * @param {import("./mark.js").BankResult} result
   * @param {string} tries what may follow when it is not passed, in words
   * @returns {HTMLElement}
   */
  function bankResult(bank, answers, result, tries) {
    const { make, makeRendered, word, texts } = PITWRIGHT;
    const { got, need } = PITWRIGHT.scoreWords(bank, result);
    const missed = answers.filter(({ parts }) => parts !== PITWRIGHT.FULL).map(({ question }) => question.competency);
    return make(
      "section",
      { class: `result result-${result.passed ? "passed" : "failed"}` },
      make("p", { class: "over" }, bank.title),
      make("h1", {}, word(result.passed ? "passed" : "failed")),
      make("p", { class: "result-score" }, word("score_need", { got, all: result.asked, need })),
      result.passed ? null : PITWRIGHT.studyLinks(PITWRIGHT.studyFor(PITWRIGHT.marking, missed)),
      result.missedCritical.length
        ? make(
            "div",
            { class: "result-critical" },
            make("p", {}, make("b", {}, word("critical_missed"))),
            make("ul", {}, result.missedCritical.map((id) => makeRendered("li", {}, texts.questions[id].stem))),
          )
        : null,
      make("p", {}, result.passed ? word("after_pass") : tries),
      make("h2", {}, word("questions_title")),
      make("ol", { class: "result-list" }, answers.map((one) => item(one, texts.questions[one.question.id]))),
      PITWRIGHT.waysOn(),
    );
  }

  PITWRIGHT.bankResult = bankResult;
})(globalThis);
