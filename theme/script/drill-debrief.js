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
   * What was missing before the last act. A safe way is followed to the first place where that act does no wrong. What guards against the
   * wrong are its acts up to there without which the act does it: left out, or with what they change set back to how it really stood.
   * Those against the harm that is told come first. Where there are none, the first two that were not done; never the rest of the way.
   * @param {bigint} harm the hazard that is told, as a bit; 0 where a rule was broken
   * @returns {{acts: number[], differs: number[], never: boolean}} acts; the variables that those against this harm change and that stood
   *   otherwise; whether a safe way never comes to that act, and the acts are its first
   */
  function missing(play, turns, way, start, end, harm) {
    const { acts } = play.machine;
    const { act, before } = turns[turns.length - 1];
    const idOf = (one) => acts[one].id;
    const done = turns.slice(0, -1).filter(({ came }) => came === "done").map((one) => idOf(one.act));
    const lacks = (one) => !done.includes(idOf(one));
    const runs = [play.begin(start)];
    for (const one of way) runs.push(play.step(runs[runs.length - 1], one, STILL).run);
    const at = runs.findIndex((run) => {
      const { came, run: then } = play.step(run, act, STILL);
      return came === "done" && !(then.end && WRONG.includes(then.end.sort));
    });
    const never = at < 0;
    const { real, situation, progress } = runs[never ? way.length : at];
    const differing = [...real].map((_, one) => one).filter((one) => before.real[one] !== real[one]);
    const [first, then, differs] = [[], [], never ? differing : []];
    for (let left = 0; left < at; left += 1) {
      const changed = differing.filter((one) => runs[left].real[one] !== runs[left + 1].real[one]);
      const back = (state) => [...state].map((value, one) => (changed.includes(one) ? before.real[one] : value)).join("");
      const judged = harm && changed.length > 0 ? play.world.judge(act, situation.map(([state, still]) => [back(state), still]), progress) : {};
      const other = without(play, start, [...way.slice(0, at), act], left);
      const same = other.end && other.end.sort === end.sort && other.act === act;
      const met = (judged.danger || 0n) | (judged.harm || 0n) | ((same && other.end.hazards) || 0n);
      const told = harm ? met & harm : same && other.end.rule === end.rule;
      if (told) differs.push(...changed);
      if (lacks(way[left]) && (told || same || met & (end.hazards || 0n))) (told ? first : then).push(way[left]);
    }
    const all = [...first, ...then];
    return { acts: all.length > 0 ? all : way.slice(0, never ? way.length : at).filter(lacks).slice(0, 2), differs, never };
  }

  /** The first act that a rule still asks for although it was done, before its turn, since the rule began anew; -1 where there is none. */
  function tooEarly(play, turns, rule) {
    const { acts, rules } = play.machine;
    const { order, againAfter } = rules[rule];
    const { before } = turns[turns.length - 1];
    const { place, done: met } = before.progress[rule];
    const ids = turns.slice(0, -1).filter(({ came }) => came === "done").map(({ act }) => acts[act].id);
    const since = ids.slice(1 + ids.reduce((last, id, at) => (againAfter.includes(id) ? at : last), -1));
    const open = order.slice(place).flatMap((group, at) => group.filter((_, one) => at > 0 || !(met & (1 << one))));
    return acts.findIndex(({ id }) => id === open.find((one) => since.includes(one)));
  }

  /** What really happened at the last act: what the machine and others did, and the hazards that were met. */
  function happened(words, { firings, others }) {
    const lines = [...words.reactions(firings), ...others.flatMap((one) => [words.other(one.index), ...words.reactions(one.firings)])];
    const met = [...firings, ...others.flatMap((one) => one.firings)].reduce((all, firing) => all | firing.met, 0n);
    return { lines, met };
  }

  /** How an act that ended a run hurt or harmed, or can: as it went this time, or as it may go. */
  function told(words, turn, end) {
    const { lines, met } = happened(words, turn);
    const [real] = words.hazards(met & end.hazards);
    return real ? { real, lines, hazard: real } : words.story(turn.before, turn.act, end);
  }

  /** The same as paragraphs, or the rule that was broken. */
  function danger(words, end, story) {
    const { word } = PITWRIGHT;
    if (!story) {
      const rule = words.rule(end.rule);
      return [labelled("drill_rule_lead", rule.says ? words.sentence(rule.says) : ""), labelled("drill_source", rule.source)];
    }
    const { real, lines, hazard } = story;
    return [
      labelled(real ? "drill_hurt" : "drill_lucky", [...lines, hazard.harm].join(" ")),
      end.sort === "unsafe" ? PITWRIGHT.make("p", {}, word(`severity_${hazard.severity}`)) : null,
      hazard.source ? labelled("drill_source", hazard.source) : null,
    ];
  }

  /** The panel at which a run stops: which act, how the machine was then, what was missing, what it can do, and what others had done. */
  function stopped(play, words, turns, end, way, start) {
    const { make, makeRendered } = PITWRIGHT;
    const last = turns[turns.length - 1];
    const story = end.sort === "rule" ? null : told(words, last, end);
    const harm = story ? 1n << BigInt(play.machine.model.hazards.findIndex(({ id }) => id === story.hazard.id)) : 0n;
    const lacking = missing(play, turns, way, start, end, harm);
    const early = end.sort === "rule" ? tooEarly(play, turns, end.rule) : -1;
    const stood = words.facts(last.before.real, (name) => lacking.differs.some((one) => play.machine.model.variables[one].name === name));
    const others = Array.from(new Set(turns.slice(0, -1).flatMap((turn) => turn.others.map(({ index }) => index))));
    return make(
      "section",
      { class: "first-unsafe" },
      makeRendered("h2", {}, words.says(last.act)),
      stood.length === 0 ? null : labelled("drill_stood", stood.join(" ")),
      lacking.acts.length === 0 ? null : labelled(lacking.never ? "drill_never" : "drill_lacked", ""),
      lacking.acts.length === 0 ? null : make("ul", {}, lacking.acts.map((act) => makeRendered("li", {}, words.says(act)))),
      early < 0 ? null : labelled("drill_early", words.says(early)),
      danger(words, end, story),
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

    const toldOf = (turn) => makeRendered("li", {}, [words.says(turn.act), ...words.came(turn, true)].join(" "));
    const fold = (key, open, content) => make("details", { class: "drill-fold", open }, make("summary", {}, make("h2", {}, word(key))), content);
    /** An act of the way with its reason, which is open where the act was left out. */
    const step = (act, at) => {
      const lacking = !done.has(play.machine.acts[act].id);
      return make(
        "li",
        {},
        makeRendered("p", {}, words.says(act)),
        lacking ? make("p", { class: "drill-lacking" }, word("drill_lacking")) : null,
        make("details", { open: lacking && !passed }, make("summary", {}, word("drill_why")), makeRendered("p", { class: "hint" }, why(play, words, start, way, at))),
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
      takenBack > 0 ? make("p", { class: "plain-note" }, word("drill_took_back", { count: takenBack })) : null,
      end && !passed ? stopped(play, words, turns, end, way, start) : null,
      make("p", {}, after),
      ways,
      passed ? null : PITWRIGHT.studyLinks(texts.lessons.map(({ id }) => id)),
      fold("drill_order", false, [make("ol", { class: "drill-order" }, turns.map(toldOf))]),
      fold("drill_par", !passed, [
        make("p", { class: "hint" }, word("drill_par_lead")),
        make("ol", { class: "drill-par" }, way.map(step)),
      ]),
    );
  }

  PITWRIGHT.drillDebrief = { debrief, stop, without, missing };
})(globalThis);
