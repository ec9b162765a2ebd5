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
    // A machine's file lists acts in the order in which they are taught. Here each run has an order of its own.
    const order = PITWRIGHT.random.fromHex(PITWRIGHT.random.seed()).shuffle(play.machine.acts.map((_, act) => act));
    let open = null;

    /** Acts under the spot that lists them, else under the place where one is. */
    function grouped(run) {
      const spots = texts.spots.map(({ says }) => ({ says, acts: [] }));
      const place = words.place(run.real);
      const here = { says: place === null ? PITWRIGHT.word("drill_acts_here") : texts.places[place].says, acts: [] };
      for (const act of play.offered(run).sort((a, b) => order.indexOf(a) - order.indexOf(b))) {
        const at = texts.spots.findIndex((spot) => spot.acts.includes(play.machine.acts[act].id));
        (at < 0 ? here : spots[at]).acts.push(act);
      }
      return [here, ...spots].filter((group) => group.acts.length > 0);
    }

    // Each is made once: the words of an act never change.
    const made = new Map();

    function button(act) {
      if (made.has(act)) return made.get(act);
      const press = makeRendered("button", { type: "button", class: "drill-act", "data-act": words.name(act) }, words.says(act));
      press.addEventListener("click", () => onAct(act));
      const item = make("li", {}, press);
      made.set(act, item);
      return item;
    }

    /** One group is open at a time, and the one that was opened stays under the thumb that opened it. */
    function single(group, summary, says) {
      let top = null;
      summary.addEventListener("click", () => {
        top = summary.getBoundingClientRect().top;
      });
      group.addEventListener("toggle", () => {
        // A toggle is told later: by then the group may be drawn anew.
        if (!group.open || !group.isConnected) return;
        open = says;
        for (const other of element.children) if (other !== group) other.open = false;
        if (top !== null) global.scrollBy({ top: summary.getBoundingClientRect().top - top, behavior: "instant" });
      });
    }

    function draw(run) {
      const groups = grouped(run);
      // Past a guard there is little to do, and one hand to do it with: all is open.
      const few = groups.length <= 2;
      element.replaceChildren(
        ...groups.map(({ says, acts: list }) => {
          const summary = make("summary", {}, makeRendered("span", {}, says));
          const group = make("details", { class: "drill-group", open: few || says === open }, summary, make("ul", {}, list.map(button)));
          if (!few) single(group, summary, says);
          return group;
        }),
      );
    }

    return { element, draw };
  }

  PITWRIGHT.drillActs = acts;
})(globalThis);
