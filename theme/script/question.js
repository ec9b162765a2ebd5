/* A question as a form: what is typed or chosen is checked and read here, and nowhere marked. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  let made = 0;

  /**
   * @param {object} plan
   * @param {"choice" | "numeric"} plan.kind
   * @param {string} plan.labelledBy id of the element that asks
   * @param {{id: string, html: string}[]} plan.options in the order shown
   * @param {string | null} plan.unit
   * @param {string} plan.press the words on the button
   * @param {(response: string) => Promise<void>} plan.onAnswer when it fails, the answer may be given again
   * @returns {HTMLFormElement}
   */
  function questionForm(plan) {
    const { make, word } = PITWRIGHT;
    made += 1;
    const name = `question-${made}`;
    const problem = make("p", { class: "problem", id: `${name}-problem`, role: "alert" });
    const press = make("button", { type: "submit", class: "press press-main" }, plan.press);
    const field = plan.kind === "choice" ? choices(plan, name) : number(plan, name);
    const form = make("form", { class: "question", novalidate: true }, field, problem, press);
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      PITWRIGHT.pressed(press, async () => {
        problem.textContent = "";
        const { response, wrong } = plan.kind === "choice" ? chosen(form) : typed(form);
        if (wrong) {
          problem.textContent = wrong;
          form.querySelector("input").focus();
          return;
        }
        try {
          await plan.onAnswer(response);
        } catch (error) {
          problem.textContent = error.name === "Ended" ? word("attempt_gone") : word("store_wrong", { why: error.message });
        }
      });
    });
    return form;
  }

  function choices(plan, name) {
    const { make, makeRendered } = PITWRIGHT;
    return make(
      "fieldset",
      { class: "choices", "aria-labelledby": plan.labelledBy, "aria-describedby": `${name}-problem` },
      plan.options.map((option, index) =>
        make(
          "div",
          { class: "choice" },
          make("input", { type: "radio", name, id: `${name}-${index}`, value: option.id }),
          makeRendered("label", { for: `${name}-${index}` }, option.html),
        ),
      ),
    );
  }

  function number(plan, name) {
    const { make, word } = PITWRIGHT;
    return make(
      "div",
      { class: "number" },
      make("label", { for: name, class: "label" }, word("answer_label")),
      make("p", { class: "hint", id: `${name}-hint` }, word("answer_hint")),
      make(
        "div",
        { class: "number-line" },
        make("input", {
          type: "text",
          id: name,
          inputmode: "decimal",
          autocomplete: "off",
          maxlength: 40,
          "aria-describedby": `${plan.labelledBy} ${name}-unit ${name}-hint ${name}-problem`,
        }),
        make("span", { class: "number-unit", id: `${name}-unit` }, plan.unit || ""),
      ),
    );
  }

  function chosen(form) {
    const input = form.querySelector("input:checked");
    return input ? { response: input.value } : { wrong: PITWRIGHT.word("answer_none") };
  }

  function typed(form) {
    const { value } = form.querySelector("input");
    if (!value.trim()) return { wrong: PITWRIGHT.word("answer_empty") };
    const response = PITWRIGHT.decimal.normalise(value);
    return response === null ? { wrong: PITWRIGHT.word("answer_bad", { typed: value.trim() }) } : { response };
  }

  PITWRIGHT.questionForm = questionForm;
})(globalThis);
