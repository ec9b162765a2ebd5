/* Looking back on a run: how it ended, what was unsafe and how that hurts, what happened in order, and the way that par takes. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /** A word that is never below any odds: nobody else acts. */
  const STILL = () => 0x100000000;

  /** Ends that are no pass. */
  const WRONG = ["unsafe", "rule", "harm"];

  /** A paragraph that begins with what it is. */
  const labelled = (key, html) => PITWRIGHT.makeRendered("p", {}, `<b>${PITWRIGHT.word(key)}</b> ${html}`);

  /**
   * What comes of a list of acts from a start, one of them left out, others still.
   * @returns {{act: number, before: object, end: object | null, stuck: number | null}} the act at which it ended, where the run
   *   stood before it, how it ended, and the first act that could not be done
   */
  function without(play, start, way, left) {
    let run = play.begin(start);
    let before = run;
    let stuck = null;
    for (let at = 0; at < way.length; at += 1) {
      if (at === left) continue;
      const turn = play.step(run, way[at], STILL);
      if (turn.came === "nothing" && stuck === null) stuck = way[at];
      before = run;
      run = turn.run;
      if (run.end) return { act: way[at], before, end: run.end, stuck };
    }
    return { act: way[way.length - 1], before, end: null, stuck };
  }

  /** Why an act of a way is in it, as HTML. */
  function why(play, words, start, way, at) {
    const { word } = PITWRIGHT;
    const { act, before, end, stuck } = without(play, start, way, at);
    if (end && end.sort === "rule") {
      const rule = words.rule(end.rule);
      return `${word("drill_without_rule")} ${rule.says ? words.sentence(rule.says) : ""} (${rule.source})`;
    }
    if (end && (end.sort === "unsafe" || end.sort === "harm")) {
      const { lines, hazard } = words.story(before, act, end);
      return `${word(end.sort === "unsafe" ? "drill_without_hurts" : "drill_without_harms", { act: words.says(act) })} ${lines.join(" ")} ${hazard.harm}`;
    }
    if (stuck !== null) return word("drill_without_stuck", { act: words.says(stuck) });
    if (!end) return word("drill_without_open");
    return word("drill_without_nothing");
  }

  /**
   * What was missing before the last act. A safe way is followed to the first place where that act does no wrong; its acts up to there
   * without which the act does the same wrong guard against it, those against this very harm first. Where there are none, the first two
   * that were not done. Never all: the rest of the way is the trainee's to find.
   * @returns {{acts: number[], names: Set<string>}} acts, and what those against this harm change and was otherwise
   */
  function missing(play, turns, way, start, end) {
    const { acts, model } = play.machine;
    const { act, before } = turns[turns.length - 1];
    const done = new Set(turns.slice(0, -1).filter(({ came }) => came === "done").map((one) => acts[one.act].id));
    const runs = [play.begin(start)];
    for (const one of way) runs.push(play.step(runs[runs.length - 1], one, STILL).run);
    const fine = (run) => {
      const then = play.step(run, act, STILL);
      return then.came === "done" && !(then.run.end && WRONG.includes(then.run.end.sort));
    };
    const alike = way.findIndex((one) => acts[one].id === acts[act].id);
    const free = runs.findIndex((run) => !run.end && fine(run));
    const at = free < 0 ? alike : free;
    const tried = free < 0 ? way[at] : act;
    const open = way.slice(0, at < 0 ? way.length : at).filter((one) => !done.has(acts[one].id));
    const [first, then, names] = [[], [], new Set()];
    for (let left = 0; left < at; left += 1) {
      const other = without(play, start, [...way.slice(0, at), tried], left);
      if (!other.end || other.end.sort !== end.sort || other.act !== tried) continue;
      const same = other.end.rule === end.rule && (!end.hazards || (other.end.hazards & end.hazards) !== 0n);
      if (!done.has(acts[way[left]].id)) (same ? first : then).push(way[left]);
      model.variables.forEach(({ name }, one) => {
        const [was, is] = [runs[left].real[one], runs[left + 1].real[one]];
        if (same && was !== is && before.real[one] !== runs[at].real[one]) names.add(name);
      });
    }
    const all = [...first, ...then];
    return { acts: all.length > 0 ? all : open.slice(0, 2), names };
  }

  /** What really happened at the last act: what the machine and others did, and the hazards that were met. */
  function happened(words, { firings, others }) {
    const lines = [...words.reactions(firings), ...others.flatMap((one) => [words.other(one.index), ...words.reactions(one.firings)])];
    const met = [...firings, ...others.flatMap((one) => one.firings)].reduce((all, firing) => all | firing.met, 0n);
    return { lines, met };
  }

  /** What an act that ended a run did, or can do. */
  function danger(play, words, turn, end) {
    const { word } = PITWRIGHT;
    if (end.sort === "rule") {
      const rule = words.rule(end.rule);
      return [labelled("drill_rule_lead", rule.says ? words.sentence(rule.says) : ""), labelled("drill_source", rule.source)];
    }
    const { lines, met } = happened(words, turn);
    const [real] = words.hazards(met & end.hazards);
    const told = real ? { lines, hazard: real } : words.story(turn.before, turn.act, end);
    return [
      labelled(real ? "drill_hurt" : "drill_lucky", [...told.lines, told.hazard.harm].join(" ")),
      end.sort === "unsafe" ? PITWRIGHT.make("p", {}, word(`severity_${told.hazard.severity}`)) : null,
      told.hazard.source ? labelled("drill_source", told.hazard.source) : null,
    ];
  }

  /** The panel at which a run stops: which act, how the machine was then, what was missing, what it can do, and what others had done. */
  function stopped(play, words, turns, end, way, start) {
    const { make, makeRendered, word } = PITWRIGHT;
    const last = turns[turns.length - 1];
    const lacking = missing(play, turns, way, start, end);
    const stood = words.facts(last.before.real, (name) => lacking.names.has(name));
    const others = Array.from(new Set(turns.slice(0, -1).flatMap((turn) => turn.others.map(({ index }) => index))));
    return make(
      "section",
      { class: "first-unsafe" },
      make("h2", {}, word({ unsafe: "drill_first_unsafe", rule: "drill_first_rule", harm: "drill_first_harm" }[end.sort])),
      makeRendered("p", { class: "first-unsafe-act" }, words.says(last.act)),
      stood.length === 0 ? null : labelled("drill_stood", stood.join(" ")),
      lacking.acts.length === 0 ? null : labelled("drill_lacked", ""),
      lacking.acts.length === 0 ? null : make("ul", {}, lacking.acts.map((act) => makeRendered("li", {}, words.says(act)))),
      danger(play, words, last, end),
      others.length === 0 ? null : labelled("drill_others_before", others.map(words.other).join(" ")),
    );
  }

  const how = (run) => {
    const { end } = run;
    if (!end) return "drill_end_left";
    if (end.sort === "unsafe") return end.hurt ? "drill_end_hurt" : "drill_end_unsafe";
    return { cured: "drill_end_cured", handed: "drill_end_handed", rule: "drill_end_rule", harm: "drill_end_harm" }[end.sort];
  };

  /** Where practice stops: why, and what was missing before. The rest of the way is not told: the call can still be ended well. */
  function stop({ play, words, title, turns, run, way, start, ways }) {
    const { make, word } = PITWRIGHT;
    return make(
      "section",
      { class: "result result-failed" },
      make("p", { class: "over" }, `${title} · ${word("drill_not_well")}`),
      make("h1", { class: "ending" }, word(how(run))),
      stopped(play, words, turns, run.end, way, start),
      make("p", {}, word("drill_practice_done")),
      ways,
    );
  }

  const minutes = (seconds) => PITWRIGHT.word("drill_time", { minutes: Math.floor(seconds / 60), seconds: seconds % 60 });

  /**
   * @param {object} shown
   * @param {ReturnType<typeof PITWRIGHT.play>} shown.play @param {object} shown.words @param {object} shown.texts the drill's words
   * @param {number} shown.start @param {{act: number, came: string, before: object, firings: object[], others: object[]}[]} shown.turns
   * @param {import("./drill-run.js").Run} shown.run @param {boolean} shown.counts @param {number} shown.takenBack acts taken back
   * @param {string} shown.after what may follow, in words @param {HTMLElement} shown.ways the ways on
   */
  function debrief({ play, words, texts, title, start, turns, run, counts, takenBack, after, ways }) {
    const { make, makeRendered, word } = PITWRIGHT;
    const { end } = run;
    const passed = Boolean(end) && (end.sort === "cured" || end.sort === "handed");
    const way = texts.ways[texts.wayOf[start]] || [];
    const done = new Set(turns.filter(({ came }) => came === "done").map(({ act }) => play.machine.acts[act].id));
    const takes = (acts) => acts.reduce((sum, act) => sum + play.machine.acts[act].takes, 0);

    const told = (turn) => makeRendered("li", {}, [words.says(turn.act), ...words.came(turn, true)].join(" "));
    const fold = (key, open, content) => make("details", { class: "drill-fold", open }, make("summary", {}, make("h2", {}, word(key))), content);
    /** An act of the way with its reason, which is open where the act was left out. */
    let before = "";
    const step = (act, at) => {
      const reason = why(play, words, start, way, at);
      const same = reason === before;
      before = reason;
      const lacking = !done.has(play.machine.acts[act].id);
      return make(
        "li",
        {},
        makeRendered("p", {}, words.says(act)),
        lacking ? make("p", { class: "drill-lacking" }, word("drill_lacking")) : null,
        same
          ? make("p", { class: "hint" }, word("drill_why_same"))
          : make("details", { open: lacking && !passed }, make("summary", {}, word("drill_why")), makeRendered("p", { class: "hint" }, reason)),
      );
    };
    const amiss = words.amiss(play.drill.starts[start]);
    return make(
      "section",
      { class: `result result-${passed ? "passed" : "failed"}` },
      make("p", { class: "over" }, title),
      counts || passed ? make("h1", {}, word(!counts ? "drill_well" : passed ? "passed" : "failed")) : null,
      make(counts || passed ? "p" : "h1", { class: "ending" }, word(end && end.sort === "cured" && takenBack > 0 ? "drill_end_back" : how(run))),
      amiss.length > 0 ? makeRendered("p", {}, word("drill_was", { what: amiss.join("; ") })) : null,
      takenBack > 0 ? make("p", { class: "drill-lacked" }, word("drill_took_back", { count: takenBack })) : null,
      end && !passed ? stopped(play, words, turns, end, way, start) : null,
      make("p", {}, after),
      ways,
      passed ? null : PITWRIGHT.studyLinks(texts.lessons.map(({ id }) => id)),
      fold("drill_order", false, [make("ol", { class: "drill-order" }, turns.map(told))]),
      fold("drill_par", !passed, [
        make("p", { class: "hint" }, word("drill_par_lead")),
        make("ol", { class: "drill-par" }, way.map(step)),
        make("p", { class: "hint" }, word("drill_times", { yours: minutes(takes(turns.map(({ act }) => act))), par: minutes(takes(way)) })),
      ]),
    );
  }

  PITWRIGHT.drillDebrief = { debrief, stop, without, missing };
})(globalThis);
