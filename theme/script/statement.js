/*
 * What happened → statements in the form of xAPI 1.0.3. Nothing here decides anything; it only writes down.
 */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /** Where the vocabulary of this project stands. */
  const OWN = "https://pitwright.example/xapi/";
  const VERBS = "http://adlnet.gov/expapi/verbs/";
  /** What one turn of an attempt answers. */
  const PART = { bank: "question", scenario: "scene", drill: "act" };
  /** Stands for an act, as its id and as the response, where a run through a drill is given up. */
  const LEAVE_IT = "leave-it";
  const CODE = /^[A-Z0-9][A-Z0-9-]{1,15}$/;

  /**
   * @typedef {object} Frame what all statements of one person on one course share
   * @property {string} code the person's code
   * @property {string} home address under which ids are made
   * @property {string} language
   * @property {string} marking name of the marking file
   *
   * @typedef {object} Sitting an attempt that is on record
   * @property {string} registration
   * @property {"bank" | "scenario" | "drill"} kind
   * @property {string} id
   * @property {string} title
   * @property {number} edition
   * @property {string} seed
   * @property {number} max the most that can be scored: questions of a bank, marks of a scenario, 1 for a drill
   * @property {Map<string, number>} [earns] what each choice of a scenario earns
   * @property {string} code @property {string} home @property {string} language @property {string} marking
   */

  /** A random UUID (RFC 9562, version 4). */
  function uuid() {
    if (global.crypto.randomUUID) return global.crypto.randomUUID();
    const bytes = global.crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 0x0f) | 0x40;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
    return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
  }

  /**
   * A code as typed, with a space or a dot for the hyphen as well → as kept; null if it is none.
   * @param {string} typed
   */
  function code(typed) {
    const tidy = typed.trim().toUpperCase().replace(/[\s._]+/g, "-");
    return CODE.test(tidy) ? tidy : null;
  }

  /** @param {object} course @param {string} code @returns {Frame} */
  const frame = (course, code) => ({ code, home: course.home, language: course.language, marking: course.markingHash });

  const own = (extensions) =>
    Object.fromEntries(Object.entries(extensions).map(([key, value]) => [OWN + key, value]));

  /**
   * The time for a statement's stamp. Within an attempt the stamps never go back, even if the device's clock is set back
   * meanwhile: an answer stamped before the one that it follows would look like a record put together afterwards.
   * @param {object[]} before the attempt's statements so far
   */
  function stamp(before) {
    const stamps = [new Date().toISOString(), ...before.map((statement) => statement.timestamp)];
    // Stamps are of one length and zone, so the last by letters is the last in time.
    return stamps.sort().pop();
  }

  function build(frame, verb, path, edition, { name, result, registration, extensions, before = [] } = {}) {
    const object = { objectType: "Activity", id: `${frame.home}/${path}` };
    if (name) object.definition = { name: { [frame.language]: name } };
    const context = { platform: "Pitwright", language: frame.language };
    if (registration) context.registration = registration;
    context.extensions = own({ marking: frame.marking, edition, ...extensions });
    const statement = {
      id: uuid(),
      version: "1.0.3",
      timestamp: stamp(before),
      actor: { objectType: "Agent", account: { homePage: frame.home, name: frame.code } },
      verb: { id: VERBS + verb, display: { en: verb } },
      object,
    };
    if (result) statement.result = result;
    statement.context = context;
    return statement;
  }

  const score = (raw, max) => ({ raw, min: 0, max, scaled: max > 0 ? raw / max : 0 });

  /** @param {Frame} frame @param {{id: string, title: string, edition: number}} lesson */
  const opened = (frame, lesson) => build(frame, "experienced", `lesson/${lesson.id}`, lesson.edition, { name: lesson.title });

  /** @param {Frame} frame @param {{id: string, title: string, edition: number}} lesson */
  const read = (frame, lesson) =>
    build(frame, "completed", `lesson/${lesson.id}`, lesson.edition, { name: lesson.title, result: { completion: true } });

  /**
   * @param {Frame} frame @param {{id: string, edition: number}} lesson
   * @param {string} question @param {string} response @param {number} parts
   */
  const practised = (frame, lesson, question, response, parts) =>
    build(frame, "answered", `lesson/${lesson.id}/ask/${question}`, lesson.edition, {
      result: marked(response, parts),
      extensions: { practice: true },
    });

  const marked = (response, parts) => ({
    response,
    success: parts === PITWRIGHT.FULL,
    score: { scaled: parts / PITWRIGHT.FULL },
  });

  /** @param {Sitting} sitting */
  const begun = (sitting) =>
    build(sitting, "attempted", `${sitting.kind}/${sitting.id}`, sitting.edition, {
      name: sitting.title,
      registration: sitting.registration,
      extensions: { seed: sitting.seed },
    });

  /**
   * @param {Sitting} sitting
   * @param {object[]} before the attempt's statements so far: its beginning, and an answer for each turn
   * @param {string} of id of the question, scene or action
   * @param {string} response for an act its name with its index, such as `lift-pin.3`
   * @param {number | null} parts parts of a full mark; null for a choice in a scenario and for an act
   * @param {string[]} [others] in a drill: the ids of what others then did, in order
   */
  const answered = (sitting, before, of, response, parts, others = []) =>
    build(sitting, "answered", `${sitting.kind}/${sitting.id}/${PART[sitting.kind]}/${of}`, sitting.edition, {
      result: parts === null ? { response } : marked(response, parts),
      registration: sitting.registration,
      extensions: { turn: before.length - 1, ...(others.length > 0 ? { others } : {}) },
      before,
    });

  /**
   * @param {Sitting} sitting
   * @param {object[]} before the attempt's other statements
   * @param {{passed: boolean, raw: number}} outcome raw: right answers, marks of a scenario, or 1 for a drill that is passed
   */
  async function ended(sitting, before, { passed, raw }) {
    return build(sitting, passed ? "passed" : "failed", `${sitting.kind}/${sitting.id}`, sitting.edition, {
      name: sitting.title,
      result: { completion: true, success: passed, score: score(raw, sitting.max) },
      registration: sitting.registration,
      extensions: { seal: await seal(before) },
      before,
    });
  }

  /**
   * An attempt that was left before its end: failed, whatever it had earned.
   * @param {Sitting} sitting @param {object[]} before @param {number} raw
   */
  async function left(sitting, before, raw) {
    return build(sitting, "failed", `${sitting.kind}/${sitting.id}`, sitting.edition, {
      name: sitting.title,
      result: { completion: false, success: false, score: score(raw, sitting.max) },
      registration: sitting.registration,
      extensions: { left: true, seal: await seal(before) },
      before,
    });
  }

  /** The turn of an answer; the beginning of an attempt stands before turn 0. */
  function turnOf(statement) {
    const turn = statement.context.extensions[`${OWN}turn`];
    return turn === undefined ? -1 : turn;
  }

  /**
   * SHA-256 of the canonical JSON of an attempt's statements: the beginning first, then by turn.
   * @param {object[]} statements all but the one that ends it
   */
  function seal(statements) {
    const ordered = statements.slice().sort((a, b) => turnOf(a) - turnOf(b));
    return PITWRIGHT.canonical.sha256(PITWRIGHT.canonical.canonical(ordered));
  }

  /** @param {object} statement @param {string} key a name of our own vocabulary */
  const extension = (statement, key) =>
    statement.context && statement.context.extensions ? statement.context.extensions[OWN + key] : undefined;

  /** @param {object} statement the verb's last word */
  const verb = (statement) => statement.verb.id.slice(statement.verb.id.lastIndexOf("/") + 1);

  PITWRIGHT.statement = { LEAVE_IT, uuid, code, frame, opened, read, practised, begun, answered, ended, left, seal, extension, verb };
})(globalThis);
