/* What the record page is put together from: sections, rows with a pin, and what is folded until somebody asks for it. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  function section(title, ...content) {
    const { make } = PITWRIGHT;
    return make("section", { class: "module" }, make("h2", { class: "board-line" }, title), ...content);
  }

  /** @param {Node[]} head of phrasing content, or one heading */
  function fold(head, ...content) {
    const { make } = PITWRIGHT;
    return make("details", { class: "record-fold" }, make("summary", {}, make("span", { class: "record-head" }, head)), ...content);
  }

  function row(stands, ...content) {
    const { make, deck } = PITWRIGHT;
    return make("li", { class: "row" }, make("span", { class: "row-pin" }, deck.onePin(stands)), make("div", { class: "row-text" }, content));
  }

  /** Rows in order: the first `open` in sight, the others folded under `words`. */
  function rows(items, open, words) {
    const { make } = PITWRIGHT;
    const list = (some) => make("ol", { class: "rows" }, some);
    const rest = items.slice(open);
    return [open && items.length ? list(items.slice(0, open)) : null, rest.length ? fold([words(rest.length)], list(rest)) : null].filter(Boolean);
  }

  PITWRIGHT.record = { section, fold, row, rows };
})(globalThis);
