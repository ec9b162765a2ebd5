/*
 * A spot of a drawing. Every spot carries a tag in the drawing, and the same tags stand before a list in words: tapping the drawing and
 * choosing in the list are one control, and the list serves the keyboard and the screen reader.
 */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;
  const SVG = "http://www.w3.org/2000/svg";

  /** CSS pixels: a finger's target is 24 wide at least. */
  const RADIUS = 14;

  /** A drawing of things that have numbers of their own, such as pins, asks for letters. */
  const tagOf = (svg, index) => (svg.dataset.tags === "letters" ? String.fromCharCode(65 + index) : String(index + 1));

  function tag(spot, text) {
    const [group, circle, words] = ["g", "circle", "text"].map((name) => global.document.createElementNS(SVG, name));
    group.setAttribute("class", "spot-tag");
    group.dataset.spot = spot;
    circle.setAttribute("r", RADIUS);
    words.textContent = text;
    group.append(circle, words);
    return group;
  }

  /** Puts each tag on the middle of its part, in the same size on every screen. */
  function settle(svg) {
    const scale = svg.getScreenCTM();
    if (!scale || !scale.a) return;
    for (const one of svg.querySelectorAll(".spot-tag")) {
      const part = svg.querySelector(`[data-part="${one.dataset.spot}"]`);
      const { x, y, width, height } = part.getBBox();
      const middle = new DOMPoint(x + width / 2, y + height / 2).matrixTransform(part.getScreenCTM()).matrixTransform(scale.inverse());
      one.setAttribute("transform", `translate(${middle.x} ${middle.y}) scale(${1 / scale.a})`);
    }
  }

  PITWRIGHT.controls.place = (plan, name) => {
    const { make, makeRendered, word, controlParts } = PITWRIGHT;
    const drawing = makeRendered("div", { class: "drawing drawing-tapped" }, plan.drawing);
    const svg = drawing.querySelector("svg");
    const tags = plan.shown.map((_, index) => tagOf(svg, index));
    svg.append(...plan.shown.map((spot, index) => tag(spot.id, tags[index])));
    const lines = plan.shown.map((spot, index) =>
      controlParts.choiceLine("radio", name, index, spot, make("span", { class: "spot-number" }, tags[index]), " "),
    );
    const element = controlParts.fieldset(plan, name, "choices", word("place_hint"), drawing, lines);
    const inputs = Array.from(element.querySelectorAll("input"));

    /** Shows in the drawing what is chosen in the list. */
    function reflect() {
      for (const input of inputs) {
        const parts = svg.querySelectorAll(`[data-part="${input.value}"], [data-spot="${input.value}"]`);
        parts.forEach((part) => part.toggleAttribute("data-chosen", input.checked));
      }
    }

    svg.addEventListener("click", ({ target }) => {
      for (let at = target; at && at !== svg; at = at.parentElement) {
        const input = inputs.find((one) => one.value === (at.dataset.spot || at.dataset.part));
        if (!input) continue;
        input.checked = true;
        input.focus({ preventScroll: true });
        input.dispatchEvent(new Event("input", { bubbles: true }));
        return;
      }
    });
    element.addEventListener("input", reflect);
    // Sizes are known once the drawing is on the page, and change with it.
    new ResizeObserver(() => settle(svg)).observe(drawing);
    // Nobody may have come near it yet (style/far.css).
    global.addEventListener("beforeprint", () => settle(svg));

    return {
      element,
      read() {
        const [response] = controlParts.chosen(element);
        return response === undefined ? { wrong: word("place_none") } : { response };
      },
      reset: reflect,
    };
  };
})(globalThis);
