/* What belongs to what: each left side has a list of all right sides to choose from. Nothing is dragged. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  /** The words of rendered HTML: an option of a list holds nothing else. */
  const plain = (html) => PITWRIGHT.makeRendered("span", {}, html).textContent;

  PITWRIGHT.controls.matching = (plan, name) => {
    const { make, makeRendered, word } = PITWRIGHT;
    const rights = plan.shown.map(({ id, html }) => ({ id, text: plain(html) }));
    const selects = plan.left.map((left, index) =>
      make(
        "select",
        { id: `${name}-${index}`, "data-left": left.id, "aria-describedby": `${name}-problem` },
        make("option", { value: "" }, word("match_choose")),
        rights.map(({ id, text }) => make("option", { value: id }, text)),
      ),
    );
    const element = PITWRIGHT.controlParts.fieldset(
      plan,
      name,
      "pairs",
      word("match_hint"),
      plan.left.map((left, index) =>
        make("div", { class: "pair" }, makeRendered("label", { for: `${name}-${index}` }, left.html), selects[index]),
      ),
    );
    return {
      element,
      read() {
        const empty = selects.find((select) => !select.value);
        if (empty) return { wrong: word("match_none"), at: empty };
        const twice = selects.find((select, at) => selects.slice(0, at).some((before) => before.value === select.value));
        if (twice) return { wrong: word("match_twice", { says: twice.selectedOptions[0].textContent }), at: twice };
        return { response: PITWRIGHT.response.pairs(selects.map((select) => ({ left: select.dataset.left, right: select.value }))) };
      },
    };
  };
})(globalThis);
