/* The first page's answer to "how long is your break?": pieces that fit it, and why each is in it. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  const LENGTHS = [5, 10, 15, 20];
  /** The key under which the last answer is kept. */
  const BREAK = "break";

  const whole = (seconds) => Math.max(1, Math.round(seconds / 60));

  /** All that a plan is made from. @param {string} code */
  async function given(code) {
    const { marking, study } = PITWRIGHT;
    const statements = (await PITWRIGHT.keeper.statements(code)).map((row) => row.statement);
    const places = new Map(await PITWRIGHT.keeper.places(code));
    const found = await PITWRIGHT.slipOf(code, statements);
    const released = await PITWRIGHT.releases(code, statements);
    const attempts = PITWRIGHT.attempts.fold(statements, marking.home);
    const begun = new Map();
    for (const [page, place] of places) {
      // Practice of a course that was compiled anew since cannot be gone on with.
      if (page.startsWith("lesson/") || place.marking === PITWRIGHT.course.markingHash) begun.set(page, place.share);
    }
    const now = Date.now();
    const progress = PITWRIGHT.progress.fold(statements, marking);
    return {
      places,
      known: PITWRIGHT.plan.readings(statements, marking.home, study).length > 0,
      plan: {
        study,
        marking,
        progress,
        missed: PITWRIGHT.plan.missed(attempts, marking, study, progress),
        due: PITWRIGHT.review.due(PITWRIGHT.review.fold(statements, marking.home, study), now),
        begun,
        // How old a slip is makes no difference to what was asked.
        assignments: found && found.good ? found.good.slip.assignments : [],
        mayTry(kind, id) {
          const item = { kind, ...marking[`${kind}s`].find((one) => one.id === id) };
          return PITWRIGHT.attempts.leave(attempts, item, marking.attempts, now, released(item)).may;
        },
        pace: PITWRIGHT.plan.pace(statements, marking.home, study),
        title: (kind, id) => (marking[`${kind}s`].find((one) => one.id === id) || { title: id }).title,
        day: (text) => PITWRIGHT.day(`${text}T12:00:00`),
      },
    };
  }

  function row(piece, title) {
    const { make, word } = PITWRIGHT;
    const goOn = piece.kind === "lesson" || piece.why === "why_practice" ? "#go-on" : "";
    const address = piece.kind === "again" ? "again.html" : `${piece.kind}/${piece.id}.html${goOn}`;
    const name = piece.kind === "again" ? word("plan_again", { count: piece.count }) : title;
    const minutes = word(piece.part ? "plan_part" : "plan_minutes", { minutes: whole(piece.seconds) });
    return make(
      "li",
      { class: "break-piece" },
      make("a", { class: "break-link", href: address }, name),
      make("p", { class: "row-facts" }, make("b", {}, minutes), " ", word(piece.why, piece.values)),
    );
  }

  PITWRIGHT.part("break", (element) => {
    const { make, word } = PITWRIGHT;

    async function draw(code, chosen) {
      const { places, known, plan } = await given(code);
      if (PITWRIGHT.here.code !== code) return;
      const minutes = chosen || places.get(BREAK);
      const choices = LENGTHS.map((length) =>
        make(
          "button",
          {
            type: "button",
            class: "press break-length",
            "aria-pressed": String(length === minutes),
            onclick: () => PITWRIGHT.guarded(element, () => choose(code, length)),
          },
          word("break_minutes", { minutes: length }),
        ),
      );
      element.hidden = false;
      element.replaceChildren(
        make("h2", { id: "break-title", class: "board-line" }, word("break_title")),
        make("div", { class: "break-lengths", role: "group", "aria-labelledby": "break-title" }, choices),
        ...(minutes ? planned(PITWRIGHT.plan.plan({ ...plan, minutes }), plan, known) : []),
      );
    }

    function planned({ pieces }, { title, pace }, known) {
      const said = pieces.length
        ? make("ol", { class: "rows break-plan" }, pieces.map((piece) => row(piece, piece.id && title(piece.kind, piece.id))))
        : make("p", {}, word("plan_nothing"));
      const share = new Intl.NumberFormat(PITWRIGHT.course.language, { maximumFractionDigits: 1 }).format(pace);
      return [said, make("p", { class: "hint" }, known ? word("plan_pace", { pace: share }) : word("plan_no_pace"))];
    }

    async function choose(code, length) {
      await PITWRIGHT.keeper.keepPlace(code, BREAK, length);
      await draw(code, length);
      const pressed = element.querySelector("[aria-pressed=true]");
      if (pressed) pressed.focus();
      PITWRIGHT.say(word("plan_made", { count: element.querySelectorAll(".break-piece").length }));
    }

    PITWRIGHT.here.watch((code) =>
      PITWRIGHT.guarded(element, async () => {
        element.hidden = true;
        await PITWRIGHT.leftSettled();
        if (code) await draw(code);
      }),
    );
  });
})(globalThis);
