/* Notices at the top of a page, and words for those who cannot see what changed. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});
  const { document } = global;

  /**
   * Shows a notice, or shows the one of that name anew.
   * @param {string} name
   * @param {string} text
   * @param {{label: string, run: () => void} | null} [press]
   */
  function notice(name, text, press = null) {
    unnotice(name);
    document.querySelector('[data-part="notices"]').append(noticeOf(name, text, press));
  }

  /** The notice itself. */
  function noticeOf(name, text, press) {
    const { make } = PITWRIGHT;
    return make(
      "div",
      { class: "notice", role: "status", "data-notice": name },
      make("p", {}, text),
      press ? make("button", { type: "button", class: "press press-quiet", onclick: press.run }, press.label) : null,
    );
  }

  /** Takes a notice away. */
  function unnotice(name) {
    const old = document.querySelector(`[data-notice="${name}"]`);
    if (old) old.remove();
  }

  /** Says something to a screen reader that everybody else can see anyway. */
  function say(text) {
    document.querySelector('[data-part="said"]').textContent = text;
  }

  PITWRIGHT.part("notices", () => {
    // What was told to one person is not for the next.
    let before;
    PITWRIGHT.here.watch((code) => {
      if (before && before !== code) document.querySelectorAll('[data-notice]:not([data-notice="store"])').forEach((old) => old.remove());
      before = code;
    });
  });

  Object.assign(PITWRIGHT, { notice, noticeOf, unnotice, say });
})(globalThis);
