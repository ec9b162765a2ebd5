/* Where a person stopped in a lesson: kept while they read, and led back to when they come again. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;
  const { document } = global;

  /** Writing at every pixel would keep a phone busy; this is often enough, in milliseconds. */
  const EVERY = 1000;
  /** The share of a lesson after which it counts as begun. */
  const BEGUN = 0.05;

  PITWRIGHT.part("lesson-place", (element) => {
    const { make, word } = PITWRIGHT;
    const page = `lesson/${document.body.dataset.id}`;
    const body = document.querySelector(".lesson .body");
    let code = null;
    let timer = null;

    /** So much of the screen's top the head keeps for itself, in pixels. */
    const head = () => Number.parseFloat(global.getComputedStyle(document.documentElement).scrollPaddingTop) || 0;

    /** The paragraph at the top of the screen, and how far into it: what a turned phone does not change. */
    function here() {
      const all = body.getBoundingClientRect();
      const share = Math.min(1, Math.max(0, -all.top / Math.max(1, all.height)));
      const children = Array.from(body.children);
      const at = children.findIndex((child) => child.getBoundingClientRect().bottom > head());
      if (at < 0) return { share: 1, at: children.length - 1, into: 1 };
      const { top, height } = children[at].getBoundingClientRect();
      return { share, at, into: Math.min(1, Math.max(0, (head() - top) / Math.max(1, height))) };
    }

    /** Nobody is led past the first steps of a procedure, or between the answers of a question: such is begun at its top again. */
    function go({ at, into }) {
      const child = body.children[Math.min(at, body.children.length - 1)];
      // Far from the screen its height is a guess (style/far.css).
      child.dataset.near = "";
      const { top, height } = child.getBoundingClientRect();
      const from = child.matches(".procedure, .ask") ? 0 : into;
      global.scrollTo({ top: global.scrollY + top - head() + from * height, behavior: "instant" });
    }

    async function keep() {
      global.clearTimeout(timer);
      timer = null;
      if (!code) return;
      const place = here();
      if (place.share >= BEGUN) await PITWRIGHT.keeper.keepPlace(code, page, place);
    }

    global.addEventListener("scroll", () => (timer = timer || global.setTimeout(keep, EVERY)), { passive: true });
    document.addEventListener("visibilitychange", () => timer && document.hidden && keep());

    PITWRIGHT.here.watch((now) =>
      PITWRIGHT.guarded(element, async () => {
        code = now;
        element.replaceChildren();
        if (!now) return;
        const place = new Map(await PITWRIGHT.keeper.places(now)).get(page);
        if (!place || code !== now) return;
        if ((global.PITWRIGHT_HASH || global.location.hash) === "#go-on") return go(place);
        const press = make("button", { type: "button", class: "press" }, word("go_on_here", { share: Math.round(100 * place.share) }));
        press.addEventListener("click", () => go(place));
        element.hidden = false;
        element.replaceChildren(press);
      }),
    );

    /** A lesson that is read has no place to go back to. */
    PITWRIGHT.placeDone = async () => {
      global.clearTimeout(timer);
      timer = null;
      element.replaceChildren();
      if (code) await PITWRIGHT.keeper.keepPlace(code, page, null);
      code = null;
    };
  });
})(globalThis);
