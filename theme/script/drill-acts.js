/* All acts that are open in a drill, by the spot at which they are done: the right ones and the deadly ones, and none is marked. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /**
   * @param {ReturnType<typeof PITWRIGHT.play>} play
   * @param {ReturnType<typeof PITWRIGHT.drillWordsOf>} words
   * @param {object} texts the machine's words
   * @param {string} seed of the run
   * @param {(act: number) => void} onAct
   */
  function acts(play, words, texts, seed, onAct) {
    const { make, makeRendered, word } = PITWRIGHT;
    const element = make("div", { class: "drill-acts" });
    const all = play.machine.acts.map((_, act) => act);
    // A machine's file lists acts in the order in which they are taught. Here each run has an order of its own, the same when it is
    // gone on with. The seed is taken backwards, so that the order tells nothing of the start.
    const order = PITWRIGHT.random.fromHex([...seed].reverse().join("")).shuffle(all.slice());
    /** For each act the spot that lists it; −1 for those that stand under the place where one is. */
    const spotOf = all.map((act) => texts.spots.findIndex((spot) => spot.acts.includes(play.machine.acts[act].id)));
    let open = null;
    // What stays as it is is not made anew: on a slow phone that would take longer than the act itself.
    const buttons = new Map();
    const groups = [-1, ...texts.spots.keys()].map((spot) => group(spot));
    element.append(...groups.map(({ details }) => details));

    function button(act) {
      if (buttons.has(act)) return buttons.get(act);
      const press = makeRendered("button", { type: "button", class: "drill-act", "data-act": words.name(act) }, words.says(act));
      press.addEventListener("click", () => onAct(act));
      const item = make("li", {}, press);
      buttons.set(act, item);
      return item;
    }

    /** The group of a spot, empty yet. One is open at a time, and the one that was opened stays under the thumb that opened it. */
    function group(spot) {
      const title = makeRendered("span", {}, spot < 0 ? "" : texts.spots[spot].says);
      const summary = make("summary", {}, title);
      const list = make("ul");
      const details = make("details", { class: "drill-group" }, summary, list);
      let top = null;
      summary.addEventListener("click", () => {
        top = summary.getBoundingClientRect().top;
      });
      details.addEventListener("toggle", () => {
        if (!details.open || element.dataset.few !== undefined) return;
        open = spot;
        for (const other of groups) if (other.spot !== spot) other.details.open = false;
        if (top !== null) global.scrollBy({ top: summary.getBoundingClientRect().top - top, behavior: "instant" });
        top = null;
      });
      return { spot, title, list, details, listed: "" };
    }

    /** @param {import("./drill-run.js").Run} run */
    function draw(run) {
      const offered = new Set(play.offered(run));
      const place = words.place(run.real);
      const says = place === null ? word("drill_acts_here") : texts.places[place].says;
      if (groups[0].title.innerHTML !== says) groups[0].title.innerHTML = says;
      const lists = groups.map(({ spot }) => order.filter((act) => offered.has(act) && spotOf[act] === spot));
      // Past a guard there is little to do, and one hand to do it with: all is open.
      const few = lists.filter((list) => list.length > 0).length <= 2;
      element.toggleAttribute("data-few", few);
      groups.forEach((one, at) => {
        const listed = lists[at].join(" ");
        if (listed !== one.listed) one.list.replaceChildren(...lists[at].map(button));
        one.listed = listed;
        one.details.hidden = lists[at].length === 0;
        one.details.open = few || one.spot === open;
      });
    }

    return { element, draw };
  }

  PITWRIGHT.drillActs = acts;
})(globalThis);
