/* What can be looked at in a drill: drawings from where one stands, and the same in words. Looking is free. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /**
   * @param {ReturnType<typeof PITWRIGHT.drillWordsOf>} words
   * @param {object} texts the machine's words
   */
  function look(words, texts) {
    const { make, makeRendered, word } = PITWRIGHT;
    const frame = make("div", { class: "drawing drill-drawing" });
    const choose = make("div", { class: "drill-views", role: "group", "aria-label": word("drill_look_at") });
    const facts = make("ul", { class: "drill-facts" });
    const known = make("ul", { class: "drill-facts" });
    const otherwise = make("p", { class: "hint" });
    const title = make("h2", {});
    const inWords = make(
      "details",
      { class: "drill-in-words" },
      make("summary", {}, word("drill_in_words")),
      title,
      facts,
      otherwise,
      make("h2", {}, word("drill_you_know")),
      known,
    );
    const drawings = new Map(texts.views.map((view) => [view.id, makeRendered("div", {}, view.svg).firstElementChild]));
    const bound = new Map(Array.from(drawings, ([id, svg]) => [id, PITWRIGHT.bound.names(svg)]));
    const drawn = new Set(Array.from(bound.values()).flatMap((names) => Array.from(names)));
    let chosen = null;
    let stood = null;

    const items = (list) => list.map((html) => makeRendered("li", {}, html));

    function show(state) {
      const view = texts.views.find(({ id }) => id === chosen);
      for (const button of choose.children) button.setAttribute("aria-pressed", String(button.dataset.view === chosen));
      known.replaceChildren(...items(words.facts(state, (name) => !drawn.has(name))));
      if (!view) {
        frame.hidden = true;
        return;
      }
      const svg = drawings.get(view.id);
      PITWRIGHT.bound.apply(svg, words.shown(state));
      if (frame.firstChild !== svg) frame.replaceChildren(svg);
      title.replaceChildren(makeRendered("span", {}, view.says));
      otherwise.replaceChildren(view.otherwise ? makeRendered("span", {}, view.otherwise) : "");
      facts.replaceChildren(...items(words.facts(state, (name) => bound.get(view.id).has(name))));
    }

    /** Shows a state from where the person is in it. */
    function draw(state) {
      const place = words.place(state);
      const here = texts.views.filter(({ from }) => place === null || from.includes(place));
      if (place !== stood || !here.some(({ id }) => id === chosen)) {
        const own = here.find(({ from }) => from[0] === place) || here[0];
        chosen = own ? own.id : null;
        stood = place;
      }
      choose.replaceChildren(
        ...here.map((view) => {
          const button = makeRendered("button", { type: "button", class: "drill-view", "data-view": view.id }, view.says);
          button.addEventListener("click", () => {
            chosen = view.id;
            show(state);
          });
          return button;
        }),
      );
      choose.hidden = here.length < 2;
      show(state);
    }

    return { element: make("div", { class: "drill-look" }, frame, choose, inWords), draw };
  }

  PITWRIGHT.drillLook = look;
})(globalThis);
