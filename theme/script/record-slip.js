/* What the slip on record says: standing, what was asked for, and until when it answers. What is missing: record-missing.js. */
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
  function mayWords(good, stands, now, broken) {
    const { word } = PITWRIGHT;
    if (good.silent || broken.has(stands.competency)) return word("may_ask");
    if (stands.may !== "alone") return word(`may_${stands.may}`);
    const until = PITWRIGHT.slip.aloneUntil(good, [stands.competency], now);
    return until === null ? word("may_ask") : word("may_alone", { until: PITWRIGHT.slip.untilWords(until) });
  }

  function standingItem(good, stands, now, broken) {
    const { make, word, marking, record } = PITWRIGHT;
    const known = marking.competencies.find((one) => one.id === stands.competency);
    return record.row(
      isAlone(good, stands, now, broken),
      make("h3", { class: "row-title" }, known ? known.says : stands.competency),
      make("p", { class: "row-state" }, `${word(`standing_${stands.standing.replaceAll("-", "_")}`)}. ${mayWords(good, stands, now, broken)}`),
    );
  }

  const isAlone = (good, stands, now, broken) => !broken.has(stands.competency) && PITWRIGHT.slip.aloneUntil(good, [stands.competency], now) !== null;

  /** What is signed off and holds stands in sight; all else is folded, since it comes down to one sentence. */
  function standingRows(good, now, broken) {
    const { word, record } = PITWRIGHT;
    const all = good.slip.standings;
    const alone = all.filter((stands) => isAlone(good, stands, now, broken));
    const others = all.filter((stands) => !alone.includes(stands));
    const items = [...alone, ...others].map((stands) => standingItem(good, stands, now, broken));
    return record.rows(items, alone.length, (count) => word(good.silent ? "slip_others_ask" : alone.length ? "slip_others" : "slip_others_all", { count }));
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
    const { make, word, record } = PITWRIGHT;
    const thing = named(asked.thing);
    const [state, done] = askedState(asked, thing, progress, now);
    const kind = word({ lesson: "asked_lesson", bank: "test", scenario: "call", drill: "drill", competency: "asked_competency" }[thing.kind]);
    return record.row(
      done,
      thing.href ? make("a", { class: "row-link", href: thing.href }, thing.title) : make("h3", { class: "row-title" }, thing.title),
      make("p", { class: "row-state" }, `${kind} · ${state}`),
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
   * @param {import("./missing.js").Missing[]} missing
   * @returns {HTMLElement[]} sections for the record page, what may be done first
   */
  function slipSections(found, progress, missing) {
    const { make, word, moment, record } = PITWRIGHT;
    const { section } = record;
    if (!found) return [section(word("slip_title"), make("p", {}, make("b", {}, word("may_ask")), " ", word("slip_none")))];
    if (found.word) {
      const why = word("slip_refused_here", { why: word(found.word, found.values) });
      return [section(word("slip_title"), make("p", { class: "slip-silent" }, why))];
    }
    const { good } = found;
    const { slip } = good;
    const now = Date.now();
    // Failed here since the slip: the register will end the signature by that, so it answers nothing any more.
    const broken = new Set(missing.filter((one) => one.signature === "failed").map((one) => one.competency));
    const asked = slip.assignments.slice().sort(byDue);
    return [
      section(
        word("slip_title"),
        make("p", { class: "slip-of" }, word("slip_of", { date: moment(good.issued), by: good.by })),
        make("p", { class: good.silent ? "slip-silent" : "slip-answers" }, answers(good)),
        ...standingRows(good, now, broken),
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
