/* What waits to be handed in, and when somebody is reminded of it. Every page looks. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  const DAY = 86400000;
  /**
   * When somebody is reminded of handing in: this many entries wait, or one has waited this long, or a test, call or drill that
   * counts ended this long ago. The last is the shortest, since a trainer may be waiting for just that. Custom, no source.
   */
  const REMIND = { many: 25, old: 7 * DAY, tried: DAY };

  /**
   * What waits to be handed in, and why it is time for it.
   * @param {{statement: object, handed: string | null}[]} rows @param {number} now milliseconds since 1970
   * @returns {{count: number, due: "" | "tried" | "old" | "many"}}
   */
  function waiting(rows, now) {
    const left = rows.filter((row) => !row.handed).map((row) => row.statement);
    const older = (list, than) => list.some((statement) => now - Date.parse(statement.timestamp) >= than);
    const ended = left.filter((statement) => ["passed", "failed"].includes(PITWRIGHT.statement.verb(statement)));
    const reasons = [
      ["tried", older(ended, REMIND.tried)],
      ["old", older(left, REMIND.old)],
      ["many", left.length >= REMIND.many],
    ];
    const [due] = reasons.find(([, holds]) => holds) || [""];
    return { count: left.length, due };
  }

  PITWRIGHT.waiting = waiting;
})(globalThis);
