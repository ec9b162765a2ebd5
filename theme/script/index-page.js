/* The first page: where the person stands, and what comes next. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;
  const { document } = global;

  /** @returns {[string, boolean]} what to say of a lesson, and whether its pin stands */
  function lessonWords({ state, at }) {
    if (state === "unread") return ["", false];
    return [PITWRIGHT.word(state === "read" ? "state_read" : "state_read_old", { date: PITWRIGHT.day(at) }), state === "read"];
  }

  /** @returns {[string, boolean]} the same of a test, a call or a drill */
  function tryWords({ state, attempt }, leave) {
    const { word, day, moment } = PITWRIGHT;
    if (state === "untried") return ["", false];
    if (state === "open") return [word("state_open"), false];
    const { at, raw, max } = attempt.end;
    if (state === "passed" && attempt.kind === "drill") return [word("state_passed_run", { date: day(at) }), true];
    if (state === "passed") return [word("state_passed", { date: day(at), score: word("score_words", { got: raw, all: max }) }), true];
    if (state === "old") return [word("state_passed_old", { date: day(at) }), false];
    const then = { used: word("state_used"), wait: word("state_wait", { date: leave.until ? moment(leave.until) : "" }) }[leave.why];
    return [[word("state_failed", { date: day(at) }), then].filter(Boolean).join(". "), false];
  }

  function fill(row, [text, stands]) {
    row.querySelector("[data-state]").textContent = text;
    row.querySelector("[data-pin]").replaceChildren(PITWRIGHT.deck.onePin(stands));
    row.toggleAttribute("data-stands", stands);
  }

  function clear(row) {
    row.querySelector("[data-state]").textContent = "";
    row.querySelector("[data-pin]").replaceChildren(PITWRIGHT.deck.onePin(false));
    row.removeAttribute("data-stands");
  }

  function rows(kind, ids, words) {
    for (const row of document.querySelectorAll(`.row[data-${kind}]`)) {
      const id = row.dataset[kind];
      if (ids && ids.has(id)) fill(row, words(ids.get(id), id));
      else clear(row);
    }
  }

  /**
   * How many of a fold's rows stand; and the fold with what comes next is open.
   * @param {null | {kind: string, id: string}} next
   */
  function folds(next) {
    for (const fold of document.querySelectorAll("[data-rows]")) {
      const all = fold.querySelectorAll(".row").length;
      const standing = fold.querySelectorAll(".row[data-stands]").length;
      fold.querySelector("[data-count]").textContent = next === undefined ? all : PITWRIGHT.word("rows_of", { standing, all });
      if (next && fold.querySelector(`[data-${next.kind}="${next.id}"]`)) fold.open = true;
    }
  }

  PITWRIGHT.part("standing", async (element) => {
    const { marking } = PITWRIGHT;
    await PITWRIGHT.leftSettled();

    async function draw(code) {
      element.hidden = !code;
      if (!code) {
        for (const kind of ["lesson", "bank", "scenario", "drill"]) rows(kind, null);
        for (const first of document.querySelectorAll("[data-first]")) first.hidden = false;
        return folds(undefined);
      }
      const statements = (await PITWRIGHT.keeper.statements(code)).map((row) => row.statement);
      if (PITWRIGHT.here.code !== code) return;
      const released = await PITWRIGHT.releases(code, statements);
      if (PITWRIGHT.here.code !== code) return;
      const progress = PITWRIGHT.progress.fold(statements, marking);
      const attempts = PITWRIGHT.attempts.fold(statements, marking.home);
      const leave = (kind, items) => (one, id) => {
        const item = { kind, ...items.find((known) => known.id === id) };
        return tryWords(one, PITWRIGHT.attempts.leave(attempts, item, marking.attempts, Date.now(), released(item)));
      };
      rows("lesson", progress.lessons, lessonWords);
      for (const kind of ["bank", "scenario", "drill"]) rows(kind, progress[`${kind}s`], leave(kind, marking[`${kind}s`] || []));

      const read = (id) => progress.lessons.has(id) && progress.lessons.get(id).state === "read";
      for (const first of document.querySelectorAll("[data-first]")) first.hidden = first.dataset.first.split(" ").every(read);
      folds(PITWRIGHT.progress.next(progress, marking));
      element.replaceChildren(...PITWRIGHT.besideDeck(progress.standing, ...PITWRIGHT.standingWords(progress)));
    }

    PITWRIGHT.here.watch((code) => PITWRIGHT.guarded(element, () => draw(code)));
  });
})(globalThis);
