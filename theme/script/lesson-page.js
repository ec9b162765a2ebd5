/* A lesson: on record as opened, once a person a day; on record as read when the person says so. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;
  const { document } = global;

  const sameDay = (a, b) => new Date(a).toDateString() === new Date(b).toDateString();

  async function keepOpened(code, lesson, statements) {
    const id = `${PITWRIGHT.course.home}/lesson/${lesson.id}`;
    const now = Date.now();
    const already = statements.some(
      (one) => one.object.id === id && PITWRIGHT.statement.verb(one) === "experienced" && sameDay(one.timestamp, now),
    );
    if (!already) await PITWRIGHT.keeper.add(PITWRIGHT.statement.opened(PITWRIGHT.statement.frame(PITWRIGHT.course, code), lesson));
  }

  PITWRIGHT.part("read-to-end", async (element) => {
    const { make, word, day } = PITWRIGHT;
    const lesson = PITWRIGHT.marking.lessons.find((one) => one.id === document.body.dataset.id);

    async function keepRead(code) {
      const problem = element.querySelector(".problem");
      problem.textContent = "";
      try {
        await PITWRIGHT.keeper.add(PITWRIGHT.statement.read(PITWRIGHT.statement.frame(PITWRIGHT.course, code), lesson));
        await PITWRIGHT.placeDone();
      } catch (error) {
        problem.textContent = word("store_wrong", { why: error.message });
        return;
      }
      PITWRIGHT.say(word("read_kept", { code }));
      await draw(code);
    }

    async function draw(code) {
      const refocus = PITWRIGHT.focusKept(element);
      element.hidden = false;
      if (!code) {
        element.replaceChildren(make("p", {}, word("who_needed")), PITWRIGHT.whoForm());
        return;
      }
      const statements = (await PITWRIGHT.keeper.statements(code)).map((row) => row.statement);
      if (PITWRIGHT.here.code !== code) return;
      await keepOpened(code, lesson, statements);
      const { state, at } = PITWRIGHT.progress.fold(statements, PITWRIGHT.marking).lessons.get(lesson.id);
      if (state === "read") {
        element.replaceChildren(make("p", { class: "read-done" }, word("read_done", { date: day(at) })));
        refocus();
        return;
      }
      const press = make("button", { type: "button", class: "press press-main" }, word("read_button"));
      press.addEventListener("click", () => PITWRIGHT.pressed(press, () => keepRead(code)));
      element.replaceChildren(...(state === "old" ? [make("p", {}, word("read_again", { date: day(at) }))] : []), press, make("p", { class: "problem", role: "alert" }));
      refocus();
    }

    PITWRIGHT.here.watch((code) => PITWRIGHT.guarded(element, () => draw(code)));
  });
})(globalThis);
