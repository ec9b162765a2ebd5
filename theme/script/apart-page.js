/*
 * What stopped it? One sign at a time, with a thumb; what was said can be changed; the stops in the order of how likely they are. It
 * keeps nothing on record. The answers stand in the page's own address, so that whoever comes back from a stop's page finds them.
 */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;
  const { document } = global;

  const ANSWERS = ["yes", "no", "unseen"];
  /** How many stops are listed in the open. */
  const FIRST = 4;
  /** Stops that are named where none stands out: half as likely as the first, and no more than this many. */
  const NAMED = 5;
  /** After so many answers that something cannot be seen, whom to call is said under each question. */
  const ENOUGH = 4;

  PITWRIGHT.part("apart", (element) => {
    const { make, makeRendered, word, stopsHere: here } = PITWRIGHT;
    const { root } = document.body.dataset;
    /** @type {{sign: number, answer: string}[]} in the order in which they were given */
    let given = [];
    /** One box for each stop at most: it watches who is here for as long as the page stands. */
    const boxes = new Map();

    const lesson = (stop) => `${root}lesson/${here.stops[stop].id}.html`;
    /** How well a stop fits, in words: a number would look as if somebody had counted. */
    function fits(stop, { order, likely }) {
      const [first, second] = order;
      if (likely[stop] * 2 < likely[first]) return word("apart_fits_less");
      return word(stop === first && likely[second] < likely[first] ? "apart_fits_best" : "apart_fits");
    }

    function looked() {
      const answers = here.signs.map(() => null);
      given.forEach(({ sign, answer }) => {
        answers[sign] = answer;
      });
      return PITWRIGHT.apart.look(here, answers);
    }

    /** The answers as the end of an address: `said=SIGN.yes,SIGN.no`. What is not known there is left out. */
    const written = () => given.map(({ sign, answer }) => `${here.signs[sign].id}.${answer}`).join(",");

    function read() {
      const [, said] = PITWRIGHT.address.hash().split("said=");
      const found = new Map();
      for (const one of said ? said.split(",") : []) {
        const [id, answer] = one.split(".");
        const sign = here.signs.findIndex((known) => known.id === id);
        if (sign >= 0 && ANSWERS.includes(answer)) found.set(sign, answer);
      }
      given = [...found].map(([sign, answer]) => ({ sign, answer }));
    }

    const press = (key, how, work, more = {}) => make("button", { type: "button", class: `press ${how}`, onclick: work, ...more }, word(key));

    function turn(work) {
      work();
      PITWRIGHT.address.keep(given.length > 0 ? `#said=${written()}` : "");
      draw();
      PITWRIGHT.focusOn(element.querySelector("h2"));
    }

    const ways = () =>
      make(
        "p",
        { class: "apart-ways" },
        given.length > 0 ? press("apart_back", "press-quiet", () => turn(() => given.pop()), { "data-back": true }) : null,
        given.length > 0 ? press("apart_anew", "press-quiet", () => turn(() => (given = [])), { "data-anew": true }) : null,
      );

    function question(sign) {
      const answer = (key) => press(`apart_${key}`, "apart-answer", () => turn(() => given.push({ sign, answer: key })), { "data-say": key });
      return make(
        "section",
        { class: "apart-ask" },
        make("p", { class: "over" }, word("apart_question", { number: given.length + 1 })),
        makeRendered("h2", { class: "apart-sign", "data-sign": here.signs[sign].id }, here.signs[sign].says),
        make("div", { class: "apart-answers" }, ANSWERS.map(answer)),
        make("p", { class: "apart-outside" }, word("apart_outside")),
        given.filter((one) => one.answer === "unseen").length < ENOUGH ? null : make("p", { class: "apart-outside" }, word("apart_enough")),
        given.filter((one) => one.answer === "unseen").length < ENOUGH ? null : trainer(),
        ways(),
        elsewhere(),
      );
    }

    /** Whoever has seen something already says that first, and is asked about the rest. */
    function elsewhere() {
      const asked = new Set(given.map((one) => one.sign));
      const open = here.signs.map((_, at) => at).filter((at) => !asked.has(at));
      const see = (sign) => {
        const button = makeRendered("button", { type: "button", class: "press press-quiet", "data-see": here.signs[sign].id }, here.signs[sign].says);
        button.addEventListener("click", () => turn(() => given.push({ sign, answer: "yes" })));
        return make("li", {}, button);
      };
      return make(
        "details",
        { class: "apart-fold apart-see" },
        make("summary", {}, word("apart_see")),
        make("p", {}, word("apart_see_lead")),
        make("ul", {}, open.map(see)),
      );
    }

    /** Whether one may clear it alone: no, unless a slip says so. For no stop at all it is no. */
    function alone(stop) {
      const key = stop === null ? null : here.stops[stop].id;
      if (!boxes.has(key)) {
        const id = `alone-${boxes.size}`;
        const box = make(
          "section",
          { class: "alone", "aria-labelledby": id, "data-competencies": stop === null ? "" : here.stops[stop].needs },
          make("h2", { id, class: "alone-title" }, word("alone_title_stop")),
          make("div", { "data-answer": true }, make("p", { class: "alone-answer" }, word("alone_ask"))),
        );
        if (stop === null) box.querySelector("[data-answer]").append(make("p", { class: "alone-why" }, word("apart_left_alone")));
        else PITWRIGHT.alone(box);
        boxes.set(key, box);
      }
      return boxes.get(key);
    }

    const trainer = () => (here.trainer.words ? make("p", { class: "apart-call" }, `${here.trainer.label}: `, make("b", {}, here.trainer.words)) : null);

    /** What is to be done, in the open. */
    function opened(reason) {
      const copy = reason.cloneNode(true);
      for (const fold of copy.querySelectorAll("details")) fold.open = true;
      return copy;
    }

    function leave() {
      const seen = given.filter(({ sign, answer }) => here.signs[sign].alarm && answer === "yes").map(({ sign }) => here.signs[sign]);
      const reasons = [...document.querySelectorAll("[data-signs]")];
      const meant = reasons.filter((one) => seen.some(({ id }) => one.dataset.signs.split(" ").includes(id)));
      return make(
        "section",
        { class: "walk-away apart-end", "data-end": "at-once" },
        make("h2", { class: "walk-word" }, word("apart_leave")),
        makeRendered("p", {}, word("apart_leave_why", { sign: seen.map(({ says }) => says).join(" · ") })),
        meant.map(opened),
        ways(),
      );
    }

    function found(stop) {
      return make(
        "section",
        { class: "apart-end", "data-end": "stands-out" },
        make("p", { class: "over" }, word("apart_found_over")),
        make("h2", { class: "apart-sign" }, here.stops[stop].title),
        make("p", {}, word("apart_found_why")),
        make("p", { class: "apart-outside" }, word("apart_check")),
        alone(stop),
        trainer(),
        make("p", {}, make("a", { class: "press apart-to", href: lesson(stop) }, word("apart_read"))),
        ways(),
      );
    }

    function left({ order, likely }) {
      const near = order.filter((stop) => likely[stop] * 2 >= likely[order[0]]);
      const few = near.length <= NAMED;
      return make(
        "section",
        { class: "apart-end", "data-end": "nothing-tells" },
        make("h2", { class: "apart-sign" }, word("apart_left")),
        make("p", { class: "apart-outside" }, word(!few ? "apart_left_none" : given.some((one) => one.answer === "unseen") ? "apart_left_unseen" : "apart_left_lead")),
        few ? make("ul", {}, near.map((stop) => make("li", {}, make("a", { href: lesson(stop) }, here.stops[stop].title)))) : null,
        alone(null),
        trainer(),
        ways(),
      );
    }

    /** A bar as a drawing, since its length is a number and no style. */
    function bar(likely) {
      const name = "http://www.w3.org/2000/svg";
      const drawing = document.createElementNS(name, "svg");
      const filled = document.createElementNS(name, "rect");
      for (const [key, value] of [["viewBox", "0 0 1000 10"], ["preserveAspectRatio", "none"], ["class", "apart-bar-of"], ["aria-hidden", "true"]]) drawing.setAttribute(key, value);
      for (const [key, value] of [["width", Math.round(likely / 1000)], ["height", 10]]) filled.setAttribute(key, value);
      drawing.append(filled);
      return drawing;
    }

    /** The stops in order. Until asking has ended none of them is a way on: a page opened too early is a guess. */
    function ranked(look) {
      const { order, likely, end } = look;
      const wasOpen = element.querySelector(".apart-rank details")?.open || false;
      const row = (stop) =>
        make(
          "li",
          { "data-stop": here.stops[stop].id },
          make("span", { class: "apart-row" }, end ? make("a", { href: lesson(stop) }, here.stops[stop].title) : make("span", {}, here.stops[stop].title), make("b", {}, fits(stop, look))),
          bar(likely[stop]),
        );
      const rest = order.slice(FIRST);
      return make(
        "section",
        { class: "apart-rank", "aria-labelledby": "rank-title" },
        make("h2", { id: "rank-title" }, word("apart_rank")),
        make("ol", {}, order.slice(0, FIRST).map(row)),
        rest.length > 0
          ? make("details", { open: wasOpen }, make("summary", {}, word("apart_others", { count: rest.length })), make("ol", { start: FIRST + 1 }, rest.map(row)))
          : null,
      );
    }

    /** Another answer to what was asked before. The focus stays on it; what came of it is told. */
    function change(sign, answer) {
      given.find((one) => one.sign === sign).answer = answer;
      PITWRIGHT.address.keep(`#said=${written()}`);
      draw();
      element.querySelector(`[data-of="${here.signs[sign].id}"] [data-change="${answer}"]`).focus({ preventScroll: true });
      const look = looked();
      const [first] = look.order;
      PITWRIGHT.say(look.end === "at-once" ? word("apart_leave") : word("apart_now_first", { stop: here.stops[first].title, fits: fits(first, look) }));
    }

    function said() {
      const one = ({ sign, answer }, at) => {
        const { id } = here.signs[sign];
        const choose = (key) => press(`apart_${key}`, "press-quiet", () => change(sign, key), { "data-change": key, "aria-pressed": String(key === answer) });
        return make(
          "li",
          { "data-of": id },
          makeRendered("span", { id: `said-${at}` }, here.signs[sign].says),
          make("span", { class: "apart-change", role: "group", "aria-labelledby": `said-${at}` }, ANSWERS.map(choose)),
        );
      };
      return make(
        "section",
        { class: "apart-said", "aria-labelledby": "said-title" },
        make("h2", { id: "said-title" }, word("apart_said")),
        make("p", {}, word("apart_said_lead")),
        make("ol", {}, given.map(one)),
      );
    }

    function draw() {
      const look = looked();
      const [first] = look.order;
      const ends = { "at-once": leave, "stands-out": () => found(first), "nothing-tells": () => left(look) };
      const top = look.end ? ends[look.end]() : question(look.next);
      // Whoever is to leave has no use for a list, nor has somebody who could see nothing yet.
      const rank = given.some(({ answer }) => answer !== "unseen") && look.end !== "at-once" ? ranked(look) : null;
      element.replaceChildren(...[top, rank, given.length > 0 ? said() : null].filter(Boolean));
    }

    read();
    draw();
  });
})(globalThis);
