/* Who is here. A shared PC keeps people apart by the code that the trainer gave them; changing is one press. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});
  const { document } = global;

  const watchers = [];
  let known = false;

  /**
   * Everything that shows something of a person watches this, and draws itself anew when the person changes.
   * @type {{code: string | null, busy: boolean, watch: (draw: (code: string | null) => void) => void, set: (code: string | null) => Promise<void>}}
   */
  const here = {
    code: null,
    /** An attempt is running on this page: its person stays. */
    busy: false,
    watch(draw) {
      watchers.push(draw);
      if (known) draw(here.code);
    },
    async set(code) {
      await PITWRIGHT.keeper.setWho(code);
      tell(code);
      PITWRIGHT.say(code ? PITWRIGHT.word("who_now", { code }) : PITWRIGHT.word("who_nobody"));
    },
  };

  function tell(code) {
    if (known && code === here.code) return;
    known = true;
    here.code = code;
    watchers.forEach((draw) => draw(code));
  }

  /** Another tab may have changed the person while this one was hidden. */
  async function look() {
    if (!here.busy) tell(await PITWRIGHT.keeper.who());
  }

  /**
   * The form in which a person types the code.
   * @param {{onDone?: () => void, onCancel?: (() => void) | null}} [then]
   */
  function form({ onDone = () => {}, onCancel = null } = {}) {
    const { make, word } = PITWRIGHT;
    const id = `who-${Math.random().toString(36).slice(2)}`;
    const problem = make("p", { class: "problem", id: `${id}-problem`, role: "alert" });
    const input = make("input", {
      id,
      type: "text",
      class: "who-input",
      autocomplete: "off",
      autocapitalize: "characters",
      spellcheck: "false",
      maxlength: 40,
      "aria-describedby": `${id}-hint ${id}-problem`,
    });
    const element = make(
      "form",
      { class: "who-form", novalidate: true },
      make("label", { for: id, class: "label" }, word("who_label")),
      make("p", { class: "hint", id: `${id}-hint` }, word("who_hint")),
      problem,
      make(
        "div",
        { class: "who-line" },
        input,
        make("button", { type: "submit", class: "press press-main" }, word("who_enter")),
        onCancel ? make("button", { type: "button", class: "press press-quiet", onclick: onCancel }, word("who_cancel")) : null,
      ),
    );
    element.addEventListener("submit", async (event) => {
      event.preventDefault();
      const code = PITWRIGHT.statement.code(input.value);
      if (!code) {
        problem.textContent = word("who_bad", { code: input.value.trim() });
        input.setAttribute("aria-invalid", "true");
        input.focus();
        return;
      }
      try {
        await here.set(code);
        onDone();
      } catch (error) {
        problem.textContent = word("store_wrong", { why: error.message });
      }
    });
    return element;
  }

  PITWRIGHT.part("who", (element) => {
    const { make, word } = PITWRIGHT;

    function ask() {
      element.replaceChildren(form({ onCancel: () => draw(here.code, true), onDone: () => element.querySelector("button").focus() }));
      element.classList.add("who-open");
      element.querySelector("input").focus();
    }

    function draw(code, focus = false) {
      element.classList.remove("who-open");
      const press = code
        ? make("button", { type: "button", class: "who-press", "aria-label": word("who_change_person", { code }), onclick: leave }, word("who_change"))
        : make("button", { type: "button", class: "who-press", onclick: ask }, word("who_here"));
      element.replaceChildren(...(code ? [make("span", { class: "who-code", title: word("who_is", { code }) }, code)] : []), press);
      element.hidden = false;
      if (focus) press.focus();
    }

    async function leave() {
      if (here.busy) {
        PITWRIGHT.notice("busy", word("who_not_now"));
        return;
      }
      await here.set(null);
      ask();
    }

    here.watch(draw);
    document.addEventListener("visibilitychange", () => {
      if (!document.hidden) PITWRIGHT.guarded(element, look);
    });
    return look();
  });

  PITWRIGHT.here = here;
  PITWRIGHT.whoForm = form;
})(globalThis);
