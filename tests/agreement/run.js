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

  /** All statements of a run through a drill, act by act as they are given; others act by the seed. */
  async function drill({ model, drill, seed, responses, left }) {
    const { statement } = PITWRIGHT;
    const course = { home: "https://house.example", language: "en", markingHash: "0".repeat(64) };
    const sitting = { ...statement.frame(course, "TM-1"), registration: statement.uuid(), kind: "drill", ...drill, seed, max: 1 };
    const play = PITWRIGHT.play(model, drill);
    const chance = PITWRIGHT.random.fromHex(seed);
    let run = play.begin(play.draw(chance));
    const all = [statement.begun(sitting)];
    for (const response of responses) {
      const [of, number] = response.split(".");
      let others = [];
      if (response !== statement.LEAVE_IT) {
        const act = play.machine.acts.findIndex(({ id, index }) => id === of && String(index) === String(number));
        const turn = play.step(run, act, chance.next);
        run = turn.run;
        others = turn.others.map(({ index }) => model.others[index].id);
      }
      all.push(statement.answered(sitting, all, of, response, null, others));
    }
    const passed = run.end !== null && ["cured", "handed"].includes(run.end.sort);
    const raw = passed ? 1 : 0;
    all.push(left ? await statement.left(sitting, all, 0) : await statement.ended(sitting, all, { passed, raw }));
    return { statements: all, folded: PITWRIGHT.attempts.fold(all, course.home) };
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

  /** Walks over a drill, each from its seed: how it ended, how many acts, and 32 bits over all that can be compared. */
  function runs({ model, drill, ways, seeds, acts }) {
    const play = PITWRIGHT.play(model, drill);
    return seeds.map((seed) => {
      const random = PITWRIGHT.random.fromHex(seed);
      const start = play.draw(random);
      // FNV-1a with 32 bits.
      let digest = 0x811c9dc5;
      const tell = (text) => {
        for (let at = 0; at < text.length; at += 1) digest = Math.imul(digest ^ text.charCodeAt(at), 0x01000193) >>> 0;
      };
      let [run, at] = [null, 0];
      try {
        run = play.begin(start);
        for (let count = 0; count < acts; count += 1) {
          const offered = play.offered(run);
          if (offered.length === 0) break;
          const due = ways[start] && ways[start][at];
          const follow = random.below(8) !== 0;
          let act = offered[random.below(offered.length)];
          if (due !== undefined && follow && offered.includes(due)) {
            at += 1;
            act = due;
          }
          // What has no end within the range of numbers stops both engines; the acts up to it are the same.
          const before = run;
          run = { ...run, turns: run.turns + 1 };
          const turn = play.step(before, act, random.next);
          run = turn.run;
          const { end } = run;
          const situation = run.situation.map(([state, still]) => state + (still ? "!" : "")).join(",");
          const kept = run.progress.map(({ place, done }, rule) => {
            const { order } = play.machine.rules[rule];
            if (place >= order.length) return "*0";
            return String(order[place].filter((_, index) => ((done >> index) & 1) === 0).length);
          });
          const ended = {
            unsafe: () => `unsafe ${end.hazards} ${end.hurt} ${end.from}`,
            rule: () => `rule ${end.rule}`,
            harm: () => `harm ${end.hazards} ${end.from}`,
          };
          const how = end ? (ended[end.sort] || (() => end.sort))() : "-";
          tell(`${act} ${turn.came} [${turn.others.map(({ index }) => index).join(", ")}] ${run.real} ${situation} ${kept.join(",")} ${how}\n`);
        }
      } catch (error) {
        if (!(error instanceof PITWRIGHT.machine.Flaw)) throw error;
        return ["flaw", run ? run.turns : 0, digest];
      }
      const sorts = { cured: "cured", handed: "handed over", rule: "rule", harm: "harm" };
      const end = run.end ? sorts[run.end.sort] || (run.end.hurt ? "hurt" : "lucky") : "open";
      return [end, run.turns, digest];
    });
  }

  /** All that a run is, to be compared. */
  const whole = ({ start, run, turns, takenBack, log }) => JSON.stringify([start, run, turns, takenBack, log], (_, value) => (typeof value === "bigint" ? String(value) : value));

  /**
   * Practice as people do it: acts, some of which could not be kept at first, taken back, begun anew; left somewhere, and gone on
   * with from the seed and what was done. For each seed how often others acted, acts were taken back, all was begun anew and a turn
   * was not kept; or what differs.
   */
  function traces({ model, drill, ways, seeds, acts }) {
    const play = PITWRIGHT.play(model, drill);
    return seeds.map((seed) => {
      const hand = PITWRIGHT.random.fromHex([...seed].reverse().join(""));
      const tally = { others: 0, back: 0, anew: 0, lost: 0, ended: 0 };
      const trace = PITWRIGHT.drillTrace(play, seed);
      const way = ways[trace.start] || [];
      // The same acts without a trace: what was not kept has drawn nothing.
      const chance = PITWRIGHT.random.fromHex(seed);
      play.draw(chance);
      for (let count = 0; count < acts; count += 1) {
        const offered = play.offered(trace.run);
        const what = hand.below(12);
        if (trace.turns.length > 0 && (offered.length === 0 || what === 0)) {
          trace.back();
          tally.back += 1;
        } else if (trace.turns.length > 0 && what === 1 && hand.below(4) === 0) {
          trace.anew();
          tally.anew += 1;
        } else if (offered.length > 0) {
          const due = way[trace.turns.filter(({ came }) => came === "done").length];
          const any = () => offered[hand.below(offered.length)];
          const act = offered.includes(due) && hand.below(6) > 0 ? due : any();
          if (hand.below(5) === 0) {
            trace.turn(any());
            tally.lost += 1;
          }
          const plain = play.step(trace.run, act, chance.next);
          const turn = trace.turn(act);
          trace.take(turn);
          tally.others += turn.others.length;
          tally.ended += trace.run.end ? 1 : 0;
          const text = (one) => JSON.stringify([one.run, one.came, one.others], (_, value) => (typeof value === "bigint" ? String(value) : value));
          if (text(plain) !== text(turn)) return `${seed}: act ${count} came otherwise than without a trace`;
        }
        if (hand.below(8) === 0 || count === acts - 1) {
          const place = { marking: "m", seed, log: JSON.parse(JSON.stringify(trace.log)), at: trace.at() };
          PITWRIGHT.course = { markingHash: "m" };
          const again = PITWRIGHT.drillTrace.again(play, place);
          if (!again || whole(again) !== whole(trace)) return `${seed}: after ${count} it does not come to the same`;
          const wrong = [{ ...place, marking: "n" }, { ...place, at: `${place.at}0` }, { ...place, log: [-1, ...place.log] }, { ...place, seed: "0" }, {}];
          if (wrong.some((one) => PITWRIGHT.drillTrace.again(play, one))) return `${seed}: after ${count} what is not so is gone on with`;
          // Gone on with, the next act comes to the same in both, chance included.
          const next = play.offered(trace.run)[0];
          if (next !== undefined && JSON.stringify(again.turn(next).others.length) !== JSON.stringify(trace.turn(next).others.length)) return `${seed}: after ${count} chance differs`;
        }
      }
      return tally;
    });
  }

  const KINDS = {
    bank,
    traces,
    runs,
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
    /** What is missing of the first competency, by what the page knows, and what it says of the signature. */
    missing({ statements, marking, hash, good, now }) {
      const [found] = PITWRIGHT.missing.fold({ statements, marking, hash, good, now });
      return {
        lacks: found.items.filter((item) => !item.done).map(({ kind, id }) => ({ [kind]: id })),
        tries: found.items
          .filter((item) => item.attempt)
          .map(({ kind, id, attempt, number, slips, tries }) => ({ thing: { [kind]: id }, registration: attempt.registration, number, slips, left: tries.left })),
        watched: { met: found.watched.met, real: found.watched.metReal, unseen: found.watched.unseen },
        signature: found.signature,
      };
    },
    apart: ({ stops, answers }) => answers.map((given) => PITWRIGHT.apart.look(stops, given)),
    drill,
    words: ({ text }) => PITWRIGHT.findWords.words(text),
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
