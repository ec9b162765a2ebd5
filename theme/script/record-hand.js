/* Handing in from the record page, what was handed in before, and bringing in. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  function stateWords(rows) {
    const { word } = PITWRIGHT;
    if (rows.length === 0) return word("record_empty");
    const { count, due } = PITWRIGHT.waiting(rows, Date.now());
    if (count === 0) return word("record_handed");
    return [word("record_unhanded", { count }), due ? word(`unhanded_${due}`) : ""].filter(Boolean).join(" ");
  }

  /** Every file that was made here, the last first. */
  function handedList(handings) {
    const { make, word, moment, record } = PITWRIGHT;
    if (handings.length === 0) return make("p", { class: "hint" }, word("handed_never"));
    const item = ({ when, file, count }) =>
      make(
        "li",
        { class: "handed-item" },
        make("b", {}, moment(when)),
        make("span", {}, [file || word("handed_no_name"), word("handed_count", { count })].join(" · ")),
      );
    const items = handings.slice().reverse().map(item);
    return record.fold([word("handed_list", { count: handings.length })], make("ol", { class: "handed" }, items));
  }

  /** @param {string} code @param {object[]} rows @param {object[]} handings @returns {HTMLElement} */
  function handSection(code, rows, handings) {
    const { make, word, pressed, handIn, record } = PITWRIGHT;
    const told = make("p", { class: "hand-told", role: "status" });
    const state = make("p", { class: "hand-state" }, stateWords(rows));
    const list = make("div", {}, handedList(handings));
    const press = make("button", { type: "button", class: "press press-main hand-press" }, word("hand_in"));
    press.addEventListener("click", () =>
      pressed(press, async () => {
        try {
          const { file, count } = await handIn(code);
          told.textContent = word("handed_file", { file, count });
          state.textContent = word("record_handed");
          PITWRIGHT.unnotice("unhanded");
          list.replaceChildren(handedList(await PITWRIGHT.keeper.handings(code)));
        } catch (error) {
          told.textContent = word("store_wrong", { why: error.message });
        }
      }),
    );
    return record.section(word("hand_in_title"), state, make("p", {}, word("hand_in_lead")), rows.length ? press : null, told, list);
  }

  /** @param {string} code @param {boolean} empty @param {(text: string) => Promise<void>} redraw @returns {HTMLElement} */
  function bringSection(code, empty, redraw) {
    const { make, word, bringIn, record } = PITWRIGHT;
    const told = make("p", { class: "hand-told", role: "status" });
    const input = make("input", { type: "file", id: "bring", class: "unseen", accept: ".json,application/json" });

    async function take(file) {
      if (!file) return;
      try {
        const { text, taken } = await bringIn(file, code);
        if (taken) await redraw(text);
        else told.textContent = text;
      } catch (error) {
        told.textContent = word("store_wrong", { why: error.message });
      }
      input.value = "";
    }

    input.addEventListener("change", () => take(input.files[0]));
    const drop = make(
      "div",
      { class: "drop" },
      make("label", { for: "bring", class: "label" }, word("bring_label")),
      input,
      make("label", { for: "bring", class: "press" }, word("bring_choose")),
      make("p", { class: "hint" }, word("bring_drop")),
    );
    drop.addEventListener("dragover", (event) => event.preventDefault());
    drop.addEventListener("drop", (event) => {
      event.preventDefault();
      take(event.dataTransfer.files[0]);
    });
    const lead = empty ? `${word("bring_empty_hint")} ${word("bring_lead")}` : word("bring_lead");
    return record.section(word("bring_title"), make("p", {}, lead), drop, told);
  }

  Object.assign(PITWRIGHT, { handSection, bringSection });
})(globalThis);
