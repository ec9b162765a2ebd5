/* A practice question: answered, told at once, tried again at will. Kept, never counted. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  /** So often at most what is to be put in order is shuffled anew: of two things every second order is right. */
  const ANEW = 30;

  /** What a question shows, shuffled, so that the order tells nothing. What is to be put in order does not stand in order already. */
  function shuffled(question) {
    const random = PITWRIGHT.random.fromHex(PITWRIGHT.random.seed());
    let shown = PITWRIGHT.draw.shown(question, random);
    const solved = () => question.kind === "sequencing" && PITWRIGHT.mark.question(question, PITWRIGHT.response.order(shown)) === PITWRIGHT.FULL;
    for (let turn = 0; turn < ANEW && solved(); turn += 1) shown = PITWRIGHT.draw.shown(question, random);
    return shown;
  }

  /**
   * @param {object} asked
   * @param {{id: string, edition: number}} asked.lesson
   * @param {object} asked.question of the marking @param {object} asked.text its words @param {Record<string, string>} asked.drawings
   * @param {string} asked.labelledBy the id of its stem
   * @param {(right: boolean) => void} [asked.onTold]
   * @returns {{form: HTMLElement, told: HTMLElement}}
   */
  function practice({ lesson, question, text, drawings, labelledBy, onTold = () => {} }) {
    const { make, makeRendered, word } = PITWRIGHT;
    const shown = shuffled(question);
    const told = make("div", { class: "told", role: "status" });
    let answered = false;

    async function answer(response) {
      const { code } = PITWRIGHT.here;
      const parts = PITWRIGHT.mark.question(question, response);
      if (code) {
        const frame = PITWRIGHT.statement.frame(PITWRIGHT.course, code);
        await PITWRIGHT.keeper.add(PITWRIGHT.statement.practised(frame, lesson, question.id, response, parts));
      }
      const right = parts === PITWRIGHT.FULL;
      const words = right ? word("right") : parts ? word("partly_right", { share: PITWRIGHT.shareWords(parts) }) : word("wrong");
      told.className = `told told-${right ? "right" : "wrong"}`;
      told.replaceChildren(
        make("p", { class: "told-word" }, words),
        ...[right ? null : PITWRIGHT.wrongPlace(question, text, response)].filter(Boolean),
        ...(right ? [] : PITWRIGHT.mark.right(question).slice(0, 1)).map((key) =>
          make("div", { class: "told-right-is" }, make("b", {}, word("right_answer")), " ", PITWRIGHT.answerWords(question, text, key)),
        ),
        makeRendered("p", {}, text.because),
        ...(code ? [] : [make("p", { class: "hint" }, word("not_kept"))]),
      );
      answered = true;
      mark(response);
      dress(word("ask_again"), "press-quiet");
      // The focus stays on the press, which now asks again; what was told is announced, and brought into sight.
      told.scrollIntoView({ block: "nearest" });
      onTold(right);
    }

    /** Which row was chosen and which are right: in words, with a sign each. */
    function mark(response) {
      const rows = Array.from(form.querySelectorAll(".choice"), (row) => ({ row, id: row.querySelector("input").value }));
      const best = new Set(PITWRIGHT.mark.right(question).flatMap((key) => PITWRIGHT.response.ids(key)));
      const given = new Set(PITWRIGHT.response.ids(response));
      for (const { row, id } of rows) {
        const [right, yours] = [best.has(id), given.has(id)];
        if (!right && !yours) continue;
        row.classList.add(right ? "choice-right" : "choice-wrong");
        const says = word(right && yours ? "mark_yours_right" : right ? "mark_right" : "mark_yours");
        row.append(make("b", { class: "choice-mark" }, make("span", { "aria-hidden": "true" }, right ? "\u2713 " : "\u2717 "), says));
      }
    }

    function dress(says, look) {
      const press = form.querySelector(".press[type=submit]");
      press.textContent = says;
      press.classList.remove("press-main", "press-quiet");
      press.classList.add(look);
    }

    function clear() {
      told.className = "told";
      told.replaceChildren();
      if (!answered) return;
      answered = false;
      for (const one of form.querySelectorAll(".choice-mark")) one.remove();
      for (const one of form.querySelectorAll(".choice")) one.classList.remove("choice-right", "choice-wrong");
      dress(word("answer"), "press-main");
    }

    const form = PITWRIGHT.questionForm({
      ...PITWRIGHT.planOf(question, text, drawings, shown),
      labelledBy,
      press: word("answer"),
      onAnswer: answer,
    });
    // What was told belongs to the answer that was given, and goes when another is chosen or typed.
    form.addEventListener("input", clear);
    // Pressed once more without another answer, it puts the question anew. Before the form reads what is chosen in it.
    form.addEventListener(
      "submit",
      (event) => {
        if (!answered) return;
        event.preventDefault();
        event.stopImmediatePropagation();
        clear();
        form.reset();
        form.querySelector("input, select, button").focus();
      },
      true,
    );
    PITWRIGHT.here.watch(() => {
      clear();
      form.reset();
    });
    return { form, told };
  }

  PITWRIGHT.practice = practice;

  PITWRIGHT.part("ask", (element) => {
    const { lesson: lessonId, ask: id } = element.dataset;
    const stem = element.querySelector(".stem");
    stem.id = `stem-${id}`;
    const { form, told } = practice({
      lesson: PITWRIGHT.marking.lessons.find((one) => one.id === lessonId),
      question: PITWRIGHT.marking.practice.find((one) => one.lesson === lessonId).questions.find((one) => one.id === id),
      text: PITWRIGHT.texts.asks[id],
      drawings: PITWRIGHT.texts.drawings,
      labelledBy: stem.id,
    });
    element.querySelector("[data-plain]").replaceWith(form, told);
  });
})(globalThis);
