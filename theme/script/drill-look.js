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
    const told = make("div", {});
    const inWords = make("details", { class: "drill-in-words" }, make("summary", {}, word("drill_in_words")), told);
    const drawings = new Map(texts.views.map((view) => [view.id, makeRendered("div", {}, view.svg).firstElementChild]));
    const bound = new Map(Array.from(drawings, ([id, svg]) => [id, PITWRIGHT.bound.names(svg)]));
    const drawn = new Set(Array.from(bound.values()).flatMap((names) => Array.from(names)));
    let chosen = null;
    let stood = null;
    let now = null;
    let inFull = () => {};
    const buttons = texts.views.map((view) => {
      const button = makeRendered("button", { type: "button", class: "drill-view", "data-view": view.id }, view.says);
      button.addEventListener("click", () => {
        chosen = view.id;
        show(now);
      });
      return button;
    });
    choose.append(...buttons);

    const list = (clauses) => make("ul", { class: "drill-facts" }, clauses.map((html) => makeRendered("li", {}, html)));

    function show(state) {
      for (const button of buttons) button.setAttribute("aria-pressed", String(button.dataset.view === chosen));
      const svg = drawings.get(chosen);
      frame.hidden = !svg;
      if (!svg) return;
      PITWRIGHT.bound.apply(svg, Object.fromEntries(words.shown(state)));
      if (frame.firstChild !== svg) frame.replaceChildren(svg);
    }

    /** All that can be seen from here, drawing by drawing, and what is known besides. */
    function tell(state, here) {
      const views = here.map((view) => [
        makeRendered("h2", {}, view.says),
        list(words.facts(state, (name) => bound.get(view.id).has(name)).concat(view.otherwise || [])),
      ]);
      told.replaceChildren(...views.flat(), make("h2", {}, word("drill_you_know")), list(words.facts(state, (name) => !drawn.has(name))));
    }

    /**
     * Shows a state from where the person is in it; where something that shows has changed, a drawing in which it does.
     * @param {string} state @param {Set<string>} [changed] names
     */
    function draw(state, changed = new Set()) {
      const place = words.place(state);
      const here = texts.views.filter(({ from }) => place === null || from.includes(place));
      const shows = (id) => Array.from(changed).some((name) => name !== "you" && bound.get(id).has(name));
      if (place !== stood || !here.some(({ id }) => id === chosen)) {
        const own = here.find(({ from }) => from[0] === place) || here[0];
        chosen = own ? own.id : null;
        stood = place;
      } else if (!shows(chosen)) {
        const other = here.find(({ id }) => shows(id));
        if (other) chosen = other.id;
      }
      now = state;
      for (const button of buttons) button.hidden = !here.some(({ id }) => id === button.dataset.view);
      choose.hidden = here.length < 2;
      show(state);
      // Words that nobody has opened are not made: on a slow phone they would take longer than the act.
      inFull = () => tell(state, here);
      if (inWords.open) inFull();
    }

    inWords.addEventListener("toggle", () => inWords.open && inFull());

    /** What the person knows that no drawing shows, and that is not as at rest. */
    const known = (state) => words.facts(state, (name) => !drawn.has(name) && words.moved(state, name));

    return { frame, choose, inWords, draw, known };
  }

  PITWRIGHT.drillLook = look;
})(globalThis);
