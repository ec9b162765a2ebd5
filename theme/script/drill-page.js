/* A drill: the call comes in, everything the machine allows is open, and the run ends at its end or at the first unsafe act. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;
  const { document } = global;

  /** A practice that stopped always has something left, however many acts it took. */
  const MOST = 0.9;

  PITWRIGHT.part("drill-run", (element) => {
    const { make, makeRendered, word, marking, machineWords, drillWords } = PITWRIGHT;
    const drill = marking.drills.find((one) => one.id === document.body.dataset.id);
    const { model } = marking.machines.find((one) => one.id === drill.machine);
    const play = PITWRIGHT.play(model, drill);
    const words = PITWRIGHT.drillWordsOf(play, machineWords);
    const before = element.firstElementChild;
    const page = `drill/${drill.id}`;
    const plan = { kind: "drill", item: drill, max: 1, run: counted };

    /**
     * Plays a run in the page.
     * @param {object} how
     * @param {string} how.seed
     * @param {ReturnType<typeof PITWRIGHT.drillTrace>} how.trace
     * @param {boolean} how.counts
     * @param {(turn: {act: number, others: {index: number}[]}) => Promise<void>} how.keep resolves when the act is kept
     * @param {(acts: number) => void} [how.mark] practice only: keeps where it stands; a safe way takes so many acts
     * @param {(run: object | null) => Promise<string>} how.finish resolves when the end is kept; answers with what may follow
     */
    function start({ seed, trace, counts, keep, mark, finish }) {
      const way = drillWords.ways[drillWords.wayOf[trace.start]] || [];
      const look = PITWRIGHT.drillLook(words, machineWords);
      const acts = PITWRIGHT.drillActs(play, words, machineWords, seed, (act) => guarded(() => press(act)));
      const happened = make("div", { class: "drill-happened", tabindex: "0", role: "group", "aria-label": word("drill_happened") });
      const place = make("p", { class: "drill-place" });
      const more = make("div", { class: "drill-more" });
      const problem = make("p", { class: "problem", role: "alert" });
      const known = make("p", { class: "drill-known" });
      const ask = make("h2", {}, word("drill_ask"));
      let busy = false;

      async function guarded(work) {
        if (busy) return;
        busy = true;
        problem.textContent = "";
        try {
          await work();
        } catch (error) {
          problem.textContent = word("attempt_cannot", { why: error.message });
        } finally {
          busy = false;
        }
      }

      const quiet = (key, work) => {
        const button = make("button", { type: "button", class: "press press-quiet" }, word(key));
        button.addEventListener("click", () => guarded(work));
        return button;
      };

      /** What an act came to, as sentences: what the machine did, what others were seen to do, and what shows otherwise than before. */
      function told(turn) {
        const was = turn.before.real;
        const changed = words.changed(was, turn.run.real);
        const lines = words.came(turn, changed.size > 0);
        const now = words.shown(turn.run.real);
        const shows = words.facts(turn.run.real, (name) => changed.has(name) && now.get(name) !== "unseen");
        if (shows.length > 0) lines.push(word("drill_now", { what: shows.join(" ") }));
        else if (words.place(was) !== words.place(turn.run.real)) lines.push(word("drill_now", { what: words.sentence(machineWords.places[words.place(turn.run.real)].says) }));
        else if (turn.came === "done") lines.push(word(changed.size > 0 ? "drill_done" : "drill_no_change"));
        return lines;
      }

      function say(lines) {
        happened.replaceChildren(...lines.map((html) => makeRendered("p", {}, html)));
      }

      const sayTurn = (turn) => say([`<b>${words.says(turn.act)}</b>`, ...told(turn)]);

      function draw(changed) {
        const { run, turns } = trace;
        const at = words.place(run.real);
        look.draw(run.real, changed);
        acts.draw(run);
        place.replaceChildren(...(at === null ? [] : [make("b", {}, word("drill_where")), " ", makeRendered("span", {}, machineWords.places[at].says)]));
        known.replaceChildren(...look.known(run.real).map((html) => makeRendered("span", {}, `${html} `)));
        place.classList.toggle("drill-inside", at !== null && machineWords.places[at].inside);
        more.replaceChildren(
          ...(!counts && turns.length > 0 ? [quiet("drill_back", back)] : []),
          quiet(counts ? "drill_leave" : "drill_leave_practice", leave),
        );
      }

      /** The focus goes to what happened, which stays in sight; the thumb stays where it was, unless the person went elsewhere. */
      function after(moved) {
        happened.focus({ preventScroll: true });
        if (moved) place.scrollIntoView({ block: "start" });
      }

      async function press(act) {
        // After a failed finish the last act is kept already: only the finish is tried again.
        if (!trace.run.end) {
          const was = trace.run.real;
          const turn = trace.turn(act);
          await keep(turn);
          trace.take(turn);
          const { run } = trace;
          if (!counts) mark(way.length);
          sayTurn(turn);
          if (!run.end) {
            draw(words.changed(was, run.real));
            after(words.place(was) !== words.place(run.real));
            return;
          }
        }
        if (counts || trace.run.end.sort === "cured" || trace.run.end.sort === "handed") await end();
        else stop();
      }

      /** Practice stops at what is wrong, tells why, and what was missing before it; the whole way is told when the call is given up. */
      function stop() {
        PITWRIGHT.sitting.show(
          element,
          PITWRIGHT.drillDebrief.stop({
            play,
            words,
            title: drill.title,
            turns: trace.turns,
            run: trace.run,
            way,
            start: trace.start,
            ways: make("p", { class: "ways-on" }, again("drill_back_and_on", back, "main"), again("drill_anew", anew), again("drill_give_up", () => guarded(end))),
          }),
        );
      }

      async function end() {
        const { run, turns, takenBack } = trace;
        const follows = await finish(run.end ? run : null);
        const ways = counts
          ? PITWRIGHT.waysOn()
          : make(
              "p",
              { class: "ways-on" },
              again("drill_again", () => practise()),
              make("a", { class: "press press-quiet", href: `${document.body.dataset.root}index.html` }, word("to_all")),
            );
        const shown = { play, words, texts: drillWords, title: drill.title, start: trace.start, turns, run, counts, takenBack, after: follows, ways };
        PITWRIGHT.sitting.show(element, PITWRIGHT.drillDebrief.debrief(shown));
      }

      const again = (key, work, how = "quiet") => {
        const button = make("button", { type: "button", class: `press press-${how}` }, word(key));
        button.addEventListener("click", work);
        return button;
      };

      /** Practice only: the last act is taken back. */
      function back() {
        say([word("drill_taken_back", { act: words.says(trace.back().act) })]);
        mark(way.length);
        screen();
        after(true);
      }

      /** Practice only: the same call from its beginning. */
      function anew() {
        trace.anew();
        mark(way.length);
        say([word("drill_begins")]);
        screen();
        after(true);
      }

      async function leave() {
        await end();
      }

      function screen() {
        element.replaceChildren(
          make(
            "section",
            { class: "drill" },
            make("p", { class: "over" }, word(counts ? "drill_runs_counted" : "drill_runs_practice", { title: drill.title })),
            makeRendered("h1", { class: "drill-report" }, drillWords.report),
            make("div", { class: "drill-left" }, make("div", { class: "drill-top" }, happened, look.frame, look.choose), look.inWords),
            make("div", { class: "drill-right" }, place, known, ask, problem, acts.element, more),
          ),
        );
        draw();
      }

      const last = trace.turns[trace.turns.length - 1];
      if (last) sayTurn(last);
      else say([word("drill_begins")]);
      if (trace.run.end) return stop();
      screen();
      PITWRIGHT.focusOn(element.querySelector("h1"));
    }

    /**
     * Practice, which is on no record; where it stands is kept all the same, so that a break that ends is not the end of it.
     * @param {{seed: string, trace: object}} [from] where it stopped
     */
    function practise({ seed, trace } = {}) {
      const run = { seed: seed || PITWRIGHT.random.seed() };
      run.trace = trace || PITWRIGHT.drillTrace(play, run.seed);
      const { code } = PITWRIGHT.here;
      // Practice goes on where nothing can be kept.
      const keepPlace = (place) => code && PITWRIGHT.keeper.keepPlace(code, page, place).catch(() => {});
      start({
        ...run,
        counts: false,
        keep: async () => {},
        mark(acts) {
          const { log, turns, at } = run.trace;
          const share = Math.min(MOST, turns.length / Math.max(1, acts));
          keepPlace({ marking: PITWRIGHT.course.markingHash, seed: run.seed, log: log.slice(), at: at(), share });
        },
        async finish() {
          keepPlace(null);
          return word("drill_practice_done");
        },
      });
    }

    function counted(running) {
      start({
        seed: running.seed,
        trace: PITWRIGHT.drillTrace(play, running.seed),
        counts: true,
        keep: (turn) => running.answer(play.machine.acts[turn.act].id, words.name(turn.act), null, turn.others.map(({ index }) => model.others[index].id)),
        async finish(run) {
          if (!run) await running.answer(PITWRIGHT.statement.LEAVE_IT, PITWRIGHT.statement.LEAVE_IT, null, []);
          const passed = run !== null && (run.end.sort === "cured" || run.end.sort === "handed");
          await running.finish({ passed, raw: passed ? 1 : 0 });
          return passed ? word("after_pass") : PITWRIGHT.sitting.leaveWords(await PITWRIGHT.sitting.leaveOf(PITWRIGHT.here.code, plan));
        },
      });
    }

    const on = make("button", { type: "button", class: "press press-main" }, word("drill_go_on"));
    const offers = before.querySelector("[data-practise]");
    const go = offers.querySelector("button");
    /** Whether it is known if somebody stopped in the middle here. Pressed before, it goes on there: to begin anew would lose that place. */
    let known = false;
    let wanted = false;
    go.addEventListener("click", () => {
      if (known) practise();
      else wanted = true;
    });
    async function stopped(code) {
      try {
        return code && new Map(await PITWRIGHT.keeper.places(code)).get(page);
      } finally {
        // Where nothing is kept, or cannot be read, practice begins.
        known = true;
      }
    }
    PITWRIGHT.here.watch((code) =>
      PITWRIGHT.guarded(offers, async () => {
        const place = await stopped(code);
        if (PITWRIGHT.here.code !== code || !before.isConnected) return;
        const trace = place ? PITWRIGHT.drillTrace.again(play, place) : null;
        if (place && !trace) await PITWRIGHT.keeper.keepPlace(code, page, null);
        if (trace) go.before(on);
        else on.remove();
        on.onclick = () => practise({ seed: place.seed, trace });
        go.textContent = word(trace ? "drill_begin_anew" : "drill_practise");
        go.className = `press press-${trace ? "quiet" : "main"}`;
        if (trace && (wanted || (global.PITWRIGHT_HASH || global.location.hash) === "#go-on")) on.click();
        else if (wanted) practise();
        wanted = false;
      }),
    );
    PITWRIGHT.sitting.offer(element, plan);
  });
})(globalThis);
