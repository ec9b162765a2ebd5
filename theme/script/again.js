/* Questions whose day has come again, one after the other. Each answer is on record at once, so stopping loses nothing. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  /** A lesson's questions come with the lesson's own data, asked for when the first of them is due. */
  const loaded = new Map();

  function load(lesson) {
    if (!loaded.has(lesson)) {
      // Every such file writes into the same two names: what it brought is taken away before the next one comes.
      const arriving = PITWRIGHT.later(`data/lesson-${lesson}.js`, "", () => ({ texts: PITWRIGHT.texts, practice: PITWRIGHT.whole.practice[0] }));
      loaded.set(lesson, arriving);
    }
    return loaded.get(lesson);
  }

  PITWRIGHT.part("again", (element) => {
    const { make, makeRendered, word, marking, study } = PITWRIGHT;

    async function cards(code) {
      const statements = (await PITWRIGHT.keeper.statements(code)).map((row) => row.statement);
      return PITWRIGHT.review.fold(statements, marking.home, study);
    }

    /** @param {string} code @param {boolean} moved whether the person asked for it, and the focus goes with them */
    async function next(code, moved) {
      const all = await cards(code);
      if (PITWRIGHT.here.code !== code) return;
      const due = PITWRIGHT.review.due(all, Date.now());
      if (!due.length) {
        const later = all.map((card) => card.due).sort((a, b) => a - b)[0];
        const then = later === undefined ? word("again_none_yet") : word("again_then", { date: PITWRIGHT.day(new Date(later).toISOString()) });
        const done = make("h2", {}, word("again_done"));
        element.replaceChildren(done, make("p", {}, then), make("p", {}, make("a", { class: "press", href: "index.html" }, word("to_all"))));
        if (moved) PITWRIGHT.focusOn(done);
        return;
      }
      await ask(code, due[0], due.length, moved);
    }

    async function ask(code, card, left, moved) {
      const { texts, practice } = await load(card.lesson);
      if (PITWRIGHT.here.code !== code) return;
      const lesson = marking.lessons.find((one) => one.id === card.lesson);
      const text = texts.asks[card.ask];
      const on = make("button", { type: "button", class: "press press-main", hidden: true }, word("again_next"));
      on.addEventListener("click", () => PITWRIGHT.guarded(element, () => next(code, true)));
      const { form, told } = PITWRIGHT.practice({
        lesson,
        question: practice.questions.find((one) => one.id === card.ask),
        text,
        drawings: texts.drawings,
        labelledBy: "again-stem",
        onTold: () => (on.hidden = false),
      });
      const stem = makeRendered("div", { class: "stem", id: "again-stem" }, text.stem);
      const from = make("a", { href: `lesson/${lesson.id}.html` }, lesson.title);
      element.replaceChildren(
        make("p", { class: "over" }, word("again_left", { count: left }), " · ", from),
        make("div", { class: "ask question" }, stem, form, told),
        make("p", {}, on),
      );
      if (moved) PITWRIGHT.focusOn(stem);
    }

    PITWRIGHT.here.watch((code) =>
      PITWRIGHT.guarded(element, async () => {
        element.hidden = false;
        if (code) return next(code, false);
        element.replaceChildren(make("p", {}, word("who_needed")), PITWRIGHT.whoForm());
      }),
    );
  });
})(globalThis);
