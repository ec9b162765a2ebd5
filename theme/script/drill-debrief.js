/* Looking back on a run: how it ended, what was unsafe and how that hurts, what happened in order, and the way that par takes. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /** A word that is never below any odds: nobody else acts. */
  const STILL = () => 0x100000000;

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
   * What was missing before the last act: of the acts of a way that come before it there and were not done, the first two without
   * which the way itself goes wrong at that act, and where there are none, the first two; where the way does not have that act, the
   * first that was not done. Never all of them: the rest of the way is the trainee's to find.
   * @returns {number[]}
   */
  function missing(play, turns, way, start, end) {
    const { acts } = play.machine;
    const done = new Set(turns.slice(0, -1).filter(({ came }) => came === "done").map(({ act }) => acts[act].id));
    const { id } = acts[turns[turns.length - 1].act];
    const at = way.findIndex((act) => acts[act].id === id);
    const open = way.slice(0, at < 0 ? way.length : at).filter((act) => !done.has(acts[act].id));
    if (at < 0) return open.slice(0, 1);
    const needed = [];
    for (let left = 0; left < at && needed.length < 2; left += 1) {
      if (done.has(acts[way[left]].id)) continue;
      const then = without(play, start, way.slice(0, at + 1), left);
      if (then.end && then.end.sort === end.sort && acts[then.act].id === id) needed.push(way[left]);
    }
    return needed.length > 0 ? needed : open.slice(0, 2);
  }

  /** What really happened at the last act: what the machine and others did, and the hazards that were met. */
  function happened(words, { firings, others }) {
    const lines = [...words.reactions(firings), ...others.flatMap((one) => [words.other(one.index), ...words.reactions(one.firings)])];
    const met = [...firings, ...others.flatMap((one) => one.firings)].reduce((all, firing) => all | firing.met, 0n);
    return { lines, met };
  }

  /** What an act that ended a run did, or can do. */
  function danger(play, words, turn, end) {
    const { make, makeRendered, word } = PITWRIGHT;
    if (end.sort === "rule") {
      const rule = words.rule(end.rule);
      return make(
        "div",
        { class: "danger-told" },
        makeRendered("p", {}, `${word("drill_rule_lead")} ${rule.says ? words.sentence(rule.says) : ""}`),
        makeRendered("p", {}, `${word("drill_source")} ${rule.source}`),
      );
    }
    const { lines, met } = happened(words, turn);
    const [real] = words.hazards(met & end.hazards);
    const told = real ? { lines, hazard: real } : words.story(turn.before, turn.act, end);
    return make(
      "div",
      { class: "danger-told" },
      makeRendered("p", {}, [word(real ? "drill_hurt" : "drill_lucky"), ...told.lines, told.hazard.harm].join(" ")),
      end.sort === "unsafe" ? make("p", {}, word(`severity_${told.hazard.severity}`)) : null,
      told.hazard.source ? makeRendered("p", {}, `${word("drill_source")} ${told.hazard.source}`) : null,
    );
  }

  /** The panel at which a run stops: what was missing, which act, what it can do, and what others had done by then. */
  function stopped(play, words, turns, end, way, start) {
    const { make, makeRendered, word } = PITWRIGHT;
    const last = turns[turns.length - 1];
    const lacking = missing(play, turns, way, start, end);
    const others = Array.from(new Set(turns.slice(0, -1).flatMap((turn) => turn.others.map(({ index }) => index))));
    return make(
      "section",
      { class: "first-unsafe" },
      make("h2", {}, word({ unsafe: "drill_first_unsafe", rule: "drill_first_rule", harm: "drill_first_harm" }[end.sort])),
      makeRendered("p", { class: "first-unsafe-act" }, words.says(last.act)),
      lacking.length === 0 ? null : make("p", { class: "first-unsafe-act" }, word("drill_lacked")),
      lacking.length === 0 ? null : make("ul", {}, lacking.map((act) => makeRendered("li", {}, words.says(act)))),
      danger(play, words, last, end),
      others.length === 0 ? null : makeRendered("p", {}, word("drill_others_before", { what: others.map(words.other).join(" ") })),
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
      make("p", { class: "over" }, title),
      make("h1", {}, word("drill_not_well")),
      make("p", { class: "ending" }, word(how(run))),
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
    // What came to nothing. An act that changed something is never called needless: it may have been what hurt.
    const surplus = turns.filter(({ came }) => came !== "done");
    const takes = (acts) => acts.reduce((sum, act) => sum + play.machine.acts[act].takes, 0);

    const told = (turn) => {
      const came = { nothing: word("drill_nothing"), held: word("drill_held") }[turn.came];
      const lines = [came, ...words.reactions(turn.firings).map((line) => word("drill_machine", { what: line }))];
      for (const { index, firings } of turn.others) {
        lines.push(word("drill_other", { what: words.other(index) }), ...words.reactions(firings).map((line) => word("drill_machine", { what: line })));
      }
      return makeRendered("li", {}, [words.says(turn.act), ...lines.filter(Boolean)].join(" "));
    };

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
      make("h1", {}, word(counts ? (passed ? "passed" : "failed") : passed ? "drill_well" : "drill_not_well")),
      make("p", { class: "ending" }, word(end && end.sort === "cured" && takenBack > 0 ? "drill_end_back" : how(run))),
      amiss.length > 0 ? makeRendered("p", {}, word("drill_was", { what: amiss.join("; ") })) : null,
      takenBack > 0 ? make("p", { class: "drill-lacked" }, word("drill_took_back", { count: takenBack })) : null,
      end && !passed ? stopped(play, words, turns, end, way, start) : null,
      make("p", {}, after),
      ways,
      passed ? null : PITWRIGHT.studyLinks(texts.lessons.map(({ id }) => id)),
      fold("drill_order", false, [make("ol", { class: "drill-order" }, turns.map(told))]),
      surplus.length > 0
        ? fold("drill_surplus", false, [
            make("p", { class: "hint" }, word("drill_surplus_lead")),
            make("ul", {}, surplus.map(({ act }) => makeRendered("li", {}, words.says(act)))),
          ])
        : null,
      fold("drill_par", !passed, [
        make("p", { class: "hint" }, word("drill_par_lead")),
        make("ol", { class: "drill-par" }, way.map(step)),
        make("p", { class: "hint" }, word("drill_times", { yours: minutes(takes(turns.map(({ act }) => act))), par: minutes(takes(way)) })),
      ]),
    );
  }

  PITWRIGHT.drillDebrief = { debrief, stop, without, missing };
})(globalThis);
