/*
 * The ten-pin deck, drawn to scale in inches: spots 12 in apart in an equilateral triangle, so rows stand 12·√3/2 =
 * 10.392 in apart; spots 2 1/4 in across; a pin 15 in high and 4.766 in at its widest, 4 1/2 in above its base.
 * Seen from the foul line: 1 nearest, 7 to 10 at the back from left to right.
 */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  const SPACING = 12;
  const ROW = (SPACING * Math.sqrt(3)) / 2;
  const SVG = "http://www.w3.org/2000/svg";

  /**
   * Centres of the spots in inches, x to the right and y away from the foul line, pin 1 at the origin.
   * @returns {{pin: number, x: number, y: number}[]}
   */
  function spots() {
    const all = [];
    for (let row = 0, pin = 1; row < 4; row += 1) {
      for (let place = 0; place <= row; place += 1, pin += 1) {
        all.push({ pin, x: (place - row / 2) * SPACING, y: row * ROW });
      }
    }
    return all;
  }

  /** A pin's outline in inches, standing with its base's centre at 0,0 and its head at y = −15. */
  const OUTLINE =
    "M-1.02 0C-1.3 -1.5 -2.38 -2.9 -2.38 -4.5C-2.38 -6.6 -1.1 -8 -0.95 -9.9C-0.88 -10.8 -1.27 -11.9 -1.27 -13.2" +
    "C-1.27 -14.3 -0.7 -15 0 -15C0.7 -15 1.27 -14.3 1.27 -13.2C1.27 -11.9 0.88 -10.8 0.95 -9.9C1.1 -8 2.38 -6.6 2.38 -4.5" +
    "C2.38 -2.9 1.3 -1.5 1.02 0Z";
  const COLLAR = "M-0.97 -9.6Q0 -9.2 0.97 -9.6M-0.93 -10.5Q0 -10.1 0.93 -10.5";

  function draw(name, attributes) {
    const element = global.document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, String(value));
    return element;
  }

  function pinAt(x, y) {
    const pin = draw("g", { class: "deck-pin", transform: `translate(${x} ${y})` });
    pin.append(draw("path", { class: "deck-body", d: OUTLINE }), draw("path", { class: "deck-collar", d: COLLAR }));
    return pin;
  }

  /** Where a pin will stand. */
  const ghostAt = (x, y) => draw("path", { class: "deck-ghost", d: OUTLINE, transform: `translate(${x} ${y})` });

  /**
   * The deck with so many pins standing, set from pin 1 on. It is a picture of a figure that stands beside it in words,
   * so it is hidden from screen readers.
   * @param {number} standing 0 … 10
   */
  function deck(standing) {
    const [width, high, low] = [47, 4 + 15 + 3 * ROW, 5];
    const svg = draw("svg", { class: "deck", viewBox: `${-width / 2} ${-high} ${width} ${high + low}`, "aria-hidden": "true", focusable: "false" });
    const [left, back, front] = [-20.75, -3 * ROW - 3, low];
    svg.append(draw("rect", { class: "deck-floor", x: left, y: back, width: 41.5, height: front - back }));
    // Boards of a lane: 39 in 41 1/2 in. Every third joint is enough to read as boards.
    for (let board = 3; board < 39; board += 3) {
      const x = left + (board * 41.5) / 39;
      svg.append(draw("line", { class: "deck-board", x1: x, x2: x, y1: back, y2: front }));
    }
    for (const { pin, x, y } of spots().reverse()) {
      svg.append(draw("circle", { class: "deck-spot", cx: x, cy: -y, r: 1.125, "data-spot": pin }));
      svg.append(pin <= standing ? pinAt(x, -y) : ghostAt(x, -y));
    }
    return svg;
  }

  /** One pin, standing or only its spot, to go before a line of text that says the same. */
  function onePin(stands) {
    const svg = draw("svg", { class: "one-pin", viewBox: "-3 -15.6 6 17.2", "aria-hidden": "true", focusable: "false" });
    svg.append(draw("ellipse", { class: "deck-spot", cx: 0, cy: 0, rx: 2.2, ry: 1.1 }));
    svg.append(stands ? pinAt(0, 0) : ghostAt(0, 0));
    return svg;
  }

  PITWRIGHT.deck = { spots, deck, onePin };
})(globalThis);
