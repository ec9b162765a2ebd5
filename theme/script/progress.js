/* Statements → how far a person is: what is read, what is passed, how many pins stand, what comes next. A fold as well. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /**
   * @typedef {object} Reading
   * @property {"unread" | "read" | "old"} state old: read, but on an earlier edition
   * @property {string | null} at
   *
   * @typedef {object} Trying
   * @property {"untried" | "passed" | "failed" | "old" | "open"} state old: passed, but on an earlier edition
   * @property {object | null} attempt the one that decides
   *
   * @typedef {object} Progress
   * @property {Map<string, Reading>} lessons
   * @property {Map<string, Trying>} banks
   * @property {Map<string, Trying>} scenarios
   * @property {Map<string, Trying>} drills
   * @property {{done: number, all: number, lessons: number, allLessons: number, tests: number, allTests: number, calls: number, allCalls: number, drills: number, allDrills: number}} figure
   * @property {number} standing pins, 0 … 10; ten only when all is done
   */

  /**
   * @param {object[]} statements one person's
   * @param {object} marking
   * @returns {Progress}
   */
  function fold(statements, marking) {
    const attempts = PITWRIGHT.attempts.fold(statements, marking.home);
    const lessons = new Map(marking.lessons.map((lesson) => [lesson.id, reading(statements, marking.home, lesson)]));
    const of = (kind, items) => new Map(items.map((item) => [item.id, trying(attempts, kind, item)]));
    const banks = of("bank", marking.banks);
    const scenarios = of("scenario", marking.scenarios);
    const drills = of("drill", marking.drills || []);
    const count = (map, state) => Array.from(map.values()).filter((one) => one.state === state).length;
    const figure = {
      lessons: count(lessons, "read"),
      allLessons: lessons.size,
      tests: count(banks, "passed"),
      allTests: banks.size,
      calls: count(scenarios, "passed"),
      allCalls: scenarios.size,
      drills: count(drills, "passed"),
      allDrills: drills.size,
    };
    figure.done = figure.lessons + figure.tests + figure.calls + figure.drills;
    figure.all = figure.allLessons + figure.allTests + figure.allCalls + figure.allDrills;
    const standing = figure.all > 0 ? Math.floor((10 * figure.done) / figure.all) : 0;
    return { lessons, banks, scenarios, drills, figure, standing };
  }

  function reading(statements, home, lesson) {
    const reads = statements.filter(
      (statement) => PITWRIGHT.statement.verb(statement) === "completed" && statement.object.id === `${home}/lesson/${lesson.id}`,
    );
    const current = reads.filter((statement) => PITWRIGHT.statement.extension(statement, "edition") === lesson.edition);
    const last = current[current.length - 1] || reads[reads.length - 1];
    if (!last) return { state: "unread", at: null };
    return { state: current.length ? "read" : "old", at: last.timestamp };
  }

  /** The latest attempt on the current edition decides; without one, a pass on an earlier edition is remembered as old. */
  function trying(attempts, kind, item) {
    const here = attempts.filter((attempt) => attempt.kind === kind && attempt.id === item.id);
    const current = here.filter((attempt) => attempt.edition === item.edition);
    const last = current[current.length - 1];
    if (last) return { state: !last.end ? "open" : last.end.passed ? "passed" : "failed", attempt: last };
    const old = here.filter((attempt) => attempt.end && attempt.end.passed).pop();
    return old ? { state: "old", attempt: old } : { state: "untried", attempt: null };
  }

  /**
   * What to do next: the first lesson not read, in order; then the first test, call or drill not passed.
   * @param {Progress} progress @param {object} marking
   * @returns {null | {kind: "lesson" | "bank" | "scenario" | "drill", id: string, title: string}}
   */
  function next(progress, marking) {
    const lesson = marking.lessons.find((one) => lacks(progress.lessons, one.id, "read"));
    if (lesson) return { kind: "lesson", id: lesson.id, title: lesson.title };
    for (const kind of ["bank", "scenario", "drill"]) {
      const item = (marking[`${kind}s`] || []).find((one) => lacks(progress[`${kind}s`], one.id, "passed"));
      if (item) return { kind, id: item.id, title: item.title };
    }
    return null;
  }

  const lacks = (map, id, state) => map.has(id) && map.get(id).state !== state;

  PITWRIGHT.progress = { fold, next };
})(globalThis);
