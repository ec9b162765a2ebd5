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

  /** So many ways stand in the open; more are a fold, or they would push away what comes after them. */
  const OPEN = 3;

  /** Ways to lessons, in this order: the first as the press that stands out, the others below it. */
  function readFirst(lessons) {
    const { make, word, marking } = PITWRIGHT;
    const { root } = global.document.body.dataset;
    const link = (id, how, words = (title) => title) => {
      const { title } = marking.lessons.find((lesson) => lesson.id === id);
      return make("a", { class: how, href: `${root}lesson/${id}.html` }, words(title));
    };
    const [first, ...rest] = lessons;
    const others = make("ul", { class: "way-list" }, rest.map((id) => make("li", {}, link(id, ""))));
    return [
      make("p", {}, link(first, "press press-main", (title) => word("read_first", { title }))),
      rest.length > OPEN ? make("details", {}, make("summary", {}, word("apart_others", { count: rest.length })), others) : others,
    ];
  }

  /** Lessons under a heading; null if there are none. */
  function studyLinks(lessons) {
    const { make, word } = PITWRIGHT;
    return lessons.length === 0 ? null : make("section", { class: "study" }, make("h2", {}, word("study_title")), readFirst(lessons));
  }

  /** Ways on from a result. */
  function waysOn() {
    const { make, word } = PITWRIGHT;
    const root = global.document.body.dataset.root;
    return make(
      "p",
      { class: "ways-on" },
      make("a", { class: "press press-quiet", href: `${root}record.html` }, word("to_record")),
      " ",
      make("a", { class: "press press-quiet", href: `${root}index.html` }, word("to_all")),
    );
  }

  Object.assign(PITWRIGHT, { studyFor: study, studyLinks, readFirst, waysOn });
})(globalThis);
