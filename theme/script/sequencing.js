/* Steps to be put in order: each has a button that moves it earlier and one that moves it later. Nothing is dragged. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  PITWRIGHT.controls.sequencing = (plan, name) => {
    const { make, makeRendered, word } = PITWRIGHT;
    const items = plan.shown.map((step, index) => {
      const text = makeRendered("span", { class: "order-says", id: `${name}-${index}` }, step.html);
      const button = (way) =>
        make(
          "button",
          { type: "button", class: "order-press", "data-way": way, "aria-describedby": text.id, onclick: () => move(item, way) },
          word(`order_${way}`),
        );
      const item = make("li", { class: "order-item", "data-step": step.id }, text, make("span", { class: "order-ways" }, button("earlier"), button("later")));
      return item;
    });
    const list = make("ol", { class: "order-list" }, items);

    /** The first has nowhere to go earlier, the last nowhere later. Not `disabled`: that would lose the focus. */
    function settle() {
      Array.from(list.children).forEach((item, at, all) => {
        item.querySelector("[data-way=earlier]").setAttribute("aria-disabled", String(at === 0));
        item.querySelector("[data-way=later]").setAttribute("aria-disabled", String(at === all.length - 1));
      });
    }

    function move(item, way) {
      const beside = way === "earlier" ? item.previousElementSibling : item.nextElementSibling;
      if (!beside) return;
      if (way === "earlier") beside.before(item);
      else beside.after(item);
      settle();
      // A moved element loses the focus.
      item.querySelector(`[data-way=${way}]`).focus();
      const says = item.querySelector(".order-says").textContent;
      PITWRIGHT.say(word("order_moved", { says, at: Array.from(list.children).indexOf(item) + 1, all: items.length }));
      list.dispatchEvent(new Event("input", { bubbles: true }));
    }

    settle();
    return {
      element: PITWRIGHT.controlParts.fieldset(plan, name, "order", word("order_hint"), list),
      read: () => ({ response: PITWRIGHT.response.order(Array.from(list.children, (item) => item.dataset.step)) }),
      reset() {
        list.replaceChildren(...items);
        settle();
      },
    };
  };
})(globalThis);
