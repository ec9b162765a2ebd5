/* What the slip on record says: standing, what is missing, what was asked for, and until when it answers. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  /** The title of what was asked for, and the page it is on; null for a competency. */
  function named(thing) {
    const { marking } = PITWRIGHT;
    const [kind, id] = Object.entries(thing)[0];
    if (kind === "competency") {
      const known = marking.competencies.find((one) => one.id === id);
      return { kind, id, title: known ? known.says : id, href: null };
    }
    const known = (marking[`${kind}s`] || []).find((one) => one.id === id);
    return { kind, id, title: known ? known.title : id, href: known ? `${kind}/${id}.html` : null };
  }

  /** What a standing allows, as of now. Where the slip answers nothing, it allows nothing. */
  function mayWords(good, stands, now) {
    const { word } = PITWRIGHT;
    if (good.silent) return word("may_ask");
    if (stands.may !== "alone") return word(`may_${stands.may}`);
    const until = PITWRIGHT.slip.aloneUntil(good, [stands.competency], now);
    return until === null ? word("may_ask") : word("may_alone", { until: PITWRIGHT.slip.untilWords(until) });
  }

  function standingItem(good, stands, now) {
    const { make, word, deck, marking } = PITWRIGHT;
    const known = marking.competencies.find((one) => one.id === stands.competency);
    return make(
      "li",
      { class: "row" },
      make("span", { class: "row-pin" }, deck.onePin(stands.standing === "signed")),
      make(
        "div",
        { class: "row-text" },
        make("h3", { class: "row-title" }, known ? known.says : stands.competency),
        make("p", { class: "row-state" }, `${word(`standing_${stands.standing.replaceAll("-", "_")}`)}. ${mayWords(good, stands, now)}`),
        stands.missing.length
          ? make("div", { class: "row-facts" }, make("p", { class: "slip-missing" }, word("still_needed")), make("ul", {}, stands.missing.map((line) => make("li", {}, line))))
          : null,
      ),
    );
  }

  /** Whether it has been done in this browser, whatever the slip knew. */
  function doneHere({ kind, id }, progress) {
    if (kind === "lesson") return (progress.lessons.get(id) || {}).state === "read";
    const tried = progress[`${kind}s`];
    return Boolean(tried && (tried.get(id) || {}).state === "passed");
  }

  /** The end of a day, as the clock on the wall counts it. */
  const over = (day, now) => new Date(`${day}T23:59:59.999`).getTime() < now;

  function askedState(asked, thing, progress, now) {
    const { word, day } = PITWRIGHT;
    if (asked.done) return [word("asked_done"), true];
    if (doneHere(thing, progress)) return [word("asked_done_here"), true];
    if (!asked.due) return [word("asked_open"), false];
    const late = over(asked.due, now);
    return [word(late ? "asked_overdue" : "asked_due", { date: day(`${asked.due}T12:00:00`) }), false];
  }

  function askedItem(asked, progress, now) {
    const { make, word, deck } = PITWRIGHT;
    const thing = named(asked.thing);
    const [state, done] = askedState(asked, thing, progress, now);
    const kind = word({ lesson: "asked_lesson", bank: "test", scenario: "call", drill: "drill", competency: "asked_competency" }[thing.kind]);
    return make(
      "li",
      { class: "row" },
      make("span", { class: "row-pin" }, deck.onePin(done)),
      make(
        "div",
        { class: "row-text" },
        thing.href ? make("a", { class: "row-link", href: thing.href }, thing.title) : make("h3", { class: "row-title" }, thing.title),
        make("p", { class: "row-state" }, `${kind} · ${state}`),
      ),
    );
  }

  function triesItem({ assessment, more }) {
    const { make, word } = PITWRIGHT;
    return make("p", { class: "slip-tries" }, word("slip_tries", { title: named(assessment).title, count: more }));
  }

  const SILENT = { old: "slip_no_longer", course: "slip_other_edition", future: "slip_future", clock: "slip_clock" };

  /** Until when it answers, or why it answers nothing. */
  function answers({ silent, issued, until }) {
    const { word, day, marking } = PITWRIGHT;
    if (silent) return word(SILENT[silent], { date: day(issued), days: marking.slipDays });
    return word("slip_answers", { until: PITWRIGHT.slip.untilWords(until) });
  }

  /** Open before done; the sooner due before the later, those without a day last. */
  const byDue = (a, b) => Number(a.done) - Number(b.done) || (a.due || "9999").localeCompare(b.due || "9999");

  /**
   * @param {null | {good: import("./slip.js").Good} | {word: string, values?: object}} found
   * @param {import("./progress.js").Progress} progress
   * @returns {HTMLElement[]} sections for the record page
   */
  function slipSections(found, progress) {
    const { make, word, moment } = PITWRIGHT;
    const section = (title, ...content) => make("section", { class: "module" }, make("h2", { class: "board-line" }, title), ...content);
    if (!found) return [section(word("slip_title"), make("p", {}, word("slip_none")))];
    if (found.word) {
      const why = word("slip_refused_here", { why: word(found.word, found.values) });
      return [section(word("slip_title"), make("p", { class: "slip-silent" }, why))];
    }
    const { good } = found;
    const { slip } = good;
    const now = Date.now();
    const asked = slip.assignments.slice().sort(byDue);
    return [
      section(
        word("slip_title"),
        make("p", { class: "slip-of" }, word("slip_of", { date: moment(good.issued), by: good.by })),
        make("p", { class: good.silent ? "slip-silent" : "slip-answers" }, answers(good)),
        make("ol", { class: "rows" }, slip.standings.map((stands) => standingItem(good, stands, now))),
        ...slip.tries.map(triesItem),
      ),
      section(
        word("asked_title"),
        asked.length ? make("ol", { class: "rows" }, asked.map((one) => askedItem(one, progress, now))) : make("p", {}, word("asked_none")),
      ),
    ];
  }

  PITWRIGHT.slipSections = slipSections;
})(globalThis);
