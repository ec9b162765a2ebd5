/*
 * Statements, marking and slip → for each competency what is there, what is missing, and why. Pure: no page is touched, no
 * clock read. What was read and tried this browser knows; what was watched and signed only a slip says, as of its day. Where
 * the two differ, the one that allows less is believed.
 */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  const HOUR = 3600000;
  const DAY = 24 * HOUR;

  /**
   * @typedef {object} Item a lesson or assessment that a competency asks for
   * @property {"lesson" | "bank" | "scenario" | "drill"} kind
   * @property {string} id
   * @property {boolean} done
   * @property {"" | "slip" | "fresh"} by of what is done: "" by the record here; "slip": by the slip alone; "fresh": here, and
   *   after the slip, which still asks for it
   * @property {"" | "unread" | "edition" | "untried" | "running" | "failed" | "critical" | "unsafe" | "left" | "slip"} why of
   *   what is missing; "slip": done here, but the slip, made later, asks for it all the same
   * @property {string | null} at when it was done, or what was done of it
   * @property {number | null} edition the earlier edition that was read or passed
   * @property {import("./attempts.js").Attempt | null} attempt the counted one that decides
   * @property {number | null} number which try that was since the pass before
   * @property {number} slips critical questions missed, or unsafe choices made
   * @property {null | {left: number, until: string | null, uncounted: number}} tries left now; when the wait is over; how many
   *   since the one that decides do not count
   *
   * @typedef {object} Missing
   * @property {string} competency
   * @property {Item[]} items lessons, then assessments, in the course's order
   * @property {{times: number, real: number, met: number | null, metReal: number | null, unseen: number[]}} watched met: null where
   *   no slip says; unseen: the steps that were never seen, once anything counts
   * @property {"unknown" | "none" | "signed" | "over" | "failed" | "lapsed" | "withdrawn"} signature by the slip: "over": its
   *   time has run out since; "failed": something was failed here since
   * @property {number | null} until of a signature that holds: when the slip stops saying so
   * @property {string[]} lines what the slip says is still needed
   */

  const nothing = { done: false, by: "", why: "", at: null, edition: null, attempt: null, number: null, slips: 0, tries: null };

  /** As the register looks at it: the latest edition read, then the latest time. */
  function lessonItem(statements, home, lesson) {
    const item = { ...nothing, kind: "lesson", id: lesson.id };
    let best = null;
    for (const statement of statements) {
      if (statement.object.id !== `${home}/lesson/${lesson.id}` || PITWRIGHT.statement.verb(statement) !== "completed") continue;
      const edition = PITWRIGHT.statement.extension(statement, "edition") || 1;
      const at = statement.timestamp;
      if (!best || edition > best.edition || (edition === best.edition && at >= best.at)) best = { edition, at };
    }
    if (!best) return { ...item, why: "unread" };
    if (best.edition < lesson.edition) return { ...item, why: "edition", ...best };
    return { ...item, done: true, at: best.at };
  }

  /** Critical questions without a full mark; unsafe choices. Of a course that holds neither whole, none is known. */
  function slipsOf(attempt, assessment) {
    if (attempt.kind === "bank") {
      const critical = new Set((assessment.questions || []).filter((one) => one.critical).map((one) => one.id));
      return attempt.answers.filter(({ of, parts }) => critical.has(of) && parts !== PITWRIGHT.FULL).length;
    }
    if (attempt.kind !== "scenario") return 0;
    const unsafe = new Set((assessment.scenes || []).flatMap((scene) => scene.choices.filter((one) => one.unsafe).map((one) => `${scene.id} ${one.id}`)));
    return attempt.answers.filter(({ of, response }) => unsafe.has(`${of} ${response}`)).length;
  }

  function failedWhy(attempt, slips) {
    if (attempt.end.left) return "left";
    if (!slips) return "failed";
    return attempt.kind === "bank" ? "critical" : "unsafe";
  }

  /** As the register looks at it: the latest counted attempt on the edition in use decides. */
  function assessmentItem(attempts, kind, assessment, rule, released, now) {
    const item = { ...nothing, kind, id: assessment.id };
    const all = attempts.filter((one) => one.kind === kind && one.id === assessment.id);
    const here = all.filter((one) => one.edition === assessment.edition);
    const { counted, left, ended } = PITWRIGHT.attempts.tally(here, rule, released, now);
    const over = ended === null ? 0 : ended + rule.waitHours * HOUR;
    const last = here.find((one) => one.registration === counted[counted.length - 1]) || null;
    const later = here.slice(last ? here.indexOf(last) + 1 : 0);
    const tries = { left, until: now < over ? new Date(over).toISOString() : null, uncounted: later.filter((one) => one.end).length };
    if (last) {
      const slips = slipsOf(last, assessment);
      const found = { ...item, tries, attempt: last, at: last.end.at, number: numberOf(last, here, counted), slips };
      return last.end.passed ? { ...found, done: true } : { ...found, why: failedWhy(last, slips) };
    }
    if (here.some((one) => !one.end)) return { ...item, tries, why: "running" };
    const old = all.filter((one) => one.end && one.end.passed && one.edition !== assessment.edition).pop();
    return old ? { ...item, tries, why: "edition", edition: old.edition, at: old.end.at } : { ...item, tries, why: "untried" };
  }

  function numberOf(attempt, here, counted) {
    let number = 0;
    for (const one of here.filter(({ registration }) => counted.includes(registration))) {
      number += 1;
      if (one === attempt) return number;
      if (one.end.passed) number = 0;
    }
    return number;
  }

  /** What a slip says of one competency, as far as it may be believed here and now. */
  function slipSays(good, id, hash) {
    const stands = good ? good.slip.standings.find((one) => one.competency === id) : null;
    if (!stands) return null;
    const lacks = stands.lacks || (stands.standing === "signed" ? [] : null);
    return { stands, issued: good.issued, lacks, full: lacks !== null && !good.silent && good.slip.marking === hash };
  }

  /** Holds one thing against the slip. */
  function besideSlip(item, says, failedSince, over) {
    if (!says || says.lacks === null) return item;
    const asks = says.lacks.some((one) => one[item.kind] === item.id);
    if (item.done && asks) {
      // A pass counts from when it was begun: what was under way when the slip was made may have to be done anew.
      // After a withdrawal nothing of that day counts; when it was, the slip does not say, but it was before the slip.
      const from = says.issued + (says.stands.standing === "withdrawn" ? DAY : 0);
      const since = Date.parse(item.attempt ? item.attempt.begun : item.at) > from;
      return since ? { ...item, by: "fresh" } : { ...item, done: false, why: "slip" };
    }
    if (!item.done && !asks && says.full && !over && !failedSince(item)) return { ...item, done: true, by: "slip" };
    return item;
  }

  /** Whether a signature's time ran out after the slip, whatever else has ended it: then more must be done anew than the slip says. */
  function runsOutSince({ stands, issued }, now) {
    const day = stands.runsOut || stands.until;
    const over = day ? PITWRIGHT.slip.midnight(day) : Infinity;
    return issued < over && over <= now;
  }

  function signatureOf(good, says, broken, now) {
    if (!says) return { signature: "unknown", until: null };
    const { standing } = says.stands;
    if (["signed", "lapsed"].includes(standing) && runsOutSince(says, now)) return { signature: "over", until: null };
    if (standing === "lapsed" || standing === "withdrawn") return { signature: standing, until: null };
    if (standing !== "signed") return { signature: "none", until: null };
    if (says.stands.may !== "alone") return { signature: "unknown", until: null };
    if (broken) return { signature: "failed", until: null };
    const until = PITWRIGHT.slip.aloneUntil(good, [says.stands.competency], now);
    return { signature: until === null ? "unknown" : "signed", until };
  }

  /**
   * @param {object} given
   * @param {object[]} given.statements one person's @param {object} given.marking @param {string} given.hash its name
   * @param {import("./slip.js").Good | null} given.good that person's slip
   * @param {number} given.now milliseconds since 1970
   * @returns {Missing[]} in the course's order
   */
  function fold({ statements, marking, hash, good, now }) {
    const attempts = PITWRIGHT.attempts.fold(statements, marking.home);
    const made = new Map();
    const itemOf = (kind, id) => {
      const key = `${kind}/${id}`;
      const thing = (marking[`${kind}s`] || []).find((one) => one.id === id);
      if (!made.has(key)) {
        const released = good && thing ? PITWRIGHT.slip.released(good, { kind, id, edition: thing.edition }) : [];
        const item = !thing
          ? { ...nothing, kind, id, why: kind === "lesson" ? "unread" : "untried" }
          : kind === "lesson"
            ? lessonItem(statements, marking.home, thing)
            : assessmentItem(attempts, kind, thing, marking.attempts, released, now);
        made.set(key, item);
      }
      return made.get(key);
    };

    return marking.competencies.map((competency) => {
      const says = slipSays(good, competency.id, hash);
      const wanted = [...competency.study.map((id) => ["lesson", id]), ...competency.evidence.map((one) => Object.entries(one)[0])];
      const failedSince = (item) => item.why !== "" && item.attempt !== null && Date.parse(item.at) > says.issued;
      const broken = says !== null && PITWRIGHT.attempts.failedSince(attempts, competency.evidence, says.issued);
      const over = says !== null && signatureOf(good, says, false, now).signature === "over";
      const { times, real } = competency.witnessed;
      const seen = says && says.stands.watched;
      return {
        competency: competency.id,
        items: wanted.map(([kind, id]) => besideSlip(itemOf(kind, id), says, failedSince, over)),
        watched: { times, real, met: seen ? seen.met : null, metReal: seen ? seen.real : null, unseen: seen && Array.isArray(seen.unseen) ? seen.unseen : [] },
        ...signatureOf(good, says, broken, now),
        lines: says ? says.stands.missing : [],
      };
    });
  }

  PITWRIGHT.missing = { fold };
})(globalThis);
