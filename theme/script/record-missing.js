/* What is missing for each competency, and why, in words. What is found stands in missing.js; nothing is decided here. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  /** So many competencies stand in sight: those where the least is missing. */
  const NEAREST = 4;

  function thing({ kind, id }) {
    const { make, marking } = PITWRIGHT;
    const known = (marking[`${kind}s`] || []).find((one) => one.id === id);
    return known ? make("a", { class: "lack-link", href: `${kind}/${id}.html` }, known.title) : make("b", {}, id);
  }

  /** Which try, when, and how it came out: “Try 2, 3 May: 7 of 10”. */
  function tryWords({ attempt, number, at }) {
    const { word, day } = PITWRIGHT;
    const tried = word("lack_try", { number, date: day(at) });
    if (attempt.kind === "drill") return tried;
    return `${tried}: ${word("score_words", { got: PITWRIGHT.figure(attempt.end.raw), all: attempt.end.max })}`;
  }

  /** Whether and when it can be tried again. */
  function againWords({ tries, why }) {
    const { word, moment } = PITWRIGHT;
    if (!tries || why === "running" || why === "slip") return [];
    const words = [];
    if (tries.uncounted) words.push(word("lack_uncounted"));
    if (tries.left === 0) words.push(word("lack_tries_used"));
    else if (tries.until) words.push(word("tries_wait", { date: moment(tries.until) }));
    else if (why !== "untried") words.push(word("tries_left", { count: tries.left }));
    return words;
  }

  function whyWords(item, slipDay) {
    const { word, day } = PITWRIGHT;
    const { kind, why, edition, at, slips } = item;
    const date = at ? day(at) : "";
    if (why === "slip") return [word(kind === "lesson" ? "lack_slip_read" : "lack_slip_passed", { date, slip: slipDay })];
    if (why === "edition") return [word(kind === "lesson" ? "lack_old_read" : "lack_old_passed", { date, edition })];
    if (!item.attempt) return [word(`lack_${why}`)];
    return [`${tryWords(item)}.`, word(why === "failed" && kind === "drill" ? "lack_failed_run" : `lack_${why}`, { count: slips })];
  }

  const KINDS = { lesson: "asked_lesson", bank: "test", scenario: "call", drill: "drill" };

  /** A lesson and its drill may go by one title: which of them it is stands below. */
  function thingItem(item, words) {
    const { make, word } = PITWRIGHT;
    return make("li", {}, thing(item), make("span", { class: "lack-why" }, `${word(KINDS[item.kind])} · ${words}`));
  }

  const lackItem = (item, slipDay) => thingItem(item, [...whyWords(item, slipDay), ...againWords(item)].join(" "));

  function doneItem(item, slipDay) {
    const { word, day } = PITWRIGHT;
    const { kind, by, at } = item;
    let words = by === "slip" ? word("lack_by_slip", { slip: slipDay }) : word("state_read", { date: at ? day(at) : "" });
    if (by !== "slip" && kind !== "lesson") words = `${word("passed")}. ${tryWords(item)}`;
    if (by === "fresh") words += ` ${word("lack_fresh")}`;
    return thingItem(item, words);
  }

  /** How often somebody was watched, and into which list that goes. Only a slip knows. */
  function watchedWords({ watched, signature }, slipDay) {
    const { times, real, met, metReal, unseen } = watched;
    const { word } = PITWRIGHT;
    if (times === 0) return [];
    if (met === null) return [["unknown", word("lack_watched_unknown", { times })]];
    // Of what was watched before a signature that has run out since, none may count any more.
    const list = signature === "over" ? "unknown" : met >= times && metReal >= real && !unseen.length ? "done" : "missing";
    const calls = real ? ` ${word("lack_watched_real", { got: metReal, real })}` : "";
    const steps = unseen.length ? ` ${word("lack_watched_unseen", { steps: unseen.join(", ") })}` : "";
    return [[list, `${word("lack_watched", { got: met, times, slip: slipDay })}${calls}${steps}`]];
  }

  function signatureWords({ signature, until }, slipDay) {
    const values = { slip: slipDay, until: until === null ? "" : PITWRIGHT.slip.untilWords(until) };
    const list = { unknown: "unknown", signed: "done" }[signature] || "missing";
    return [[list, PITWRIGHT.word(`lack_signature_${signature}`, values)]];
  }

  /** The whole of a row in one line, for somebody who only looks. */
  function shortWords({ items, watched, signature }) {
    const { word } = PITWRIGHT;
    const open = (isLesson) => items.filter((item) => !item.done && (item.kind === "lesson") === isLesson).length;
    const [read, pass] = [open(true), open(false)];
    const words = [];
    if (read) words.push(word("lack_read_count", { count: read }));
    if (pass) words.push(word("lack_pass_count", { count: pass }));
    if (!read && !pass) words.push(word("lack_nothing_here"));
    if (watched.met !== null && signature !== "signed") words.push(word("lack_watched_count", { got: watched.met, times: watched.times }));
    if (signature !== "unknown") words.push(word(`lack_short_${signature}`));
    return words.join(" · ");
  }

  function competencyItem(found, slipDay) {
    const { make, word, marking, record } = PITWRIGHT;
    const { says } = marking.competencies.find((one) => one.id === found.competency);
    const [open, done] = [found.items.filter((item) => !item.done), found.items.filter((item) => item.done)];
    const more = [...watchedWords(found, slipDay), ...signatureWords(found, slipDay)];
    const said = (list) => more.filter(([name]) => name === list).map(([, text]) => make("li", {}, make("span", { class: "lack-why" }, text)));
    const list = (title, items) => (items.length ? [make("p", { class: "lack-head" }, title), make("ul", { class: "lack-list" }, items)] : []);
    const head = [make("span", { class: "row-title" }, says), make("span", { class: "row-state" }, shortWords(found))];
    const body = [
      ...list(word("lack_missing"), [...open.map((item) => lackItem(item, slipDay)), ...said("missing")]),
      ...list(word("lack_unknown"), said("unknown")),
      ...list(word("lack_done"), [...done.map((item) => doneItem(item, slipDay)), ...said("done")]),
      ...list(word("lack_lines", { slip: slipDay }), found.lines.map((line) => make("li", {}, make("span", { class: "lack-why" }, line)))),
    ];
    return record.row(open.length === 0 && found.signature === "signed", record.fold(head, ...body));
  }

  /** Signatures that ended come first, then what is nearest to its end; what is signed off comes last. */
  function nearest(one, other) {
    const place = ({ signature }) => (["failed", "over", "withdrawn", "lapsed"].includes(signature) ? 0 : signature === "signed" ? 2 : 1);
    const open = ({ items }) => items.filter((item) => !item.done).length;
    return place(one) - place(other) || open(one) - open(other);
  }

  /**
   * @param {import("./missing.js").Missing[]} found @param {null | import("./slip.js").Good} good
   * @returns {HTMLElement}
   */
  function missingSection(found, good) {
    const { make, word, day, record } = PITWRIGHT;
    const slipDay = good ? day(good.issued) : "";
    return record.section(
      word("lack_title"),
      make("p", { class: "lack-lead" }, word(good ? "lack_lead_slip" : "lack_lead", { slip: slipDay })),
      ...record.rows(found.slice().sort(nearest).map((one) => competencyItem(one, slipDay)), NEAREST, (count) => word("lack_others", { count })),
    );
  }

  PITWRIGHT.missingSection = missingSection;
})(globalThis);
