/* A drill: the call comes in, everything the machine allows is open, and the run ends at its end or at the first unsafe act. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;
  const { document } = global;

  /** No machine has an act of this name: the person leaves the machine as it is. */
  const LEAVE = "leave-it";

  PITWRIGHT.part("drill-run", (element) => {
    const { make, makeRendered, word, marking, machineWords, drillWords } = PITWRIGHT;
    const drill = marking.drills.find((one) => one.id === document.body.dataset.id);
    const { model } = marking.machines.find((one) => one.id === drill.machine);
    const play = PITWRIGHT.play(model, drill);
    const words = PITWRIGHT.drillWordsOf(play, machineWords);
    const before = element.firstElementChild;
    const plan = { kind: "drill", item: drill, max: 1, run: counted };

    /**
     * Plays a run in the page.
     * @param {object} how
     * @param {{next: () => number, below: (bound: number) => number}} how.chance
     * @param {boolean} how.counts
     * @param {(turn: {act: number, others: {index: number}[]}) => Promise<void>} how.keep resolves when the act is kept
     * @param {(run: object | null) => Promise<string>} how.finish resolves when the end is kept; answers with what may follow
     */
    function start({ chance, counts, keep, finish }) {
      const begin = chance.below(drill.starts.length);
      /** @type {{run: object, act: number, came: string, firings: object[], others: object[]}[]} */
      let turns = [];
      let run = play.begin(begin);

      const look = PITWRIGHT.drillLook(words, machineWords);
      const acts = PITWRIGHT.drillActs(play, words, machineWords, (act) => guarded(() => press(act)));
      const happened = make("div", { class: "drill-happened", tabindex: "-1" });
      const place = make("p", { class: "drill-place" });
      const more = make("div", { class: "drill-more" });
      const problem = make("p", { class: "problem", role: "alert" });
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

      /** What an act came to, as sentences; what others did is told only where it shows. */
      function told(was, turn) {
        const lines = [turn.came === "done" ? null : word(turn.came === "held" ? "drill_held" : "drill_nothing")];
        lines.push(...words.reactions(turn.firings).map((what) => word("drill_machine", { what })));
        const seen = turn.others.length > 0 && play.machine.seen(was) !== play.machine.seen(turn.run.real);
        for (const { index, firings } of seen ? turn.others : []) {
          lines.push(word("drill_other", { what: words.other(index) }));
          lines.push(...words.reactions(firings).map((what) => word("drill_machine", { what })));
        }
        return lines.filter(Boolean);
      }

      function say(lines) {
        happened.replaceChildren(...lines.map((html) => makeRendered("p", {}, html)));
      }

      function draw() {
        const at = words.place(run.real);
        look.draw(run.real);
        acts.draw(run);
        place.replaceChildren(...(at === null ? [] : [make("b", {}, word("drill_where")), " ", makeRendered("span", {}, machineWords.places[at].says)]));
        place.classList.toggle("drill-inside", at !== null && machineWords.places[at].inside);
        more.replaceChildren(
          ...(!counts && turns.length > 0 ? [quiet("drill_back", back)] : []),
          quiet(counts ? "drill_leave" : "drill_leave_practice", leave),
        );
      }

      /** Nothing on the page may take the focus away: it goes to what happened, from where the drawing and the acts follow. */
      function after() {
        happened.focus({ preventScroll: true });
        happened.scrollIntoView({ block: "start" });
      }

      async function press(act) {
        // After a failed finish the last act is kept already: only the finish is tried again.
        if (!run.end) {
          const was = run.real;
          const turn = { act, ...play.step(run, act, chance.next) };
          await keep(turn);
          turns.push({ ...turn, before: run });
          run = turn.run;
          say([`<b>${words.says(act)}</b>`, ...told(was, turn)]);
        }
        if (run.end) await end();
        else {
          draw();
          after();
        }
      }

      async function end() {
        const follows = await finish(run.end ? run : null);
        const passed = run.end && (run.end.sort === "cured" || run.end.sort === "handed");
        const ways = counts
          ? PITWRIGHT.waysOn()
          : make(
              "p",
              { class: "ways-on" },
              run.end && !passed ? again("drill_back_and_on", back) : null,
              again("drill_again", practise),
              make("a", { class: "press press-quiet", href: `${document.body.dataset.root}index.html` }, word("to_all")),
            );
        const shown = { play, words, texts: drillWords, title: drill.title, start: begin, turns, run, counts, after: follows, ways };
        PITWRIGHT.sitting.show(element, PITWRIGHT.drillDebrief.debrief(shown));
      }

      const again = (key, work) => {
        const button = make("button", { type: "button", class: "press" }, word(key));
        button.addEventListener("click", work);
        return button;
      };

      /** Practice only: the last act is taken back. */
      function back() {
        const last = turns.pop();
        run = last.before;
        say([word("drill_taken_back", { act: words.says(last.act) })]);
        screen();
        after();
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
            make("div", { class: "drill-left" }, happened, look.element),
            make("div", { class: "drill-right" }, place, ask, problem, acts.element, more),
          ),
        );
        draw();
      }

      say([word("drill_begins")]);
      screen();
      PITWRIGHT.focusOn(element.querySelector("h1"));
    }

    function practise() {
      const chance = PITWRIGHT.random.fromHex(PITWRIGHT.random.seed());
      start({ chance, counts: false, keep: async () => {}, finish: async () => word("drill_practice_done") });
    }

    function counted(running) {
      const chance = PITWRIGHT.random.fromHex(running.seed);
      start({
        chance,
        counts: true,
        keep: (turn) => running.answer(play.machine.acts[turn.act].id, words.name(turn.act), null, turn.others.map(({ index }) => model.others[index].id)),
        async finish(run) {
          if (!run) await running.answer(LEAVE, LEAVE, null, []);
          const passed = run !== null && (run.end.sort === "cured" || run.end.sort === "handed");
          await running.finish({ passed, raw: passed ? 1 : 0 });
          return passed ? word("after_pass") : PITWRIGHT.sitting.leaveWords(await PITWRIGHT.sitting.leaveOf(PITWRIGHT.here.code, plan));
        },
      });
    }

    const go = make("button", { type: "button", class: "press press-main" }, word("drill_practise"));
    go.addEventListener("click", practise);
    before.querySelector("[data-practise]").append(go);
    PITWRIGHT.sitting.offer(element, plan);
  });
})(globalThis);
