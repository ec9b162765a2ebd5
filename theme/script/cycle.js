/*
 * The scrubber of a timing chart. What it knows it reads from the table and the chart, so that all three say the same. It moves a line
 * over the chart, the words beside the rows, and the drawing.
 */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  /** Playing a whole turn takes this long at least; seconds play at half speed. In milliseconds. */
  const SHORTEST = 24_000;

  /** A picture that comes late, as after another tab, is no reason to jump. In milliseconds. */
  const LONGEST_FRAME = 100;

  const figure = (tenths) => String(tenths / 10);

  /** The units of a chart, each with its spans. */
  function unitsOf(element) {
    const rows = Array.from(element.querySelectorAll("tbody tr"));
    return Array.from(element.querySelectorAll(".cycle-row"), (row) => {
      const { unit, name, rests, pose } = row.dataset;
      const spans = rows.filter((one) => one.dataset.unit === unit).map((one) => ({
        n: one.dataset.n,
        from: Number(one.dataset.from),
        to: Number(one.dataset.to),
        does: one.cells[3].textContent,
        pose: one.dataset.pose,
      }));
      return { unit, name, words: element.querySelector(`.cycle-does[data-of="${unit}"]`), rest: { does: rests, pose }, spans };
    });
  }

  PITWRIGHT.part("cycle", (element) => {
    const { word } = PITWRIGHT;
    const { measure } = element.dataset;
    const all = Number(element.dataset.all);
    const units = unitsOf(element);
    const events = Array.from(new Set([0, all, ...units.flatMap((one) => one.spans.flatMap(({ from, to }) => [from, to]))]));
    events.sort((a, b) => a - b);
    const scrub = element.querySelector(".cycle-scrub");
    const press = (name) => element.querySelector(`[data-press="${name}"]`);
    const drawing = element.querySelector(".cycle-drawing svg");
    const still = global.matchMedia("(prefers-reduced-motion: reduce)");
    let frame = 0;

    const at = () => Number(scrub.value);
    const eventOf = (now) => events.findLast((event) => event <= now);

    /** Shows the cycle as it is at the scrubber's place, and gives it in words. */
    function show() {
      const now = at();
      const doing = units.map((one) => ({ one, span: one.spans.find(({ from, to }) => from <= now && now < to) || one.rest }));
      const value = word("cycle_value", { at: figure(now), all: figure(all), measure: word(`cycle_${measure}`) });
      const does = doing.map(({ one, span }) => word("cycle_does", { unit: one.name, does: span.does }));
      const words = `${value}: ${does.join("; ")}.`;
      scrub.setAttribute("aria-valuetext", words);
      element.querySelector("[data-value]").textContent = value;
      doing.forEach(({ one, span }) => (one.words.textContent = `: ${span.does}`));
      const current = new Set(doing.map(({ span }) => span.n));
      element.querySelectorAll("[data-n]").forEach((one) => one.toggleAttribute("data-now", current.has(one.dataset.n)));
      for (const line of element.querySelectorAll(".cycle-now")) {
        ["x1", "x2"].forEach((name) => line.setAttribute(name, `${(100 * now) / all}%`));
      }
      const poses = Object.fromEntries(doing.map(({ one, span }) => [one.unit, span.pose]));
      if (drawing) PITWRIGHT.bound.apply(drawing, poses);
      press("before").setAttribute("aria-disabled", String(now === 0));
      press("next").setAttribute("aria-disabled", String(now === all));
      return words;
    }

    function go(to) {
      scrub.value = to;
      return show();
    }

    function stop() {
      global.cancelAnimationFrame(frame);
      frame = 0;
      press("play").textContent = word("cycle_play");
    }

    function play() {
      const whole = Math.max(SHORTEST, measure === "seconds" ? all * 200 : 0);
      let place = at() === all ? 0 : at();
      let last = null;
      press("play").textContent = word("cycle_pause");
      const step = (time) => {
        const before = eventOf(at());
        place = Math.min(all, place + (all * Math.min(time - (last ?? time), LONGEST_FRAME)) / whole);
        last = time;
        const words = go(place);
        // Only what begins or ends is worth saying.
        if (eventOf(at()) !== before) PITWRIGHT.say(words);
        if (place < all) frame = global.requestAnimationFrame(step);
        else stop();
      };
      frame = global.requestAnimationFrame(step);
    }

    /** Whoever asked for less motion moves through the cycle by themselves. */
    function heed() {
      if (still.matches) stop();
      press("play").hidden = still.matches;
    }

    scrub.addEventListener("input", () => {
      stop();
      show();
    });
    press("before").addEventListener("click", () => {
      stop();
      const to = events.findLast((event) => event < at());
      if (to !== undefined) PITWRIGHT.say(go(to));
    });
    press("next").addEventListener("click", () => {
      stop();
      const to = events.find((event) => event > at());
      if (to !== undefined) PITWRIGHT.say(go(to));
    });
    press("play").addEventListener("click", () => (frame ? stop() : play()));
    still.addEventListener("change", heed);
    heed();
    show();
    element.querySelector("[data-run]").hidden = false;
    element.dataset.started = "";
  });
})(globalThis);
