/* What to do after a result: lessons to study, and the ways on. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /**
   * Lessons to study, those behind the most misses first.
   * @param {object} marking
   * @param {string[]} missed the competencies of the questions missed, one each
   * @returns {string[]} lesson ids
   */
  function study(marking, missed) {
    const misses = new Map();
    for (const id of missed) {
      const competency = marking.competencies.find((one) => one.id === id);
      for (const lesson of competency ? competency.study : []) misses.set(lesson, (misses.get(lesson) || 0) + 1);
    }
    const order = marking.lessons.map((lesson) => lesson.id);
    return Array.from(misses.keys()).sort((a, b) => misses.get(b) - misses.get(a) || order.indexOf(a) - order.indexOf(b));
  }

  /** Links to lessons under a heading; null if there are none. */
  function studyLinks(lessons) {
    const { make, word, marking } = PITWRIGHT;
    if (lessons.length === 0) return null;
    const root = global.document.body.dataset.root;
    const links = lessons.map((id) => {
      const { title } = marking.lessons.find((lesson) => lesson.id === id);
      return make("li", {}, make("a", { href: `${root}lesson/${id}.html` }, title));
    });
    return make("section", { class: "study" }, make("h2", {}, word("study_title")), make("ul", {}, links));
  }

  /** Ways on from a result. */
  function waysOn() {
    const { make, word } = PITWRIGHT;
    const root = global.document.body.dataset.root;
    return make(
      "p",
      { class: "ways-on" },
      make("a", { class: "press", href: `${root}record.html` }, word("to_record")),
      " ",
      make("a", { class: "press press-quiet", href: `${root}index.html` }, word("to_all")),
    );
  }

  Object.assign(PITWRIGHT, { studyFor: study, studyLinks, waysOn });
})(globalThis);
