/*
 * A person's own record: what the slip allows, what is missing and why, every attempt, handing in, bringing in. Where it is
 * time to hand in, that comes second.
 */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  function lessonItem(lesson, { state, at }) {
    const { make, word, day, record } = PITWRIGHT;
    const key = { unread: "state_unread", read: "state_read", old: "state_read_old" }[state];
    return record.row(
      state === "read",
      make("a", { class: "row-link", href: `lesson/${lesson.id}.html` }, lesson.title),
      make("p", { class: "row-facts" }, word(key, { date: at ? day(at) : "" })),
    );
  }

  function lessonsSection({ lessons, figure }, practice) {
    const { make, word, marking, record } = PITWRIGHT;
    const items = marking.lessons.map((lesson) => lessonItem(lesson, lessons.get(lesson.id)));
    return record.section(
      word("record_lessons"),
      ...record.rows(items, 0, () => word("record_read", { got: figure.lessons, all: figure.allLessons })),
      make("p", { class: "hint" }, word("record_practice", { count: practice })),
    );
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
      const [rows, handings] = await Promise.all([PITWRIGHT.keeper.statements(code), PITWRIGHT.keeper.handings(code)]);
      if (PITWRIGHT.here.code !== code) return;
      const statements = rows.map((row) => row.statement);
      const slip = await PITWRIGHT.slipOf(code, statements);
      if (PITWRIGHT.here.code !== code) return;
      const progress = PITWRIGHT.progress.fold(statements, marking);
      const practice = statements.filter((one) => PITWRIGHT.statement.extension(one, "practice")).length;
      const good = slip && slip.good ? slip.good : null;
      const missing = PITWRIGHT.missing.fold({ statements, marking, hash: course.markingHash, good, now: Date.now() });
      const hand = PITWRIGHT.handSection(code, rows, handings);
      const first = PITWRIGHT.waiting(rows, Date.now()).due !== "";
      if (first) hand.classList.add("hand-due");
      const head = PITWRIGHT.besideDeck(progress.standing, make("h2", {}, word("record_of", { code })), ...PITWRIGHT.standingWords(progress));
      const [can, ...asked] = PITWRIGHT.slipSections(slip, progress, missing);
      element.replaceChildren(
        make("section", { class: "standing" }, head),
        make("p", { class: "hand-told", role: "status" }, told),
        can,
        ...(first ? [hand] : []),
        ...asked,
        PITWRIGHT.missingSection(missing, good),
        PITWRIGHT.attemptsSection(statements, good),
        ...(first ? [] : [hand]),
        PITWRIGHT.bringSection(code, rows.length === 0, (text) => draw(code, text)),
        lessonsSection(progress, practice),
      );
      if (told) PITWRIGHT.say(told);
      refocus();
    }

    PITWRIGHT.here.watch((code) => PITWRIGHT.guarded(element, () => draw(code)));
  });
})(globalThis);
