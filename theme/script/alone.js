/*
 * May I clear this alone? The page says "ask your trainer" by itself; only a slip that answers now, and says so for all
 * that the lesson needs, changes that, until the moment at which it no longer does.
 */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;
  const { document } = global;

  /** The longest that a timer can wait, in milliseconds. */
  const LONGEST = 2147483647;

  /** Leave, by a slip that answers, until a moment. */
  function may(element, good, until, code) {
    const { make, word, day } = PITWRIGHT;
    element.classList.add("alone-may");
    element.querySelector("[data-answer]").replaceChildren(
      make("p", { class: "alone-answer" }, word("alone_may", { until: PITWRIGHT.slip.untilWords(until) })),
      make("p", { class: "alone-why" }, word("alone_says", { date: day(good.issued), by: good.by, code })),
      make("p", { class: "alone-why" }, word("alone_lock")),
    );
  }

  /** @param {HTMLElement} element with `data-competencies`, and a place for the answer in it */
  function alone(element) {
    const { make, word, day, here } = PITWRIGHT;
    const needs = element.dataset.competencies.split(" ").filter(Boolean);
    const place = element.querySelector("[data-answer]");
    let timer = 0;

    const ask = (why, values) =>
      place.replaceChildren(make("p", { class: "alone-answer" }, word("alone_ask")), make("p", { class: "alone-why" }, word(why, values)));

    const SILENT = { future: "slip_future", clock: "slip_clock", old: "alone_old", course: "alone_course" };

    async function draw(code) {
      global.clearTimeout(timer);
      element.classList.remove("alone-may");
      // Whatever happens from here on, what stands there is no leave.
      ask("alone_none");
      if (!code) return;
      const statements = (await PITWRIGHT.keeper.statements(code)).map((row) => row.statement);
      const found = await PITWRIGHT.slipOf(code, statements);
      if (here.code !== code || !found) return;
      if (found.word) {
        ask(found.word, found.values);
        return;
      }
      const { good } = found;
      if (good.silent) {
        ask(SILENT[good.silent], { date: day(good.issued), days: PITWRIGHT.marking.slipDays });
        return;
      }
      const now = Date.now();
      const until = PITWRIGHT.slip.aloneUntil(good, needs, now);
      if (until === null) {
        const back = good.slip.standings.some((one) => needs.includes(one.competency) && one.standing === "withdrawn");
        ask(back ? "alone_back" : "alone_not", { date: day(good.issued) });
        return;
      }
      // What was failed since ends the signature, whether or not the trainer knows of it yet.
      const evidence = PITWRIGHT.marking.competencies.filter((one) => needs.includes(one.id)).flatMap((one) => one.evidence);
      const attempts = PITWRIGHT.attempts.fold(statements, PITWRIGHT.marking.home);
      if (PITWRIGHT.attempts.failedSince(attempts, evidence, good.issued)) {
        ask("alone_failed", { date: day(good.issued) });
        return;
      }
      may(element, good, until, code);
      timer = global.setTimeout(() => PITWRIGHT.guarded(element, () => draw(here.code)), Math.min(until - now, LONGEST));
    }

    // A page that was put aside wakes up later than its timers.
    document.addEventListener("visibilitychange", () => {
      if (!document.hidden) PITWRIGHT.guarded(element, () => draw(here.code));
    });
    here.watch((code) => PITWRIGHT.guarded(element, () => draw(code)));
  }

  PITWRIGHT.part("alone", alone);
  Object.assign(PITWRIGHT, { alone, aloneMay: may });
})(globalThis);
