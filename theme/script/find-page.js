/* The Find page: a field, and what is found as it is typed into. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});
  const { document } = global;

  /** A screen reader hears how many were found when the typing has stopped for so long, in milliseconds. */
  const QUIET = 600;
  /** The address keeps up this much later: some browsers refuse to have it changed at every key. */
  const KEPT = 300;

  /** The query in the address. One that somebody mistyped there is taken as it stands. */
  function asked() {
    const given = PITWRIGHT.address.hash().replace(/^#q=/, "").replace(/\+/g, " ");
    try {
      return decodeURIComponent(given);
    } catch {
      return given;
    }
  }

  /** The address of a piece. */
  const address = (root, { page, piece }) => `${root}${page.to}${piece.anchor ? `#${piece.anchor}` : ""}`;

  PITWRIGHT.part("find", (element) => {
    const { make, word, findIndex } = PITWRIGHT;
    const { root } = document.body.dataset;
    const finder = PITWRIGHT.finder(findIndex, word("find_passed_over"));
    const textsOf = PITWRIGHT.findTexts.texts(findIndex, root);
    let query = "";
    let telling = 0;
    let keeping = 0;

    const field = element.querySelector(".find-field");
    // A browser's own is small, and blue.
    const empty = element.querySelector(".find-empty");
    empty.addEventListener("click", () => ask(""));
    const told = make("p", { class: "find-told", id: "find-told" });
    /** The way to the questions stands where there is no better one. */
    const apart = document.querySelector(".find-apart");
    /** Where the words sound like somebody hurt, the way to help comes before all that is found. */
    const caught = make(
      "div",
      { class: "caught", hidden: true },
      finder.pages.filter(({ kind }) => kind === "emergency").map(({ to, title }) => make("p", {}, word("find_caught"), " ", make("a", { href: `${root}${to}` }, title))),
    );
    const urgent = word("find_urgent").split(" ");
    const list = make("ol", { class: "find-list", "aria-label": word("find_results") });
    const rest = make("div", { class: "find-rest" });

    /** Says how many, once nobody types any more. */
    function tell(text) {
      told.textContent = text;
      global.clearTimeout(telling);
      telling = global.setTimeout(() => PITWRIGHT.say(text), QUIET);
    }

    /** What is known of a place before its text is there. */
    function facts({ page, piece }) {
      const kind = page.kind ? word(`kind_${page.kind}`) : word("find_entry");
      const under = piece.steps > 0 || !piece.heading ? [] : [piece.heading];
      return [kind, ...(page.handsOn ? [word("hands_on")] : []), ...under].join(" · ");
    }

    /** Whether a query has one of those words in it, spelt right or nearly. */
    const isUrgent = () => {
      const { words, distance } = PITWRIGHT.findWords;
      const near = (typed, one) => typed === one || (typed.length > 4 && one.length > 4 && distance(typed, one, 1) <= 1);
      return words(query).some((typed) => urgent.some((one) => near(typed, one)));
    };

    /** Puts the text into a row. */
    function fill(row, one, words, passages) {
      // A step with hands in the machine is shown to nobody who has not come past its cautions.
      if (one.piece.steps > 0 && one.page.handsOn) {
        row.append(make("p", { class: "find-alone" }, word("find_in_steps", { title: one.piece.heading })));
        return;
      }
      // In an emergency what comes first is shown, whatever was asked for.
      const shown = one.page.kind === "emergency" && one.piece.steps > 0 ? passages.slice(0, 1) : passages;
      const { at, cuts, before, after } = PITWRIGHT.findTexts.excerpt(shown, words, one.piece.steps > 0);
      if (one.piece.steps > 0) row.append(make("p", { class: "find-facts" }, word("find_step", { title: one.piece.heading, step: at + 1, of: one.piece.steps })));
      row.append(make("p", { class: "find-text" }, before ? "… " : "", ...marks(cuts), after ? " …" : ""));
    }

    /** Fills the rows one after another, so that a key typed meanwhile need not wait for them, until something else is asked for. */
    async function fillAll(rows, found, words) {
      for (const [at, one] of found.entries()) {
        let passages = null;
        try {
          passages = (await textsOf(finder.pages.indexOf(one.page)))[one.piece.at];
        } catch {
          // Without its text a row still leads to its page.
        }
        await new Promise((resolve) => global.setTimeout(resolve, 0));
        if (!rows[at].isConnected) return;
        if (passages) fill(rows[at], one, words, passages);
        else rows[at].append(make("p", { class: "find-facts" }, word("find_no_texts")));
      }
    }

    const marks = (cuts) => cuts.map((cut) => (cut.marked ? make("mark", {}, cut.text) : cut.text));

    function row(one, words) {
      const link = make("a", { class: "find-link", href: address(root, one) }, ...marks(PITWRIGHT.findWords.marked(one.page.title, words)));
      return make("li", { class: "find-row" }, link, make("p", { class: "find-facts" }, facts(one)));
    }

    /** Presses that look for what they say. */
    function presses(lead, all) {
      const press = (one) => make("li", {}, make("button", { type: "button", class: "press press-quiet", onclick: () => ask(one) }, one));
      return [make("p", { id: "find-near" }, word(lead)), make("ul", { class: "find-near", "aria-labelledby": "find-near" }, all.map(press))];
    }

    /** Nothing was found: what was looked for, and what looks like it. */
    function nothing(missed) {
      if (missed.length === 0) {
        tell(word("find_only_small", { query }));
        return;
      }
      tell(word("find_nothing", { query }));
      const near = [...new Set(missed.flatMap((one) => finder.nearest(one, 4)))].slice(0, 6);
      if (near.length > 0) rest.append(...presses("find_near", near));
      rest.append(make("p", {}, make("strong", {}, word("find_nothing_then"))));
    }

    /** Shows what is found by what stands in the field. */
    function show() {
      query = field.value.trim();
      rest.replaceChildren();
      list.replaceChildren();
      list.hidden = true;
      empty.hidden = !field.value;
      caught.hidden = !isUrgent();
      if (apart) apart.hidden = false;
      if (!query) {
        tell("");
        if (findIndex.offered.length > 0) rest.append(...presses("find_offered", findIndex.offered));
        return;
      }
      // As it stands: a space at the end says that a word is typed to its end.
      const { found, words, missed } = finder.look(field.value);
      if (found.length === 0) {
        nothing(missed);
        return;
      }
      list.hidden = false;
      if (apart) apart.hidden = true;
      const rows = found.map((one) => row(one, words));
      list.replaceChildren(...rows);
      fillAll(rows, found, words);
      const count = word(found.length === 1 ? "find_count_one" : "find_count", { count: found.length });
      tell(missed.length > 0 ? `${word("find_missed", { words: missed.join(" ") })} ${count}` : count);
    }

    /** Looks for something that was not typed. */
    function ask(text) {
      field.value = text;
      keep();
      show();
      field.focus();
    }

    /** Keeps the query in the address, so that it is there again on the way back. */
    function keep() {
      global.clearTimeout(keeping);
      const query = field.value.trim();
      PITWRIGHT.address.keep(query ? `#q=${encodeURIComponent(query)}` : "");
    }

    /** The field and the links, one above the other as they are seen. */
    function stops() {
      return [field, ...list.querySelectorAll("a")];
    }

    function keys(event) {
      const all = stops();
      const at = all.indexOf(document.activeElement);
      if (event.key === "Enter" && at === 0) {
        // The best one, as the field's own key on a phone says.
        if (all[1]) all[1].click();
      } else if ((event.key === "ArrowDown" || event.key === "ArrowUp") && at >= 0) {
        const to = all[at + (event.key === "ArrowDown" ? 1 : -1)];
        if (to) to.focus();
      } else if (event.key === "Escape" && at > 0) {
        field.focus();
      } else if (event.key === "Escape" && field.value) {
        ask("");
      } else {
        return;
      }
      event.preventDefault();
    }

    field.addEventListener("input", () => {
      show();
      global.clearTimeout(keeping);
      keeping = global.setTimeout(keep, KEPT);
    });
    // Whoever follows a link finds the query on the way back, however quickly they were gone.
    list.addEventListener("click", keep);
    element.addEventListener("keydown", keys);
    global.addEventListener("hashchange", () => {
      field.value = asked();
      show();
    });
    element.append(told, caught, list, rest);
    // Somebody may have typed before this ran.
    if (field.value) {
      show();
      keep();
    } else if (PITWRIGHT.address.hash().startsWith("#q=")) {
      field.value = asked();
      show();
    } else if (element.dataset.query) {
      field.value = element.dataset.query;
      show();
    } else {
      show();
      field.focus();
    }
  });
})(globalThis);
