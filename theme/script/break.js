/* The first page's answer to "how long is your break?": pieces that fit it, and why each is in it. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

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

  /** @param {boolean} first what one does now is the one filled press of the page */
  function row(piece, title, first) {
    const { make, word } = PITWRIGHT;
    const goOn = piece.kind === "lesson" || piece.why === "why_practice" ? "#go-on" : "";
    const address = piece.kind === "again" ? "again.html" : `${piece.kind}/${piece.id}.html${goOn}`;
    const name = piece.kind === "again" ? word("plan_again", { count: piece.count }) : title;
    const minutes = word(piece.part ? "plan_part" : "plan_minutes", { minutes: whole(piece.seconds) });
    return make(
      "li",
      { class: "break-piece" },
      make("a", { class: first ? "break-link press press-main" : "break-link", href: address }, name),
      make("p", { class: "row-facts" }, make("b", {}, minutes), " ", word(piece.why, piece.values)),
    );
  }

  function planned({ pieces }, { title, pace }, known) {
    const { make, word } = PITWRIGHT;
    if (!pieces.length) return [make("p", {}, word("plan_nothing"))];
    const rows = pieces.map((piece, at) => row(piece, piece.id && title(piece.kind, piece.id), at === 0));
    const share = new Intl.NumberFormat(PITWRIGHT.course.language, { maximumFractionDigits: 1 }).format(pace);
    return [
      make("ol", { class: "rows break-plan" }, rows),
      known ? make("p", { class: "hint" }, word("plan_pace", { pace: share })) : null,
    ].filter(Boolean);
  }

  /** Whoever has no break to fill still sees what comes next. */
  function nextPress({ progress, marking }) {
    const { make, word } = PITWRIGHT;
    const next = PITWRIGHT.progress.next(progress, marking);
    if (!next) return make("p", { class: "break-next" }, word("all_done"));
    const link = make("a", { class: "break-link press press-main", href: `${next.kind}/${next.id}.html` }, next.title);
    return make("p", { class: "break-next" }, word("next_for_you"), " ", link);
  }

  PITWRIGHT.part("break", (element) => {
    const { make, word } = PITWRIGHT;
    const lengths = element.querySelector(".break-lengths");
    const keys = Array.from(lengths.querySelectorAll(".break-length"));
    const place = element.querySelector("[data-plan]");
    /** Whether it is known who is here; what is pressed before waits for that. */
    let known = false;
    let wanted = 0;

    function press(length) {
      for (const key of keys) key.setAttribute("aria-pressed", String(Number(key.dataset.minutes) === length));
    }

    async function draw(code, chosen) {
      const found = await given(code);
      if (PITWRIGHT.here.code !== code) return;
      const minutes = chosen || found.places.get(BREAK) || 0;
      const refocus = PITWRIGHT.focusKept(place);
      press(minutes);
      place.replaceChildren(
        ...(minutes ? planned(PITWRIGHT.plan.plan({ ...found.plan, minutes }), found.plan, found.known) : [nextPress(found.plan)]),
      );
      refocus();
    }

    async function choose(length) {
      press(length);
      wanted = length;
      const { code } = PITWRIGHT.here;
      if (!known || !code) return;
      wanted = 0;
      await PITWRIGHT.keeper.keepPlace(code, BREAK, length);
      await draw(code, length);
      PITWRIGHT.say(word("plan_made", { count: place.querySelectorAll(".break-piece").length }));
    }

    /** Without a code there is one thing to do. */
    function nobody() {
      const refocus = PITWRIGHT.focusKept(place);
      press(0);
      place.replaceChildren(make("p", { class: "index-lead" }, word("index_lead")), PITWRIGHT.whoForm());
      refocus();
    }

    for (const key of keys) key.addEventListener("click", () => PITWRIGHT.guarded(element, () => choose(Number(key.dataset.minutes))));
    PITWRIGHT.here.watch((code) =>
      PITWRIGHT.guarded(element, async () => {
        await PITWRIGHT.leftSettled();
        known = true;
        element.querySelector("h2").hidden = !code;
        lengths.hidden = !code;
        if (!code) nobody();
        else if (wanted) await choose(wanted);
        else await draw(code);
      }),
    );
  });
})(globalThis);
