/* An answer in words, and what it earned: for looking back. Pure but for the elements that it makes. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  const says = (html) => PITWRIGHT.makeRendered("span", {}, html);

  function list(tag, items) {
    return PITWRIGHT.make(tag, { class: "answer-list" }, items.map((item) => PITWRIGHT.make("li", {}, item)));
  }

  const WORDS = {
    choice({ right }, { shown }, response) {
      const ids = PITWRIGHT.response.ids(response);
      return right.length > 1 ? list("ul", ids.map((id) => says(shown[id]))) : says(shown[response]);
    },
    matching: (_, { left, shown }, response) =>
      list("ul", PITWRIGHT.response.sides(response).map((pair) => [says(left[pair.left]), " →\u00a0", says(shown[pair.right])])),
    sequencing: (_, { shown }, response) => list("ol", PITWRIGHT.response.ids(response).map((id) => says(shown[id]))),
    numeric: ({ unit }, _, response) => PITWRIGHT.make("span", {}, `${response} ${unit}`),
    place: (_, { shown }, response) => says(shown[response]),
  };

  /**
   * @param {object} question from the marking
   * @param {{shown: Record<string, string>, left: Record<string, string>}} text of the question
   * @param {string} response one that can have been given
   * @returns {HTMLElement}
   */
  function answerWords(question, text, response) {
    return WORDS[question.kind](question, text, response);
  }

  /** What the first wrong step of an order does, where a machine says it; null elsewhere. */
  function wrongPlace(question, { shown }, response) {
    const wrong = question.ways ? PITWRIGHT.mark.wrongStep(question, response) : null;
    if (!wrong) return null;
    const id = PITWRIGHT.response.ids(response)[wrong.at - 1];
    return PITWRIGHT.make(
      "div",
      { class: "result-line" },
      PITWRIGHT.make("b", {}, PITWRIGHT.word("first_wrong", { at: wrong.at })),
      " ",
      says(shown[id]),
      PITWRIGHT.make("p", {}, wrong.says),
    );
  }

  const common = (a, b) => (b ? common(b, a % b) : a);

  /** Parts of a mark as a fraction, such as 2/3. @param {number} parts */
  function shareWords(parts) {
    const { FULL } = PITWRIGHT.mark;
    const by = common(parts, FULL);
    return `${parts / by}/${FULL / by}`;
  }

  /** A score with at most two places, never rounded up: one that falls short must not look as if it did not. */
  const figure = (score) => Math.floor(score * 100 + 1e-6) / 100;

  /**
   * What a form earned and what it needed, in questions. Where only whole marks can be earned, so is what is needed.
   * @param {object} bank from the marking
   * @param {{parts: number, asked: number}} result
   */
  function scoreWords(bank, result) {
    const shares = bank.questions.some((question) => question.kind === "matching" || question.partial);
    const need = (bank.pass * result.asked) / 100;
    return { got: figure(result.parts / PITWRIGHT.FULL), need: shares ? need : Math.ceil(need) };
  }

  Object.assign(PITWRIGHT, { answerWords, wrongPlace, shareWords, scoreWords, figure });
})(globalThis);
