/* Runs in the page that the agreement tests open: cases go in, what the theme's own scripts make of them comes out. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  /** The statements of an attempt as a page would make them, their canonical form and their seal. */
  async function record(kind, item, seed, answers) {
    const course = { home: "https://house.example", language: "en", markingHash: "0".repeat(64) };
    const sitting = {
      ...PITWRIGHT.statement.frame(course, "AB-1"),
      registration: PITWRIGHT.statement.uuid(),
      kind,
      id: item.id,
      title: item.title,
      edition: item.edition,
      seed,
      max: 1,
    };
    const statements = [PITWRIGHT.statement.begun(sitting)];
    for (const { of, response, parts } of answers) statements.push(PITWRIGHT.statement.answered(sitting, statements, of, response, parts));
    // The seal puts them in order again, however they come.
    const seal = await PITWRIGHT.statement.seal(statements.slice().reverse());
    return { statements: JSON.stringify(statements), canonical: PITWRIGHT.canonical.canonical(statements), seal };
  }

  async function bank({ bank, seed, responses }) {
    const form = PITWRIGHT.draw.form(bank, seed);
    const answers = form.map(({ question }) => {
      const response = responses[question.id];
      return { question, of: question.id, response, parts: PITWRIGHT.mark.question(question, response) };
    });
    return {
      outcome: {
        form: form.map(({ question, shown }) => [question.id, shown]),
        marks: answers.map(({ parts }) => parts),
        result: PITWRIGHT.mark.bank(bank, answers),
      },
      record: await record("bank", bank, seed, answers),
    };
  }

  async function scenario({ scenario, seed, responses }) {
    let walk;
    try {
      walk = PITWRIGHT.walk.walk(scenario, responses);
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      return { outcome: "refused", record: null };
    }
    const first = walk.firstUnsafe;
    const answers = walk.steps.map(({ scene, choice }) => ({ of: scene, response: choice.id, parts: null }));
    return {
      outcome: {
        scenes: walk.steps.map(({ scene }) => scene),
        marks: walk.marks,
        ending: walk.ending,
        firstUnsafe: first ? [first.scene, first.choice.id] : null,
        passed: walk.passed,
      },
      record: await record("scenario", scenario, seed, answers),
    };
  }

  const KINDS = {
    bank,
    scenario,
    mark: ({ question, response }) => PITWRIGHT.mark.question(question, response),
    total: ({ bank, marks }) => PITWRIGHT.mark.bank(bank, marks),
    proof: ({ document, proof }) => PITWRIGHT.proof.verify(document, proof),
    /** Which attempts count, and how many tries are left at one edition of one assessment. */
    tally({ statements, home, item, rule, released, now }) {
      const same = (attempt) => attempt.kind === item.kind && attempt.id === item.id && attempt.edition === item.edition;
      const here = PITWRIGHT.attempts.fold(statements, home).filter(same);
      const { counted, left } = PITWRIGHT.attempts.tally(here, rule, released, now);
      return { counted, left };
    },
    spots: () => PITWRIGHT.deck.spots(),
    async canonical({ text }) {
      try {
        const canonical = PITWRIGHT.canonical.canonical(JSON.parse(text));
        return [canonical, await PITWRIGHT.canonical.sha256(canonical)];
      } catch (error) {
        return null;
      }
    },
  };

  global.run = (cases) => Promise.all(cases.map((one) => KINDS[one.kind](one)));
})(globalThis);
