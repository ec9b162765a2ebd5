/* Marks: a response and a question's key go in, a number of parts comes out; a whole form goes in, a result comes out. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  const { FULL } = PITWRIGHT;

  const allOrNothing = (right) => (right ? FULL : 0);

  /** So many of so many shares; whole as long as there are at most ten. */
  const share = (hits, of) => (of ? Math.floor((FULL * hits) / of) : 0);

  /** Whether `ids` holds each of `all` once, in whatever order. */
  const isOrderOf = (ids, all) => ids.length === all.length && all.every((one) => ids.includes(one));

  function several({ options, right, partial }, response) {
    const ids = PITWRIGHT.response.ids(response);
    const givable = ids.every((id, at) => options.includes(id) && (at === 0 || ids[at - 1] < id));
    if (!givable) return 0;
    const hits = ids.filter((id) => right.includes(id)).length;
    const misses = ids.length - hits;
    return partial ? share(Math.max(0, hits - misses), right.length) : allOrNothing(hits === right.length && misses === 0);
  }

  function matching({ pairs }, response) {
    const sides = PITWRIGHT.response.sides(response);
    const rights = sides.map(({ right }) => right);
    const givable = isOrderOf(rights, pairs) && sides.every(({ left }, at) => left === pairs[at]);
    return givable ? share(sides.filter(({ left, right }) => left === right).length, pairs.length) : 0;
  }

  /** How each kind is marked. A response that no page can have given earns nothing. */
  const KINDS = {
    choice(question, response) {
      const { options, right } = question;
      return right.length === 1 ? allOrNothing(options.includes(response) && right[0] === response) : several(question, response);
    },
    matching,
    sequencing: (question, response) => allOrNothing(question.ways ? !wrongStep(question, response) : response === PITWRIGHT.response.order(question.steps)),
    numeric: ({ answer, tolerance }, response) => allOrNothing(PITWRIGHT.decimal.within(answer, tolerance, response)),
    place: ({ spots, right }, response) => allOrNothing(spots.includes(response) && right.includes(response)),
  };

  /**
   * @param {object} question the question's key, from the marking
   * @param {string} response as it goes on record: see response.js
   * @returns {number} parts of FULL
   */
  function question(question, response) {
    return KINDS[question.kind](question, response);
  }

  /**
   * Where an order that a machine marks goes wrong first.
   * @param {{ways: Record<string, number | string>[]}} question for each node where each step leads: on to a node, 0 where all is done
   * and right, or what then goes wrong
   * @param {string} response an order of its steps
   * @returns {{at: number, says: string} | null} the place, from 1, and what goes wrong there; null where all is right
   */
  function wrongStep({ ways }, response) {
    let node = 0;
    const ids = PITWRIGHT.response.ids(response);
    for (const [place, id] of ids.entries()) {
      const way = ways[node] && ways[node][id];
      if (way === 0 && place + 1 === ids.length) return null;
      if (typeof way !== "number" || way === 0) return { at: place + 1, says: way || "" };
      node = way;
    }
    return { at: ids.length, says: "" };
  }

  /** The first right order by the steps' ids, from a node on; null where none leads on from it. */
  function someOrder(ways, node) {
    for (const id of Object.keys(ways[node]).sort()) {
      const way = ways[node][id];
      if (way === 0) return [id];
      const rest = typeof way === "number" ? someOrder(ways, way) : null;
      if (rest) return [id, ...rest];
    }
    return null;
  }

  /** What earns full marks. */
  const RIGHT = {
    choice: ({ right }) => [PITWRIGHT.response.set(right)],
    matching: ({ pairs }) => [PITWRIGHT.response.pairs(pairs.map((id) => ({ left: id, right: id })))],
    sequencing: ({ steps, ways }) => [PITWRIGHT.response.order(ways ? someOrder(ways, 0) : steps)],
    numeric: ({ answer }) => [answer],
    place: ({ right }) => right,
  };

  /**
   * @param {object} question the question's key, from the marking
   * @returns {string[]} responses that earn full marks, of a number the exact one
   */
  function right(question) {
    return RIGHT[question.kind](question);
  }

  /**
   * @typedef {object} BankResult
   * @property {number} parts sum of all marks, in parts of FULL
   * @property {number} asked questions asked
   * @property {string[]} missedCritical ids of critical questions that earned less than full marks
   * @property {boolean} passed
   */

  /**
   * @param {{pass: number}} bank from the marking; pass in per cent
   * @param {{question: object, parts: number}[]} marks each question asked; one left unanswered earns 0
   * @returns {BankResult}
   */
  function bank(bank, marks) {
    const parts = marks.reduce((sum, one) => sum + one.parts, 0);
    const asked = marks.length;
    const missedCritical = marks
      .filter((one) => one.question.critical && one.parts < FULL)
      .map((one) => one.question.id);
    const enough = parts * 100 >= bank.pass * asked * FULL;
    return { parts, asked, missedCritical, passed: enough && asked > 0 && missedCritical.length === 0 };
  }

  PITWRIGHT.mark = { question, right, wrongStep, bank };
})(globalThis);
