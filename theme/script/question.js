/* A question as a form: what is typed or chosen is checked and read here, and nowhere marked. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  let made = 0;

  /**
   * @typedef {object} Plan
   * @property {"choice" | "several" | "matching" | "sequencing" | "numeric" | "place"} kind
   * @property {string} labelledBy id of the element that asks
   * @property {{id: string, html: string}[]} [shown] options, right sides of pairs, steps or spots, in the order shown
   * @property {{id: string, html: string}[]} [left] left sides of pairs
   * @property {string} [unit]
   * @property {string} [drawing] SVG that the compiler let in
   * @property {string} press the words on the button
   * @property {(response: string) => Promise<void>} onAnswer when it fails, the answer may be given again
   *
   * @typedef {object} Control
   * @property {HTMLElement} element
   * @property {() => {response: string} | {wrong: string, at?: HTMLElement}} read at: what to put right
   * @property {() => void} [reset] puts back what the form does not put back by itself
   */

  /**
   * What a form needs to know of a question, but for whoever asks it.
   * @param {object} question from the marking
   * @param {{shown?: Record<string, string>, left?: Record<string, string>, unit?: string, drawing?: string}} text
   * @param {Record<string, string>} drawings
   * @param {string[]} shown ids in the order shown
   */
  function planOf(question, text, drawings, shown) {
    const several = question.kind === "choice" && question.right.length > 1;
    const lefts = question.kind === "matching" ? question.pairs : [];
    return {
      kind: several ? "several" : question.kind,
      shown: shown.map((id) => ({ id, html: text.shown[id] })),
      left: lefts.map((id) => ({ id, html: text.left[id] })),
      unit: text.unit,
      drawing: drawings[text.drawing],
    };
  }

  /** @type {Record<string, (plan: Plan, name: string) => Control>} by kind; files of their own add to it */
  const controls = { choice, several, numeric };

  /** @param {Plan} plan @returns {HTMLFormElement} */
  function questionForm(plan) {
    const { make, makeRendered, word } = PITWRIGHT;
    made += 1;
    const name = `question-${made}`;
    const problem = make("p", { class: "problem", id: `${name}-problem`, role: "alert" });
    const press = make("button", { type: "submit", class: "press press-main" }, plan.press);
    const control = controls[plan.kind](plan, name);
    // A place is tapped in its drawing, so its control draws it.
    const drawing = plan.drawing && plan.kind !== "place" ? makeRendered("div", { class: "drawing" }, plan.drawing) : null;
    const form = make("form", { class: "question", novalidate: true }, drawing, control.element, problem, press);
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      PITWRIGHT.pressed(press, async () => {
        problem.textContent = "";
        const { response, wrong, at } = control.read();
        if (wrong) {
          problem.textContent = wrong;
          // What is wrong stands at the press, where the thumb is; a tall drawing may stand between.
          (at || control.element.querySelector("input")).focus({ preventScroll: true });
          problem.scrollIntoView({ block: "nearest" });
          return;
        }
        try {
          await plan.onAnswer(response);
        } catch (error) {
          problem.textContent = error.name === "Ended" ? word("attempt_gone") : word("store_wrong", { why: error.message });
        }
      });
    });
    // The form's own fields are put back after this event.
    form.addEventListener("reset", () => control.reset && global.setTimeout(control.reset));
    return form;
  }

  /** The fieldset around whatever is chosen from, with what to do said first, if it needs saying. */
  function fieldset(plan, name, kind, hint, ...content) {
    const { make } = PITWRIGHT;
    const id = `${name}-hint`;
    return make(
      "fieldset",
      { class: kind, "aria-labelledby": plan.labelledBy, "aria-describedby": `${hint ? `${id} ` : ""}${name}-problem` },
      hint ? make("p", { class: "hint", id }, hint) : null,
      ...content,
    );
  }

  /** One line of a list to choose from. */
  function choiceLine(type, name, index, option, ...before) {
    const { make, makeRendered } = PITWRIGHT;
    return make(
      "div",
      { class: "choice" },
      make("input", { type, name, id: `${name}-${index}`, value: option.id }),
      make("label", { for: `${name}-${index}` }, ...before, makeRendered("span", {}, option.html)),
    );
  }

  const chosen = (element) => Array.from(element.querySelectorAll("input:checked"), (input) => input.value);

  function choice(plan, name) {
    const element = fieldset(plan, name, "choices", null, plan.shown.map((option, index) => choiceLine("radio", name, index, option)));
    return {
      element,
      read() {
        const [response] = chosen(element);
        return response === undefined ? { wrong: PITWRIGHT.word("answer_none") } : { response };
      },
    };
  }

  function several(plan, name) {
    const { word } = PITWRIGHT;
    const element = fieldset(
      plan,
      name,
      "choices",
      word("several_hint"),
      plan.shown.map((option, index) => choiceLine("checkbox", name, index, option)),
    );
    return {
      element,
      read() {
        const ids = chosen(element);
        return ids.length ? { response: PITWRIGHT.response.set(ids) } : { wrong: word("several_none") };
      },
    };
  }

  function numeric(plan, name) {
    const { make, word } = PITWRIGHT;
    const input = make("input", {
      type: "text",
      id: name,
      inputmode: "decimal",
      autocomplete: "off",
      maxlength: 40,
      "aria-describedby": `${plan.labelledBy} ${name}-unit ${name}-hint ${name}-problem`,
    });
    const element = make(
      "div",
      { class: "number" },
      make("label", { for: name, class: "label" }, word("answer_label")),
      make("p", { class: "hint", id: `${name}-hint` }, word("answer_hint")),
      make("div", { class: "number-line" }, input, make("span", { class: "number-unit", id: `${name}-unit` }, plan.unit)),
    );
    return {
      element,
      read() {
        const { value } = input;
        if (!value.trim()) return { wrong: word("answer_empty") };
        const response = PITWRIGHT.decimal.normalise(value);
        return response === null ? { wrong: word("answer_bad", { typed: value.trim() }) } : { response };
      },
    };
  }

  Object.assign(PITWRIGHT, { questionForm, planOf, controls, controlParts: { fieldset, choiceLine, chosen } });
})(globalThis);
