/* What to do in a break: pieces that fit it, each with the reason why it is in it. No page is touched here. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  const MINUTE = 60;
  /** A question that comes again, in seconds: read, answered, and what is told read as well. Common practice, no source. */
  const AGAIN = 30;
  /** Less of a lesson than this is not worth beginning, in seconds. Common practice, no source. */
  const PART = 3 * MINUTE;
  /** Of a break, what is kept for questions that fade: more would push new things out, none would let the old ones go. */
  const SHARE = 0.25;

  /** How many of the last readings tell the pace, and the bounds between which a reading tells something of it. */
  const READINGS = 5;
  const SLOWEST = 4;

  /**
   * How slowly a person read, as multiples of the estimate: the last readings that were opened and ended on one day.
   * @param {object[]} statements @param {string} home @param {Study} study
   */
  function readings(statements, home, study) {
    const opened = new Map();
    const shares = [];
    for (const statement of statements) {
      const verb = PITWRIGHT.statement.verb(statement);
      const id = statement.object.id.slice(`${home}/lesson/`.length);
      const takes = study.lessons[id] && study.lessons[id].seconds;
      const at = Date.parse(statement.timestamp) / 1000;
      if (!takes || statement.object.id !== `${home}/lesson/${id}`) continue;
      if (verb === "experienced") opened.set(id, at);
      if (verb !== "completed" || !opened.has(id)) continue;
      const share = (at - opened.get(id)) / takes;
      opened.delete(id);
      if (share >= 1 / SLOWEST && share <= SLOWEST) shares.push(share);
    }
    return shares.slice(-READINGS);
  }

  /**
   * A person's pace: the middle of those. Two readings at the estimate are counted in from the start, so that a single odd one
   * changes little.
   * @param {object[]} statements @param {string} home @param {Study} study
   */
  function pace(statements, home, study) {
    const last = [1, 1, ...readings(statements, home, study)].sort((a, b) => a - b);
    const middle = Math.floor(last.length / 2);
    return last.length % 2 ? last[middle] : (last[middle - 1] + last[middle]) / 2;
  }

  /**
   * Lessons on what was wrong in tests whose last attempt was no pass: first what must be right, and none that was read since.
   * @param {object[]} attempts @param {object} marking @param {Study} study @param {import("./progress.js").Progress} progress
   * @returns {{lesson: string, title: string}[]} title: of the test
   */
  function missed(attempts, marking, study, progress) {
    const last = new Map(attempts.filter(({ kind, end }) => kind === "bank" && end).map((attempt) => [attempt.id, attempt]));
    const found = [];
    for (const { id, end, answers } of last.values()) {
      const { asks } = study.banks[id] || { asks: {} };
      const title = (marking.banks.find((one) => one.id === id) || { title: id }).title;
      for (const { of, parts } of end.passed ? [] : answers) {
        if (parts === PITWRIGHT.FULL || !asks[of]) continue;
        const [competency, critical] = asks[of];
        const lessons = (marking.competencies.find((one) => one.id === competency) || { study: [] }).study;
        // A competency is studied from what it rests on to what it is about: the last is nearest to the question.
        const lesson = lessons[lessons.length - 1];
        const known = progress.lessons.get(lesson);
        if (known && known.state === "read" && known.at < end.at) found.push({ lesson, title, critical });
      }
    }
    return found.sort((a, b) => b.critical - a.critical);
  }

  /**
   * @typedef {object} Study `data/study.js`
   * @typedef {object} Piece
   * @property {"lesson" | "again" | "bank" | "scenario" | "drill"} kind
   * @property {string} id empty for questions that come again
   * @property {number} seconds what it takes of this break
   * @property {boolean} part whether the rest of it is for another break
   * @property {number} [count] of questions that come again
   * @property {string} why the key of the reason @property {Record<string, string>} values what stands in it
   *
   * @param {object} given
   * @param {number} given.minutes the break
   * @param {Study} given.study
   * @param {object} given.marking
   * @param {import("./progress.js").Progress} given.progress
   * @param {import("./review.js").Card[]} given.due questions whose day has come
   * @param {Map<string, number>} given.begun of lessons and practice that were stopped, as `kind/id`: the share that is done, 0 … 1
   * @param {{thing: object, due?: string, done: boolean}[]} given.assignments
   * @param {(kind: string, id: string) => boolean} given.mayTry whether an assessed attempt may begin now
   * @param {{lesson: string, title: string}[]} [given.missed] lessons on what was wrong in a test, most important first
   * @param {number} given.pace
   * @param {(kind: string, id: string) => string} given.title
   * @param {(day: string) => string} given.day
   * @returns {{pieces: Piece[], left: number}} left: seconds of the break that nothing fills
   */
  function plan(given) {
    const { study, marking, progress, begun } = given;
    const pieces = [];
    const planned = new Set();
    let left = given.minutes * MINUTE;

    const read = (id) => !progress.lessons.has(id) || progress.lessons.get(id).state === "read" || planned.has(`lesson/${id}`);
    const passed = (kind, id) => {
      const one = progress[`${kind}s`].get(id);
      return !one || one.state === "passed";
    };
    const takes = (kind, id, why) => {
      const known = study[`${kind}s`][id];
      // A run that counts begins at its beginning, however far practice has come.
      const rest = kind === "lesson" || why === "why_practice" ? 1 - (begun.get(`${kind}/${id}`) || 0) : 1;
      return known ? Math.max(MINUTE, Math.round(known.seconds * rest * given.pace)) : Infinity;
    };

    /** Puts a piece in, if it fits or, of a lesson, a part does. Answers whether all of it is in. */
    function take(kind, id, why, values, kept) {
      const key = `${kind}/${id}`;
      if (planned.has(key)) return true;
      const seconds = takes(kind, id, why);
      const room = left - kept;
      if (seconds <= room) {
        planned.add(key);
        pieces.push({ kind, id, seconds, part: false, why, values });
        left -= seconds;
        return true;
      }
      if (kind === "lesson" && room >= PART && seconds < Infinity && !pieces.some((piece) => piece.part)) {
        pieces.push({ kind, id, seconds: room, part: true, why, values });
        left -= room;
      }
      return false;
    }

    /** What must be read first, first things first, then the lesson itself. */
    function lessonAfterOthers(id, why, values, kept, seen = new Set()) {
      if (read(id)) return true;
      if (seen.has(id)) return false;
      seen.add(id);
      const before = (study.lessons[id] ? study.lessons[id].after : []).filter((one) => !read(one));
      const first = { why: "why_before", values: { title: given.title("lesson", id) } };
      if (!before.every((one) => lessonAfterOthers(one, first.why, first.values, kept, seen))) return false;
      return take("lesson", id, why, values, kept);
    }

    const shows = (kind, id) => (one) => one.evidence.some((each) => each[kind] === id);
    const studyOf = (kind, id) => marking.competencies.filter(shows(kind, id)).flatMap((one) => one.study);

    /** The study that an assessment rests on, then the assessment. */
    function tryAfterStudy(kind, id, why, values, kept) {
      if (passed(kind, id)) return true;
      const title = given.title(kind, id);
      if (!studyOf(kind, id).every((one) => lessonAfterOthers(one, "why_before", { title }, kept))) return false;
      return given.mayTry(kind, id) && take(kind, id, why, values, kept);
    }

    function asked(thing, why, values, kept) {
      if (thing.lesson) return lessonAfterOthers(thing.lesson, why, values, kept);
      for (const kind of ["bank", "scenario", "drill"]) {
        if (thing[kind]) return tryAfterStudy(kind, thing[kind], why, values, kept);
      }
      const competency = marking.competencies.find((one) => one.id === thing.competency);
      if (!competency) return true;
      const things = [...competency.study.map((lesson) => ({ lesson })), ...competency.evidence];
      return things.every((one) => asked(one, why, values, kept));
    }

    for (const { lesson, title } of given.missed || []) {
      if (!planned.has(`lesson/${lesson}`)) take("lesson", lesson, "why_missed", { title }, 0);
    }

    const again = Math.round(AGAIN * given.pace);
    const kept = given.due.length ? Math.min(given.due.length * again, Math.max(again, Math.floor(left * SHARE))) : 0;

    const byDue = (a, b) => (a.due || "9999-99-99").localeCompare(b.due || "9999-99-99");
    for (const one of given.assignments.filter((each) => !each.done).sort(byDue)) {
      asked(one.thing, one.due ? "why_asked_by" : "why_asked", one.due ? { date: given.day(one.due) } : {}, kept);
    }

    const count = Math.min(given.due.length, Math.floor(left / again));
    if (count) {
      pieces.push({ kind: "again", id: "", seconds: count * again, part: false, count, why: "why_fades", values: {} });
      left -= count * again;
    }

    for (const [kind, id] of Array.from(begun.keys(), (page) => page.split("/"))) {
      if (kind !== "lesson") take(kind, id, "why_practice", {}, 0);
      // Whoever looked into a page before its turn reads first what it rests on.
      else if (!read(id)) lessonAfterOthers(id, "why_begun", {}, 0);
    }
    // Nothing goes before what stands in the way of it, and a part of a lesson is the end of a break.
    const goOn = () => !pieces.some((piece) => piece.part) && left >= MINUTE;
    for (const id of progress.lessons.keys()) {
      if (!goOn()) break;
      if (!read(id) && study.lessons[id].after.every(read)) lessonAfterOthers(id, study.lessons[id].after.length ? "why_next" : "why_first", {}, 0);
      const drill = marking.competencies.find((one) => one.study.includes(id) && one.study.every(read));
      for (const { drill: name } of drill ? drill.evidence : []) {
        if (name && goOn()) tryAfterStudy("drill", name, "why_drill", { title: given.title("lesson", id) }, 0);
      }
    }
    for (const kind of ["scenario", "bank"]) {
      for (const id of progress[`${kind}s`].keys()) {
        if (goOn() && studyOf(kind, id).every(read)) tryAfterStudy(kind, id, `why_${kind}`, {}, 0);
      }
    }
    return { pieces, left };
  }

  PITWRIGHT.plan = { plan, pace, readings, missed };
})(globalThis);
