/* A drill in words: acts, what the machine did, what can be seen, how an act can hurt. All of it is rendered by the compiler. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /** A sentence that ends as one. */
  const sentence = (html) => (/[.!?]$/.test(html.trim()) ? html.trim() : `${html.trim()}.`);
  const capital = (html) => html.charAt(0).toUpperCase() + html.slice(1);

  /**
   * @param {ReturnType<typeof PITWRIGHT.play>} play
   * @param {object} texts the machine's words
   */
  function drillWords(play, texts) {
    const { machine, world } = play;
    const { model } = machine;
    const you = model.variables.findIndex((variable) => variable.name === "you");
    const { valueOf } = PITWRIGHT.machine;

    /** An act's name in a record: `lift-extra-pin.3`. */
    const name = (act) => (machine.acts[act].index === undefined ? machine.acts[act].id : `${machine.acts[act].id}.${machine.acts[act].index}`);

    /** What an act is, as a sentence. */
    function says(act) {
      const { id, index } = machine.acts[act];
      const text = texts.acts[id];
      return sentence(text.index ? text.says.replaceAll(`{${text.index}}`, String(index)) : text.says);
    }

    /** Where the person is: a place's id; null on a machine without places. */
    const place = (state) => (you < 0 ? null : model.variables[you].values[valueOf(state, you)]);

    /** The clause that tells of a variable's value, or of its not being seen; null if there is none. */
    function clause(variable, value) {
      const { name: whole } = model.variables[variable];
      const [family, number = ""] = whole.split(".");
      const clauses = texts.tells[family];
      const text = clauses && clauses[value];
      return text ? text.replaceAll("{n}", number) : null;
    }

    /** What shows in a state was asked for a moment ago as a rule: as it was before an act and as it is after it. */
    const recent = new Map();

    /** What shows of each variable: its value, or `unseen`. @returns {Map<string, string>} */
    function shown(state) {
      if (!recent.has(state)) {
        if (recent.size > 8) recent.clear();
        const seen = machine.seen(state);
        const values = model.variables.map(({ name: whole, values: all }, variable) => [whole, seen[variable] === "." ? "unseen" : all[valueOf(seen, variable)]]);
        recent.set(state, new Map(values));
      }
      return recent.get(state);
    }

    /** Clauses that tell what shows of some variables. */
    function facts(state, wanted) {
      const shows = shown(state);
      return model.variables.flatMap(({ name: whole }, variable) => {
        const text = variable !== you && wanted(whole) ? clause(variable, shows.get(whole)) : null;
        return text ? [sentence(capital(text))] : [];
      });
    }

    /** Whether a variable has another value than at rest. */
    const places = new Map(model.variables.map((one, variable) => [one.name, variable]));
    const moved = (state, name) => state[places.get(name)] !== model.rest[places.get(name)];

    /** The names of what shows otherwise than before. @returns {Set<string>} */
    function changed(before, after) {
      const [was, is] = [shown(before), shown(after)];
      return new Set(Array.from(is.keys()).filter((name) => is.get(name) !== was.get(name)));
    }

    /** What is not as it should be, and nobody can see. */
    function amiss(state) {
      return model.variables.flatMap(({ hidden, values }, variable) => {
        if (hidden !== true || state[variable] === model.rest[variable]) return [];
        const text = clause(variable, values[valueOf(state, variable)]);
        return text ? [text] : [];
      });
    }

    /** What the machine did by itself, as sentences. */
    const reactions = (firings) =>
      firings.filter(({ sort }) => sort === "reaction").map(({ index }) => sentence(texts.reactions[model.reactions[index].id]));

    const other = (index) => sentence(texts.others[model.others[index].id]);

    /** What came of a turn, as sentences: of the act itself, what the machine did, and, where it is asked for, what others did. */
    function came(turn, others) {
      const { word } = PITWRIGHT;
      const machine = (all) => reactions(all).map((what) => word("drill_machine", { what }));
      const rest = others ? turn.others.flatMap((one) => [word("drill_other", { what: other(one.index) }), ...machine(one.firings)]) : [];
      return [...(turn.came === "done" ? [] : [word(turn.came === "held" ? "drill_held" : "drill_nothing")]), ...machine(turn.firings), ...rest];
    }

    /** Hazards of a set, in the order listed. */
    const hazards = (set) =>
      model.hazards.flatMap(({ id }, index) => ((set >> BigInt(index)) & 1n ? [{ id, ...texts.hazards[id], harm: sentence(texts.hazards[id].harm) }] : []));

    const rule = (index) => texts.rules[model.rules[index].id];

    /**
     * How an act that can hurt comes to hurt, in a state that could not be told from the real one.
     * @param {import("./drill-run.js").Run} before where the run stood @param {number} act @param {import("./drill-run.js").End} end
     * @returns {{lines: string[], hazard: object}}
     */
    function story(before, act, end) {
      const lines = [];
      const unseen = amiss(end.from);
      if (unseen.length > 0) lines.push(PITWRIGHT.word("drill_may_be", { what: unseen.join("; ") }));
      for (const index of world.othersTo(before.situation, end.from)) lines.push(PITWRIGHT.word("drill_other", { what: other(index) }));
      const wanted = end.sort === "harm" ? ~machine.toPerson : machine.toPerson;
      const told = [];
      let outcome = machine.run("act", act, end.from, (firing) => told.push(firing));
      lines.push(...reactions(told));
      let { met } = outcome;
      if (!(met & wanted) && end.sort === "unsafe") {
        for (const index of world.othersHurt(outcome.state) || []) {
          const then = [];
          outcome = machine.run("other", index, outcome.state, (firing) => then.push(firing));
          met |= outcome.met;
          lines.push(other(index), ...reactions(then));
        }
      }
      const [hazard] = hazards(met & wanted || end.hazards);
      return { lines, hazard };
    }

    return { name, says, place, clause, shown, facts, moved, changed, amiss, reactions, other, came, hazards, rule, story, sentence };
  }

  PITWRIGHT.drillWordsOf = drillWords;
})(globalThis);
