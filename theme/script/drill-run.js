/* A run through a drill with free hands, act by act. The register plays it again from the same seed and the same acts. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /** Of so many runs one begins with something amiss that nobody can see; the register draws alike. */
  const AMISS_ONE_IN = 5;

  /**
   * @typedef {object} Run where a run stands; never changed, so that going back is taking an earlier one
   * @property {string} real what is the case, whether it can be seen or not
   * @property {[string, boolean][]} situation all that may be the case, as far as the person can know
   * @property {{place: number, done: number}[]} progress how far the rules are kept
   * @property {number} turns acts done or tried
   * @property {null | End} end
   *
   * @typedef {object} End
   * @property {"cured" | "handed" | "unsafe" | "rule" | "harm"} sort
   * @property {bigint} [hazards] what the act can lead to
   * @property {boolean} [hurt] whether somebody was hurt this time
   * @property {string} [from] a state, not to be told from the real one, from which it hurts or harms
   * @property {number} [rule]
   *
   * @typedef {object} Turn what came of one act
   * @property {Run} run
   * @property {"done" | "nothing" | "held"} came
   * @property {object[]} firings what the machine did, in order, the act first
   * @property {{index: number, firings: object[]}[]} others what others then did
   */

  /**
   * A drill that can be played.
   * @param {object} model the machine's model of the marking @param {object} drill from the marking
   */
  function play(model, drill) {
    const machine = PITWRIGHT.machine.ready(model);
    const world = PITWRIGHT.situation.world(machine);
    const cured = PITWRIGHT.machine.test(drill.cured);
    const handed = drill.handedOver ? PITWRIGHT.machine.test(drill.handedOver) : null;
    const beyond = PITWRIGHT.machine.test(drill.beyond || []);
    const left = new Set(drill.holds || []);

    /** What the person can know by what now shows. Where others were seen to act, it is taken as it is from now on. */
    function seenNow(after, done, real) {
      const shows = machine.seen(real);
      const now = world.look(after, done, shows);
      if (now.length === 0) return [[real, true]];
      if (now.some(([, still]) => still)) return now;
      return now.map(([state]) => [state, machine.seen(state) === shows]);
    }

    /** Whether a run is a pass as it stands: so in truth, and as far as the person can know. */
    function passed(real, situation) {
      const known = (condition) => condition(real) && situation.every(([state, still]) => !still || condition(state));
      if (known(cured)) return { sort: "cured" };
      return handed && known(handed) && known(beyond) ? { sort: "handed" } : null;
    }

    /**
     * Draws the start of a run: first, where there are both, whether something is amiss that nobody can see, then which of those.
     * @param {{below: (bound: number) => number}} random
     */
    function draw(random) {
      const all = drill.starts.map((_, start) => start);
      const amiss = all.filter((start) => machine.amiss(drill.starts[start]));
      const plain = all.filter((start) => !machine.amiss(drill.starts[start]));
      const among = plain.length === 0 || (amiss.length > 0 && random.below(AMISS_ONE_IN) === 0) ? amiss : plain;
      return among[random.below(among.length)];
    }

    /** @param {number} start which of the drill's starts @returns {Run} */
    function begin(start) {
      const after = drill.starts.map((state) => ({ state: machine.settle(state).state, still: true, done: true }));
      const real = after[start].state;
      return { real, situation: seenNow(after, true, real), progress: world.begin(), turns: 0, end: null };
    }

    /** The acts that are offered. @param {Run} run @returns {number[]} */
    function offered(run) {
      if (run.end) return [];
      return machine.acts.map((_, act) => act).filter((act) => world.offered(act, run.situation));
    }

    function wrong(judged) {
      if (judged.danger) return { sort: "unsafe", hazards: judged.danger, hurt: false, from: judged.dangerFrom };
      if (judged.broken) return { sort: "rule", rule: judged.broken.rule };
      if (judged.harm) return { sort: "harm", hazards: judged.harm, from: judged.harmFrom };
      return null;
    }

    /**
     * Does an act. Afterwards each of the others acts that can, in the order listed, if the next word stays below its odds.
     * @param {Run} run @param {number} act one that is offered @param {() => number} next words of 32 bits
     * @returns {Turn}
     */
    function step(run, act, next) {
      if (run.end || !world.offered(act, run.situation)) return { run, came: "nothing", firings: [], others: [] };
      const turns = run.turns + 1;
      const part = machine.acts[act];
      if (Array.from(part.writes).some((variable) => left.has(variable))) {
        return { run: { ...run, turns }, came: "held", firings: [], others: [] };
      }
      let { real, situation, progress } = run;
      const done = part.needs(real);
      const judged = world.judge(act, situation, progress);
      const firings = [];
      let hurt = 0n;
      if (done) {
        const outcome = machine.run("act", act, real, (firing) => firings.push(firing));
        [real, hurt, progress] = [outcome.state, outcome.met & machine.toPerson, judged.progress];
      }
      const fault = wrong(judged);
      let end = null;
      if (!fault) {
        situation = seenNow(judged.after, done, real);
        end = passed(real, situation);
      }
      const others = [];
      if (!end) {
        machine.others.forEach((other, index) => {
          if (hurt || !other.when(real) || next() >= other.below) return;
          const told = [];
          const outcome = machine.run("other", index, real, (firing) => told.push(firing));
          [real, hurt] = [outcome.state, outcome.met & machine.toPerson];
          others.push({ index, firings: told });
        });
        if (fault) end = fault.sort === "unsafe" ? { ...fault, hurt: hurt !== 0n } : fault;
        else {
          if (others.length > 0) situation = seenNow(judged.after, done, real);
          end = passed(real, situation);
        }
      }
      return { run: { real, situation, progress, turns, end }, came: done ? "done" : "nothing", firings, others };
    }

    return { machine, world, drill, draw, begin, offered, step };
  }

  PITWRIGHT.play = play;
})(globalThis);
