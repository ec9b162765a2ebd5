/* Statements → which practice questions fade, by the box scheme of S. Leitner, "So lernt man lernen", 1972. A fold. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  const DAY = 86400000;

  /**
   * A right answer moves a question on to the next box, a wrong one back to the first. What is answered right before its
   * day says little of what will be known on that day, so it stays where it is. A question of a lesson that was read, and
   * that nobody answered, waits in the first box from the day of reading.
   *
   * @typedef {object} Card
   * @property {string} lesson @property {string} ask
   * @property {number} box from 0
   * @property {number} due milliseconds since 1970
   *
   * @param {object[]} statements one person's, in the order in which they were kept
   * @param {string} home
   * @param {{boxes: number[], lessons: Record<string, {asks: string[]}>}} study
   * @returns {Card[]} by lesson, in the order of ids
   */
  function fold(statements, home, study) {
    const cards = new Map();
    const due = (box, at) => at + study.boxes[box] * DAY;
    for (const statement of statements) {
      const at = Date.parse(statement.timestamp);
      const verb = PITWRIGHT.statement.verb(statement);
      const [, lesson, ask] = statement.object.id.slice(home.length).match(/^\/lesson\/([^/]+)(?:\/ask\/([^/]+))?$/) || [];
      if (!lesson || !study.lessons[lesson]) continue;
      if (verb === "completed" && !ask) {
        for (const one of study.lessons[lesson].asks) {
          const key = `${lesson}/${one}`;
          if (!cards.has(key)) cards.set(key, { lesson, ask: one, box: 0, due: due(0, at) });
        }
      }
      if (verb !== "answered" || !study.lessons[lesson].asks.includes(ask)) continue;
      const key = `${lesson}/${ask}`;
      const card = cards.get(key);
      if (!statement.result.success) cards.set(key, { lesson, ask, box: 0, due: due(0, at) });
      else if (!card) cards.set(key, { lesson, ask, box: 1, due: due(1, at) });
      else if (at >= card.due) {
        const box = Math.min(card.box + 1, study.boxes.length - 1);
        cards.set(key, { lesson, ask, box, due: due(box, at) });
      }
    }
    const order = Object.keys(study.lessons).flatMap((lesson) => study.lessons[lesson].asks.map((ask) => `${lesson}/${ask}`));
    return order.filter((key) => cards.has(key)).map((key) => cards.get(key));
  }

  /** Those whose day has come, the longest overdue first. @param {Card[]} cards @param {number} now */
  const due = (cards, now) => cards.filter((card) => card.due <= now).sort((a, b) => a.due - b.due);

  PITWRIGHT.review = { fold, due };
})(globalThis);
