/* All acts that are open in a drill, by the spot at which they are done: the right ones and the deadly ones, and none is marked. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /**
   * @param {ReturnType<typeof PITWRIGHT.play>} play
   * @param {ReturnType<typeof PITWRIGHT.drillWordsOf>} words
   * @param {object} texts the machine's words
   * @param {(act: number) => void} onAct
   */
  function acts(play, words, texts, onAct) {
    const { make, makeRendered } = PITWRIGHT;
    const element = make("div", { class: "drill-acts" });
    let open = null;

    /** Acts under the spot that lists them, else under the place where one is. */
    function grouped(run) {
      const spots = texts.spots.map(({ says }) => ({ says, acts: [] }));
      const here = { says: words.place(run.real) === null ? PITWRIGHT.word("drill_acts_here") : texts.places[words.place(run.real)].says, acts: [] };
      for (const act of play.offered(run)) {
        const at = texts.spots.findIndex((spot) => spot.acts.includes(play.machine.acts[act].id));
        (at < 0 ? here : spots[at]).acts.push(act);
      }
      return [here, ...spots].filter((group) => group.acts.length > 0);
    }

    function button(act) {
      const press = makeRendered("button", { type: "button", class: "drill-act", "data-act": words.name(act) }, words.says(act));
      press.addEventListener("click", () => onAct(act));
      return make("li", {}, press);
    }

    function draw(run) {
      const groups = grouped(run);
      // Past a guard there is little to do, and one hand to do it with: all is open.
      const few = groups.length <= 2;
      element.replaceChildren(
        ...groups.map(({ says, acts: list }) => {
          const summary = make("summary", {}, makeRendered("span", {}, says), make("span", { class: "drill-many" }, PITWRIGHT.word("drill_many", { count: list.length })));
          const group = make("details", { class: "drill-group", name: few ? null : "acts", open: few || says === open }, summary, make("ul", {}, list.map(button)));
          group.addEventListener("toggle", () => {
            if (group.open) open = says;
          });
          return group;
        }),
      );
    }

    return { element, draw };
  }

  PITWRIGHT.drillActs = acts;
})(globalThis);
