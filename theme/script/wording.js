/* The interface's words, filled in. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /**
   * The words under a key, with {name} filled in. A key that is missing shows itself, so that it is found.
   * @param {string} key @param {Record<string, string | number>} [values]
   */
  function word(key, values = {}) {
    const text = PITWRIGHT.words && PITWRIGHT.words[key];
    if (text === undefined) return key;
    return text.replace(/\{(\w+)\}/g, (whole, name) => (name in values ? String(values[name]) : whole));
  }

  const format = (options) => (timestamp) =>
    new Intl.DateTimeFormat(PITWRIGHT.course.language, options).format(new Date(timestamp));

  PITWRIGHT.word = word;
  /** A timestamp as a day. */
  PITWRIGHT.day = format({ dateStyle: "medium" });
  /** A timestamp as a day and a time. */
  PITWRIGHT.moment = format({ dateStyle: "medium", timeStyle: "short" });
})(globalThis);
