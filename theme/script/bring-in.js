/*
 * Bringing in a file: a record that was handed in elsewhere, or a slip. Checked whole before anything is kept; a record is
 * then merged by statement id. The check is pure; nothing of the file is ever shown as HTML.
 */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  const UUID = /^[0-9a-f]{8}-[0-9a-f]{4}-[1-8][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/;
  /** Bytes. A year of daily work is far below a tenth of this. */
  const MOST = 20 * 1024 * 1024;

  const isObject = (value) => typeof value === "object" && value !== null && !Array.isArray(value);
  const isText = (value) => typeof value === "string" && value.length > 0;

  /**
   * What is wrong with one entry; null if a record of this project may hold it.
   * @param {unknown} entry
   */
  function fault(entry) {
    if (!isObject(entry)) return "no object";
    if (!isText(entry.id) || !UUID.test(entry.id)) return "id";
    if (!isText(entry.timestamp) || Number.isNaN(Date.parse(entry.timestamp))) return "timestamp";
    const account = isObject(entry.actor) ? entry.actor.account : null;
    if (!isObject(account) || !isText(account.homePage) || !isText(account.name)) return "actor";
    if (!isObject(entry.verb) || !isText(entry.verb.id)) return "verb";
    if (!isObject(entry.object) || !isText(entry.object.id)) return "object";
    if (!isObject(entry.context) || !isObject(entry.context.extensions)) return "context";
    return resultFault(entry);
  }

  /** Folds rely on these fields, so an entry without them must not come in. */
  function resultFault(entry) {
    const { verb, extension } = PITWRIGHT.statement;
    const { result } = entry;
    const { registration } = entry.context;
    if (registration !== undefined && (!isText(registration) || !UUID.test(registration))) return "registration";
    if (verb(entry) === "answered") {
      if (!isObject(result) || !isText(result.response)) return "result";
      if (result.score !== undefined && !(isObject(result.score) && Number.isFinite(result.score.scaled))) return "score";
      if (registration && !Number.isSafeInteger(extension(entry, "turn"))) return "turn";
    }
    if (verb(entry) === "passed" || verb(entry) === "failed") {
      const score = isObject(result) ? result.score : null;
      if (!isObject(score) || !Number.isFinite(score.raw) || !Number.isFinite(score.max)) return "score";
      if (!registration) return "registration";
    }
    return null;
  }

  /**
   * @param {string} file its name, for the words
   * @param {unknown} entries what it holds
   * @param {{code: string, home: string, kept: object[]}} mine this person, this course, the statements kept here
   * @returns {{fresh: object[], known: number} | {word: string, values: object}} what to add, or why nothing may be
   */
  function check(file, entries, mine) {
    if (!Array.isArray(entries)) return { word: "bring_not_list", values: { file } };
    for (const [index, entry] of entries.entries()) {
      const why = fault(entry);
      if (why) return { word: "bring_not_entry", values: { file, at: index + 1, why } };
      const { homePage, name } = entry.actor.account;
      if (homePage !== mine.home || !entry.object.id.startsWith(`${mine.home}/`)) {
        return { word: "bring_other_course", values: { file, at: index + 1 } };
      }
      if (name !== mine.code) return { word: "bring_other_person", values: { file, code: name, mine: mine.code } };
    }
    return compare(file, entries, mine.kept);
  }

  function compare(file, entries, kept) {
    const { canonical } = PITWRIGHT.canonical;
    const seen = new Map(kept.map((statement) => [statement.id, canonical(statement)]));
    const fresh = [];
    let known = 0;
    let differing = 0;
    try {
      for (const entry of entries) {
        const form = canonical(entry);
        if (!seen.has(entry.id)) {
          seen.set(entry.id, form);
          fresh.push(entry);
        } else if (seen.get(entry.id) === form) known += 1;
        else differing += 1;
      }
    } catch (error) {
      return { word: "bring_not_entry", values: { file, at: fresh.length + known + 1, why: error.message } };
    }
    if (differing > 0) return { word: "bring_differs", values: { file, count: differing } };
    return { fresh, known };
  }

  /**
   * Reads a chosen or dropped file and keeps what is new.
   * @param {File} file @param {string} code
   * @returns {Promise<{text: string, taken: boolean}>} what to tell the person
   */
  async function bringIn(file, code) {
    const { word, keeper, course } = PITWRIGHT;
    if (file.size > MOST) return { text: word("bring_too_big", { file: file.name }), taken: false };
    const kept = (await keeper.statements(code)).map((row) => row.statement);
    let holds;
    try {
      holds = JSON.parse(await file.text());
    } catch (error) {
      if (!(error instanceof SyntaxError)) throw error;
      return { text: word("bring_not_json", { file: file.name }), taken: false };
    }
    if (PITWRIGHT.slip.looksLikeOne(holds)) return PITWRIGHT.takeSlip(file.name, holds, code, kept);
    const checked = check(file.name, holds, { code, home: course.home, kept });
    if (checked.word) return { text: word(checked.word, checked.values), taken: false };
    const added = await keeper.addMissing(checked.fresh);
    return { text: word("bring_done", { new: added, known: checked.known }), taken: added > 0 };
  }

  PITWRIGHT.bringIn = bringIn;
  PITWRIGHT.checkBroughtIn = check;
})(globalThis);
