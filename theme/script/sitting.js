/*
 * An attempt that counts: who takes it, whether it may begin, that it is on record before its first question shows,
 * that every answer is kept before the next shows, and that leaving it is failing it.
 */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;
  const { document } = global;

  /**
   * @typedef {object} Plan
   * @property {"bank" | "scenario" | "drill"} kind
   * @property {{id: string, title: string, edition: number}} item from the marking
   * @property {number} max the most that can be scored
   * @property {Map<string, number>} [earns] what each choice of a call earns, by its scene and itself, for whoever leaves it
   * @property {(running: Running) => void} run shows the first question
   *
   * @typedef {object} Running
   * @property {string} seed
   * @property {(of: string, response: string, parts: number | null, others?: string[]) => Promise<void>} answer resolves when it is kept
   * @property {(outcome: {passed: boolean, raw: number}) => Promise<void>} finish resolves when the end is kept
   */

  /** @returns {Promise<import("./attempts.js").Leave>} whether this person may begin now */
  async function leaveOf(code, plan) {
    const statements = (await PITWRIGHT.keeper.statements(code)).map((row) => row.statement);
    const { home, attempts: rule } = PITWRIGHT.marking;
    const { id, edition } = plan.item;
    const item = { kind: plan.kind, id, edition };
    const released = await PITWRIGHT.releases(code, statements);
    return PITWRIGHT.attempts.leave(PITWRIGHT.attempts.fold(statements, home), item, rule, Date.now(), released(item));
  }

  /** What stands in the way, or how many tries are left, in words. */
  function leaveWords(leave) {
    const { word, moment, day } = PITWRIGHT;
    if (leave.why === "running") return word("tries_running");
    if (leave.why === "used") return word("tries_used");
    if (leave.why === "wait") return word("tries_wait", { date: moment(leave.until) });
    const left = word("tries_left", { count: leave.left });
    const again = leave.last && leave.last.end.passed ? word("tries_again_after_pass", { date: day(leave.last.end.at) }) : "";
    return [again, left].filter(Boolean).join(" ");
  }

  /**
   * The lessons behind an assessment, and which of them this person has not read as they are now.
   * @returns {{all: object[], open: string[]}}
   */
  function lessonsOf(statements, { item }) {
    const { competencies, lessons, home } = PITWRIGHT.marking;
    const { verb, extension } = PITWRIGHT.statement;
    const wanted = item.competencies || item.draw.map(({ competency }) => competency);
    const study = competencies.filter(({ id }) => wanted.includes(id)).flatMap((one) => one.study);
    const all = lessons.filter(({ id }) => study.includes(id));
    const read = ({ id, edition }) =>
      statements.some((one) => one.object.id === `${home}/lesson/${id}` && verb(one) === "completed" && (extension(one, "edition") || 1) >= edition);
    return { all, open: all.filter((lesson) => !read(lesson)).map(({ id }) => id) };
  }

  /** How many of its lessons are read, and the ways to the others. Nobody is kept from beginning. */
  function readBefore({ all, open }) {
    const { make, word } = PITWRIGHT;
    if (all.length === 0) return null;
    const told = make("p", { class: "begin-read" }, word("begin_read", { read: all.length - open.length, all: all.length }));
    return make("div", { class: "read-first" }, told, open.length > 0 ? PITWRIGHT.readFirst(open) : []);
  }

  const warn = (event) => event.preventDefault();

  /** Puts the attempt on record and answers with what a run needs. */
  async function begin(code, plan) {
    const sitting = {
      ...PITWRIGHT.statement.frame(PITWRIGHT.course, code),
      registration: PITWRIGHT.statement.uuid(),
      kind: plan.kind,
      id: plan.item.id,
      title: plan.item.title,
      edition: plan.item.edition,
      seed: PITWRIGHT.random.seed(),
      max: plan.max,
      earns: plan.earns || new Map(),
    };
    const kept = [PITWRIGHT.statement.begun(sitting)];
    // The lock comes first: an attempt on record without its lock would look left to another tab.
    await PITWRIGHT.keeper.hold(sitting.registration);
    try {
      await PITWRIGHT.keeper.begin(sitting, kept[0]);
    } catch (error) {
      await PITWRIGHT.keeper.free(sitting.registration);
      throw error;
    }
    PITWRIGHT.here.busy = true;
    document.body.dataset.running = "";
    global.addEventListener("beforeunload", warn);
    // Coming "back" to a page that was put aside: the attempt was left then.
    global.addEventListener("pageshow", (event) => event.persisted && PITWRIGHT.here.busy && global.location.reload());

    return {
      seed: sitting.seed,
      async answer(of, response, parts, others) {
        const statement = PITWRIGHT.statement.answered(sitting, kept, of, response, parts, others);
        await PITWRIGHT.keeper.answer(sitting.registration, statement);
        kept.push(statement);
      },
      async finish(outcome) {
        await PITWRIGHT.keeper.end(sitting.registration, await PITWRIGHT.statement.ended(sitting, kept, outcome));
        await PITWRIGHT.keeper.free(sitting.registration);
        PITWRIGHT.here.busy = false;
        delete document.body.dataset.running;
        // The result is for the person who took it: whoever comes next starts from the first screen.
        PITWRIGHT.here.watch((now) => now !== code && global.location.reload());
        global.removeEventListener("beforeunload", warn);
      },
    };
  }

  /**
   * Offers the attempt in the page's first screen.
   * @param {HTMLElement} element the page's attempt
   * @param {Plan} plan
   */
  function offer(element, plan) {
    const { make, word, here } = PITWRIGHT;
    const place = element.querySelector("[data-begin]");

    async function press(code, problem) {
      problem.textContent = "";
      try {
        if (!global.crypto || !global.crypto.subtle) throw new Error(word("no_seal"));
        await PITWRIGHT.settleLeft();
        const leave = await leaveOf(code, plan);
        if (!leave.may) {
          await draw(code);
          return;
        }
        const running = await begin(code, plan);
        document.removeEventListener("visibilitychange", again);
        PITWRIGHT.say(word("begun_kept"));
        plan.run(running);
      } catch (error) {
        problem.textContent = error.name === "Running" ? word("tries_running") : word("attempt_cannot", { why: error.message });
      }
    }

    async function draw(code) {
      if (here.busy) return;
      const refocus = PITWRIGHT.focusKept(place);
      if (!code) {
        place.replaceChildren(make("p", {}, word("who_needed")), PITWRIGHT.whoForm());
        refocus();
        return;
      }
      await PITWRIGHT.leftSettled();
      const leave = await leaveOf(code, plan);
      const lessons = lessonsOf((await PITWRIGHT.keeper.statements(code)).map((row) => row.statement), plan);
      if (here.code !== code || here.busy) return;
      const problem = make("p", { class: "problem", role: "alert" });
      const change = make("button", { type: "button", class: "press press-quiet" }, word("begin_not_me", { code }));
      change.addEventListener("click", () => PITWRIGHT.pressed(change, () => here.set(null)));
      const go = make("button", { type: "button", class: `press press-${lessons.open.length > 0 ? "quiet" : "main"}`, "data-go": true }, word("begin"));
      go.addEventListener("click", () => PITWRIGHT.pressed(go, () => press(code, problem)));
      place.replaceChildren(
        ...[readBefore(lessons)].filter(Boolean),
        make("p", { class: "begin-as" }, make("span", {}, word("begin_as", { code })), change),
        make("p", { class: leave.may ? "begin-tries" : "begin-not" }, leaveWords(leave)),
        problem,
        ...(leave.may ? [go] : []),
      );
      refocus();
    }

    // A wait may be over, or the attempt in another tab may have ended, by the time somebody looks at this page again.
    function again() {
      if (!document.hidden && here.code) PITWRIGHT.guarded(place, () => draw(here.code));
    }

    document.addEventListener("visibilitychange", again);
    here.watch((code) => PITWRIGHT.guarded(place, () => draw(code)));
  }

  /**
   * Puts a new screen in the place of the last one, and the focus on its heading.
   * @param {HTMLElement} element the page's attempt
   * @param {HTMLElement} screen
   */
  function show(element, screen) {
    element.replaceChildren(screen);
    PITWRIGHT.focusOn(screen.querySelector("h1"));
  }

  PITWRIGHT.sitting = { offer, show, leaveOf, leaveWords };
})(globalThis);
