/* Statements → attempts, and whether another may begin. A fold: it keeps nothing of its own. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  const HOUR = 3600000;

  /**
   * @typedef {object} Attempt
   * @property {string} registration
   * @property {"bank" | "scenario" | "drill"} kind
   * @property {string} id
   * @property {number} edition
   * @property {string} seed
   * @property {string} begun timestamp
   * @property {{turn: number, of: string, response: string, parts: number | null, others: string[]}[]} answers by turn
   * @property {string} lastAct timestamp of the last thing done in it before its end
   * @property {null | {at: string, passed: boolean, left: boolean, raw: number, max: number}} end null while it runs
   */

  /**
   * The parts of an activity id after the course's address, such as ["bank", "alone", "question", "own-lock"].
   * @param {object} statement @param {string} home
   */
  function path(statement, home) {
    const { id } = statement.object;
    return id.startsWith(`${home}/`) ? id.slice(home.length + 1).split("/") : [];
  }

  /**
   * @param {object[]} statements one person's, in the order in which they were made
   * @param {string} home
   * @returns {Attempt[]} in the order in which they began
   */
  function fold(statements, home) {
    const { extension, verb } = PITWRIGHT.statement;
    /** @type {Map<string, Attempt>} */
    const attempts = new Map();
    const registered = statements.filter((statement) => statement.context.registration);
    for (const statement of registered) {
      if (verb(statement) !== "attempted") continue;
      const [kind, id] = path(statement, home);
      attempts.set(statement.context.registration, {
        registration: statement.context.registration,
        kind,
        id,
        edition: extension(statement, "edition"),
        seed: extension(statement, "seed"),
        begun: statement.timestamp,
        lastAct: statement.timestamp,
        answers: [],
        end: null,
      });
    }
    for (const statement of registered) {
      const attempt = attempts.get(statement.context.registration);
      if (!attempt) continue;
      const { result } = statement;
      if (verb(statement) === "answered") {
        const [, , , of] = path(statement, home);
        const parts = result.score ? Math.round(result.score.scaled * PITWRIGHT.FULL) : null;
        if (statement.timestamp > attempt.lastAct) attempt.lastAct = statement.timestamp;
        const others = extension(statement, "others") || [];
        attempt.answers.push({ turn: extension(statement, "turn"), of, response: result.response, parts, others });
      } else if (verb(statement) === "passed" || verb(statement) === "failed") {
        attempt.end = {
          at: statement.timestamp,
          passed: verb(statement) === "passed",
          left: extension(statement, "left") === true,
          raw: result.score.raw,
          max: result.score.max,
        };
      }
    }
    const all = Array.from(attempts.values());
    all.forEach((attempt) => attempt.answers.sort((a, b) => a.turn - b.turn));
    const order = (a, b) => (a < b ? -1 : a > b ? 1 : 0);
    return all.sort((a, b) => order(a.begun, b.begun) || order(a.registration, b.registration));
  }

  /**
   * Which attempts count, as the register will count them. A try too many or too early does not. A release adds to what
   * is allowed from then on, until the next pass.
   * @param {Attempt[]} here all at one edition of one assessment, in the order in which they began
   * @param {{tries: number, waitHours: number}} rule
   * @param {{more: number, at: number}[]} released in the order of time; `at` in milliseconds
   * @param {number} now
   * @returns {{counted: string[], left: number, ended: number | null}} registrations; tries left; when the last of those
   *   since the last pass ended
   */
  function tally(here, rule, released, now) {
    const counted = [];
    let [tries, more, ended, next] = [0, 0, null, 0];
    function release(until) {
      for (; next < released.length && released[next].at <= until; next += 1) more += released[next].more;
    }
    for (const attempt of here) {
      const begun = Date.parse(attempt.begun);
      release(begun);
      const early = ended !== null && begun - ended < rule.waitHours * HOUR;
      if (!attempt.end || tries >= rule.tries + more || early) continue;
      counted.push(attempt.registration);
      tries += 1;
      // A try that was left is closed only when the course is next opened; it ended with its last act.
      ended = Date.parse(attempt.end.left ? attempt.lastAct : attempt.end.at);
      if (attempt.end.passed) [tries, more, ended] = [0, 0, null];
    }
    release(now);
    return { counted, left: Math.max(0, rule.tries + more - tries), ended };
  }

  /**
   * @typedef {object} Leave
   * @property {boolean} may
   * @property {"" | "running" | "used" | "wait"} why not, if not
   * @property {number} left tries left, the coming one included
   * @property {string | null} until when the wait is over
   * @property {Attempt | null} last the latest finished attempt on this edition
   */

  /**
   * Whether another attempt may begin and count.
   * @param {Attempt[]} attempts
   * @param {{kind: string, id: string, edition: number}} item
   * @param {{tries: number, waitHours: number}} rule
   * @param {number} now milliseconds since 1970
   * @param {{more: number, at: number}[]} released the tries that a slip releases at it
   * @returns {Leave}
   */
  function leave(attempts, item, rule, now, released) {
    const here = attempts.filter(
      (attempt) => attempt.kind === item.kind && attempt.id === item.id && attempt.edition === item.edition,
    );
    const finished = here.filter((attempt) => attempt.end);
    const last = finished[finished.length - 1] || null;
    const { left, ended } = tally(here, rule, released, now);
    const answer = { may: false, why: "", left, until: null, last };
    if (here.some((attempt) => !attempt.end)) return { ...answer, why: "running" };
    if (left === 0) return { ...answer, why: "used" };
    if (ended !== null) {
      const until = ended + rule.waitHours * HOUR;
      if (now < until) return { ...answer, why: "wait", until: new Date(until).toISOString() };
    }
    return { ...answer, may: true };
  }

  /**
   * Whether any attempt at some of the evidence ended since and was not passed: the register ends a signature by that.
   * @param {Attempt[]} attempts @param {Record<string, string>[]} evidence @param {number} since milliseconds since 1970
   */
  function failedSince(attempts, evidence, since) {
    const ended = attempts.filter(({ end }) => end && !end.passed && Date.parse(end.at) > since);
    return ended.some(({ kind, id }) => evidence.some((one) => one[kind] === id));
  }

  PITWRIGHT.attempts = { fold, tally, leave, failedSince, path };
})(globalThis);
