/*
 * What a person at a machine can know: all the states that what they have seen allows. An act is judged on all of them,
 * by what others can then do, whether or not they do it this time. The register judges in the same way.
 */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /** @typedef {[string, boolean][]} Situation states in order, each with whether it is reached with others still */

  /** The order of states: by the last variable, then the one before it … */
  function order(a, b) {
    for (let variable = a.length - 1; variable >= 0; variable -= 1) {
      const difference = a.charCodeAt(variable) - b.charCodeAt(variable);
      if (difference !== 0) return difference;
    }
    return 0;
  }

  /**
   * A machine together with what was worked out about it so far.
   * @param {ReturnType<typeof PITWRIGHT.machine.ready>} machine
   */
  function world(machine) {
    /** @type {Map<string, {states: string[], danger: bigint}>} */
    const known = new Map();

    /** All that others alone can make of a state, and the hazards to a person on the way. */
    function meanwhile(from) {
      const before = known.get(from);
      if (before) return before;
      const seen = new Set([from]);
      const waiting = [from];
      let danger = 0n;
      while (waiting.length > 0) {
        const state = waiting.pop();
        machine.others.forEach((other, index) => {
          if (!other.when(state)) return;
          const next = machine.run("other", index, state);
          if (next.met & machine.toPerson) danger |= next.met & machine.toPerson;
          else if (!seen.has(next.state)) {
            seen.add(next.state);
            waiting.push(next.state);
          }
        });
      }
      const found = { states: Array.from(seen), danger };
      known.set(from, found);
      return found;
    }

    /**
     * What can be the case after these states may be, where the act was possible or not as given and this much shows.
     * @param {{state: string, still: boolean, done: boolean}[]} after @param {boolean} done @param {string} shows
     * @returns {Situation} empty if it cannot be
     */
    function look(after, done, shows) {
      const now = new Map();
      for (const one of after) {
        if (one.done !== done) continue;
        for (const state of meanwhile(one.state).states) {
          if (machine.seen(state) !== shows) continue;
          now.set(state, now.get(state) === true || (one.still && state === one.state));
        }
      }
      const whole = new Map(now);
      for (const state of now.keys()) {
        for (const next of meanwhile(state).states) if (!whole.has(next)) whole.set(next, false);
      }
      return Array.from(whole).sort((a, b) => order(a[0], b[0]));
    }

    /** Whether an act is offered: possible in some state that the person cannot tell from the real one. */
    const offered = (act, situation) => situation.some(([state]) => machine.acts[act].needs(state));

    const begin = () => machine.rules.map(() => ({ place: 0, done: 0 }));

    /** How far the rules are kept after an act of this name; what else is done in between does not matter. */
    function keep(progress, act) {
      return machine.rules.map((rule, index) => {
        const { place, done } = progress[index];
        if (rule.againAfter.includes(act)) return { place: 0, done: 0 };
        const at = place < rule.order.length ? rule.order[place].indexOf(act) : -1;
        if (at < 0) return { place, done };
        const more = done | (1 << at);
        return more === (1 << rule.order[place].length) - 1 ? { place: place + 1, done: 0 } : { place, done: more };
      });
    }

    /** Which of two stories is the plainer: first one in which nothing is amiss that nobody can see, then one without others. */
    const plainer = (a, b) => a.amiss - b.amiss || a.moved - b.moved;

    /**
     * Judges an act in a situation.
     * @param {number} act @param {Situation} situation @param {{place: number, done: number}[]} progress
     */
    function judge(act, situation, progress) {
      const { needs, id } = machine.acts[act];
      const judged = { danger: 0n, dangerFrom: null, harm: 0n, harmFrom: null, broken: null, after: [], progress: keep(progress, id) };
      let [hurts, breaks] = [null, null];
      for (const [state, still] of situation) {
        if (!needs(state)) {
          judged.after.push({ state, still, done: false });
          continue;
        }
        const outcome = machine.run("act", act, state);
        const plain = { amiss: Number(machine.amiss(state)), moved: Number(!still) };
        const danger = outcome.met & machine.toPerson || meanwhile(outcome.state).danger;
        if (danger && (!hurts || plainer(plain, hurts) < 0)) [hurts, judged.dangerFrom] = [plain, state];
        judged.danger |= danger;
        const harm = outcome.met & ~machine.toPerson;
        if (harm && !judged.harm) judged.harmFrom = state;
        judged.harm |= harm;
        machine.rules.forEach((rule, index) => {
          if (rule.when(state) || !rule.when(outcome.state) || progress[index].place >= rule.order.length) return;
          if (!breaks || plainer(plain, breaks) < 0) [breaks, judged.broken] = [plain, { rule: index, from: state }];
        });
        judged.after.push({ state: outcome.state, still, done: true });
      }
      return judged;
    }

    /** The shortest chain of what others do that ends in harm to a person, as indexes; null if there is none. */
    function othersHurt(from) {
      const came = new Map([[from, []]]);
      const queue = [from];
      for (const state of queue) {
        for (let index = 0; index < machine.others.length; index += 1) {
          if (!machine.others[index].when(state)) continue;
          const next = machine.run("other", index, state);
          const way = came.get(state).concat(index);
          if (next.met & machine.toPerson) return way;
          if (!came.has(next.state)) {
            came.set(next.state, way);
            queue.push(next.state);
          }
        }
      }
      return null;
    }

    /** What others must have done, in order, so that a state of a situation is the case; empty where they were still. */
    function othersTo(situation, to) {
      const came = new Map(situation.filter(([, still]) => still).map(([state]) => [state, []]));
      const queue = Array.from(came.keys());
      for (const state of queue) {
        if (state === to) break;
        machine.others.forEach((other, index) => {
          if (!other.when(state)) return;
          const next = machine.run("other", index, state);
          if (next.met & machine.toPerson || came.has(next.state)) return;
          came.set(next.state, came.get(state).concat(index));
          queue.push(next.state);
        });
      }
      return came.get(to) || [];
    }

    return { machine, meanwhile, look, offered, begin, judge, othersHurt, othersTo };
  }

  PITWRIGHT.situation = { world, order };
})(globalThis);
