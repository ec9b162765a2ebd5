/*
 * A machine that moves: conditions, effects, and what it does by itself. The register plays the same model in the same way.
 * A state is text, one character a variable: the place of its value added to "0".
 */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  const FIRST = 48;
  /** More reactions than this after one act are taken to be endless. */
  const MOST_FIRINGS = 4096;

  /** The model does what no machine can do: a number counted past its range, or reactions without end. */
  class Flaw extends Error {}

  /** The place of a variable's value. @param {string} state @param {number} variable */
  const valueOf = (state, variable) => state.charCodeAt(variable) - FIRST;

  const always = () => true;

  /** A condition as the marking writes it → a function of a state. */
  function test(written) {
    if (Array.isArray(written)) {
      const tests = written.map(test);
      if (tests.length === 0) return always;
      return (state) => tests.every((one) => one(state));
    }
    if (written.any) {
      const tests = written.any.map(test);
      return (state) => tests.some((one) => one(state));
    }
    if (written.same) {
      const [one, other] = written.same;
      return (state) => state.charCodeAt(one) === state.charCodeAt(other);
    }
    const [variable, ...values] = written.is;
    if (values.length === 1) {
      const code = values[0] + FIRST;
      return (state) => state.charCodeAt(variable) === code;
    }
    const among = Array.from({ length: 64 }, (_, value) => values.includes(value));
    return (state) => among[state.charCodeAt(variable) - FIRST];
  }

  const effects = (written) =>
    written.map(({ if: when, set = [], add = [] }) => ({ when: when ? test(when) : always, set, add }));

  const strikes = (written = []) => written.map(({ when, hazard }) => ({ when: test(when), hazard: 1n << BigInt(hazard) }));

  const happening = (one) => ({ id: one.id, when: test(one.when), does: effects(one.does), strikes: strikes(one.strikes) });

  /** All variables that effects may change. */
  const writes = (does) => new Set(does.flatMap((effect) => effect.set.concat(effect.add).map(([variable]) => variable)));

  /**
   * @typedef {object} Firing
   * @property {"act" | "reaction" | "other"} sort
   * @property {number} index
   * @property {string} after
   * @property {bigint} met hazards, a bit for each
   */

  /**
   * A machine ready to be run.
   * @param {object} model a machine's `model` of the marking
   */
  function ready(model) {
    const sizes = model.variables.map((variable) => variable.values.length);
    const hidden = model.variables.flatMap(({ hidden: how }, variable) => (how ? [{ variable, until: how === true ? () => false : test(how) }] : []));
    const hazards = model.hazards.map(({ when }) => (when ? test(when) : null));
    const toPerson = model.hazards.reduce((all, hazard, index) => (hazard.person ? all | (1n << BigInt(index)) : all), 0n);
    const parts = {
      act: model.actions.map((one) => ({
        id: one.id,
        index: one.index,
        needs: test(one.needs),
        does: effects(one.does),
        strikes: strikes(one.strikes),
        writes: writes(effects(one.does)),
        takes: one.takes,
      })),
      reaction: model.reactions.map(happening),
      other: model.others.map((one) => ({ ...happening(one), below: one.below })),
    };

    /** Effects in order, each seeing the last. */
    function apply(does, state) {
      let now = state;
      for (const { when, set, add } of does) {
        if (!when(now)) continue;
        const codes = new Array(now.length);
        for (let at = 0; at < now.length; at += 1) codes[at] = now.charCodeAt(at);
        for (const [variable, value] of set) codes[variable] = value + FIRST;
        for (const [variable, by] of add) {
          const next = valueOf(now, variable) + by;
          if (next < 0 || next >= sizes[variable]) throw new Flaw(`${model.variables[variable].name} is counted past its range`);
          codes[variable] = next + FIRST;
        }
        now = String.fromCharCode(...codes);
      }
      return now;
    }

    /** The hazards whose condition holds in a state. */
    function standing(state) {
      let met = 0n;
      hazards.forEach((when, index) => {
        if (when && when(state)) met |= 1n << BigInt(index);
      });
      return met;
    }

    /** One firing: strikes before its effects, hazards that begin after them. */
    function one(sort, index, state, tell) {
      const part = parts[sort][index];
      let met = 0n;
      for (const strike of part.strikes) if (strike.when(state)) met |= strike.hazard;
      const after = apply(part.does, state);
      met |= standing(after) & ~standing(state);
      if (tell) tell({ sort, index, after, met });
      return { state: after, met };
    }

    /** What the machine does by itself, the first reaction that applies at a time, until none does or a person is hurt. */
    function react(outcome, tell) {
      let { state, met } = outcome;
      for (let firings = 0; firings < MOST_FIRINGS; firings += 1) {
        const now = state;
        const index = parts.reaction.findIndex((reaction) => reaction.when(now));
        if (index < 0) return { state, met };
        const fired = one("reaction", index, state, tell);
        const still = fired.state === state;
        state = fired.state;
        met |= fired.met;
        if (met & toPerson) return { state, met };
        if (still) break;
      }
      throw new Flaw("reactions set each other off without end");
    }

    /**
     * An act or what somebody else does, and all that the machine then does by itself.
     * @param {"act" | "other"} sort @param {number} index @param {string} state @param {(firing: Firing) => void} [tell]
     * @returns {{state: string, met: bigint}}
     */
    function run(sort, index, state, tell) {
      const outcome = one(sort, index, state, tell);
      return outcome.met & toPerson ? outcome : react(outcome, tell);
    }

    /** What the machine does by itself from a state that nobody has settled. */
    function settle(state) {
      const met = standing(state);
      return met & toPerson ? { state, met } : react({ state, met });
    }

    /** What shows in a state: its text with a dot for what cannot be seen. */
    function seen(state) {
      let shows = state;
      for (const { variable, until } of hidden) {
        if (!until(state)) shows = `${shows.slice(0, variable)}.${shows.slice(variable + 1)}`;
      }
      return shows;
    }

    const never = model.variables.flatMap(({ hidden: how }, variable) => (how === true ? [variable] : []));
    /** Whether something differs from rest that nobody can ever see. */
    const amiss = (state) => never.some((variable) => state[variable] !== model.rest[variable]);

    const rules = model.rules.map((rule) => ({ ...rule, againAfter: rule.againAfter || [], when: test(rule.when) }));

    return { model, acts: parts.act, others: parts.other, rules, toPerson, run, settle, seen, amiss };
  }

  PITWRIGHT.machine = { ready, test, valueOf, Flaw };
})(globalThis);
