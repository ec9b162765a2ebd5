/*
 * A slip: what the register says of a person, signed by a trainer or signer. Whether it is one, whose, and what it
 * answers now. Checked anew each time something of it is shown: the store is not trusted.
 */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  const DAY = 86400000;
  /** How far the clocks of two devices may be apart, in milliseconds. */
  const APART = 600000;

  const isObject = (value) => typeof value === "object" && value !== null && !Array.isArray(value);
  const isText = (value) => typeof value === "string";
  const isWhole = (value) => Number.isSafeInteger(value) && value >= 0;
  const isDay = (value) => isText(value) && /^\d{4}-\d\d-\d\d$/.test(value) && !Number.isNaN(Date.parse(value));
  const isMoment = (value) => isText(value) && /^\d{4}-\d\d-\d\dT[\d:.]+Z$/.test(value) && !Number.isNaN(Date.parse(value));
  const isOne = (value, kinds) => {
    const keys = isObject(value) ? Object.keys(value) : [];
    return keys.length === 1 && kinds.includes(keys[0]) && isText(value[keys[0]]);
  };

  /**
   * @typedef {object} Slip as `pitwright slip` writes it
   * @property {1} format
   * @property {string} course @property {string} home @property {string} person @property {string} issued
   * @property {string} marking
   * @property {{competency: string, standing: string, may: "nothing" | "accompanied" | "alone", until?: string, missing: string[], lacks?: object[],
   *   watched?: {met: number, real: number, unseen?: number[]}, runsOut?: string}[]} standings
   * @property {{thing: object, due?: string, done: boolean}[]} assignments
   * @property {{assessment: object, edition: number, more: number, at: string}[]} tries
   * @property {object} proof
   */

  const LISTS = {
    standings: (one) =>
      isText(one.competency) &&
      isText(one.standing) &&
      ["nothing", "accompanied", "alone"].includes(one.may) &&
      (one.until === undefined || isDay(one.until)) &&
      Array.isArray(one.missing) &&
      one.missing.every(isText) &&
      (one.lacks === undefined || (Array.isArray(one.lacks) && one.lacks.every((thing) => isOne(thing, ["lesson", "bank", "scenario", "drill"])))) &&
      (one.runsOut === undefined || isDay(one.runsOut)) &&
      (one.watched === undefined || (isObject(one.watched) && isWhole(one.watched.met) && isWhole(one.watched.real))),
    assignments: (one) =>
      isOne(one.thing, ["lesson", "bank", "scenario", "drill", "competency"]) && (one.due === undefined || isDay(one.due)) && typeof one.done === "boolean",
    tries: (one) => isOne(one.assessment, ["bank", "scenario", "drill"]) && isWhole(one.edition) && isWhole(one.more) && isMoment(one.at),
  };

  /** Whether a file means to be a slip at all. */
  const looksLikeOne = (value) => isObject(value) && "proof" in value && "standings" in value;

  /** Whether it has all that a slip has. */
  function isSlip(value) {
    return (
      looksLikeOne(value) &&
      value.format === 1 &&
      ["course", "home", "person", "marking"].every((key) => isText(value[key])) &&
      isMoment(value.issued) &&
      Object.entries(LISTS).every(([key, fits]) => Array.isArray(value[key]) && value[key].every((one) => isObject(one) && fits(one)))
    );
  }

  /** The code whose key this is on this course; null if nobody's. */
  function owner(marking, key) {
    const keys = marking.keys || {};
    return Object.keys(keys).find((code) => keys[code] === key && (code in marking.trainers || code in marking.signers)) || null;
  }

  /**
   * @typedef {object} Mine what a slip is held against
   * @property {string} code whoever is here
   * @property {object} marking @property {string} markingHash
   * @property {number} now milliseconds since 1970
   * @property {number} seen the latest moment on the person's record here, in milliseconds
   *
   * @typedef {object} Good a slip that is signed, and this person's on this course
   * @property {Slip} slip
   * @property {string} by the code of whoever signed it
   * @property {number} issued @property {number} until the moment from which it answers no more
   * @property {"" | "old" | "future" | "clock" | "course"} silent why it answers nothing now; empty if it does
   */

  /**
   * @param {unknown} value a slip as it came @param {Mine} mine
   * @returns {Promise<{good: Good} | {word: string, values?: object}>} the slip, or why it is none for this person here
   */
  async function check(value, mine) {
    if (!isSlip(value)) return { word: "slip_not_one" };
    const { proof, ...document } = value;
    let key;
    try {
      key = await PITWRIGHT.proof.verify(document, proof);
    } catch (error) {
      if (error.name === "CannotCheck") return { word: "slip_cannot_check" };
      throw error;
    }
    if (!key) return { word: "slip_altered" };
    const by = owner(mine.marking, key);
    if (!by) return { word: "slip_unknown_key" };
    // Nobody vouches for themselves.
    if (by === value.person) return { word: "slip_own", values: { code: by } };
    if (value.course !== mine.marking.course || value.home !== mine.marking.home) return { word: "slip_other_course" };
    if (value.person !== mine.code) return { word: "slip_other_person", values: { code: value.person, mine: mine.code } };
    const issued = Date.parse(value.issued);
    const until = issued + mine.marking.slipDays * DAY;
    return { good: { slip: value, by, issued, until, silent: silence(value, issued, until, mine) } };
  }

  function silence(slip, issued, until, mine) {
    if (issued > mine.now + APART) return "future";
    // A clock that was set back would keep a slip good for ever.
    if (mine.seen > mine.now + APART) return "clock";
    // No days at all: a course that does not say how long a slip answers.
    if (!(mine.now < until)) return "old";
    return slip.marking === mine.markingHash ? "" : "course";
  }

  /** The first moment of a day, as the clock on the wall counts it. */
  const midnight = (day) => new Date(`${day}T00:00:00`).getTime();

  /**
   * Until when the person may do all of these alone.
   * @param {Good} good @param {string[]} competencies @param {number} now
   * @returns {number | null} a moment that is still to come; null: not alone
   */
  function aloneUntil(good, competencies, now) {
    if (good.silent || competencies.length === 0) return null;
    let until = good.until;
    for (const id of competencies) {
      const stands = good.slip.standings.find((one) => one.competency === id);
      if (!stands || stands.may !== "alone" || !stands.until) return null;
      until = Math.min(until, midnight(stands.until));
    }
    return now < until ? until : null;
  }

  /** The tries that a slip releases at one assessment: how many, and from when. */
  const released = (good, item) =>
    good.slip.tries
      .filter((one) => one.assessment[item.kind] === item.id && one.edition === item.edition)
      .map((one) => ({ more: one.more, at: Date.parse(one.at) }));

  /** A moment up to which something holds: the end of a day by its date, any other with its time. */
  function untilWords(until) {
    const { word, day, moment } = PITWRIGHT;
    const at = new Date(until);
    const isMidnight = at.getHours() + at.getMinutes() + at.getSeconds() + at.getMilliseconds() === 0;
    return isMidnight ? word("end_of_day", { date: day(until - 1) }) : moment(until);
  }

  PITWRIGHT.slip = { midnight, untilWords, looksLikeOne, check, aloneUntil, released };
})(globalThis);
