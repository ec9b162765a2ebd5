/* Decimal numbers as people write them, held exactly: whole millionths, never a fraction in binary. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  const MILLION = 1e6;
  /** The greatest size in millionths: 10^9. A difference of two stays below 2^53, so doubles hold it exactly. */
  const MOST = 1e15;

  /**
   * Reads `-?[0-9]+(.[0-9]{1,6})?` and nothing else: no exponent, no plus sign, no spaces.
   * @param {string} text
   * @returns {number | null} whole millionths, within ±10^15; null if the text is no such number
   */
  function millionths(text) {
    const parts = /^(-?)([0-9]+)(?:\.([0-9]{1,6}))?$/.exec(text);
    if (!parts) return null;
    // Leading zeros carry no size; more than ten digits without them is past 10^9.
    const whole = parts[2].replace(/^0+(?=.)/, "");
    if (whole.length > 10) return null;
    const size = Number(whole) * MILLION + Number((parts[3] || "").padEnd(6, "0"));
    if (size > MOST) return null;
    // No negative zero: it would compare equal but print oddly.
    return parts[1] && size ? -size : size;
  }

  /**
   * What somebody typed, in the form that is marked and kept: no spaces, a point, no leading plus.
   * @param {string} typed
   * @returns {string | null} null if it cannot be read as a decimal number within the bounds
   */
  function normalise(typed) {
    let text = typed.replace(/\s+/g, "").replace(/\u2212/g, "-").replace(/^\+/, "");
    // One comma and no point is a decimal comma where people write it so; "1,000" would be read as 1, so it is refused.
    if (/^-?[0-9]+,[0-9]{1,6}$/.test(text) && !/,[0-9]{3}$/.test(text)) text = text.replace(",", ".");
    if (/^-?\.[0-9]/.test(text)) text = text.replace(".", "0.");
    return millionths(text) === null ? null : text;
  }

  /**
   * Whether `given` lies within `tolerance` of `answer`, edges included.
   * @param {string} answer @param {string} tolerance @param {string} given
   */
  function within(answer, tolerance, given) {
    const [a, t, g] = [answer, tolerance, given].map(millionths);
    return a !== null && t !== null && g !== null && Math.abs(a - g) <= t;
  }

  PITWRIGHT.decimal = { millionths, normalise, within };
})(globalThis);
