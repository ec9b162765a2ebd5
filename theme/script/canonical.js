/* Canonical JSON (RFC 8785) and SHA-256 (FIPS 180-4), through which every seal passes. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  const LONE_SURROGATE = /[\uD800-\uDBFF](?![\uDC00-\uDFFF])|(?:^|[^\uD800-\uDBFF])[\uDC00-\uDFFF]/;

  /**
   * RFC 8785 takes strings and numbers as ECMAScript writes them, and sorts keys by UTF-16 units, as `sort` does.
   * @param {unknown} value any JSON value
   * @returns {string}
   */
  function canonical(value) {
    if (value === null || typeof value === "boolean") return String(value);
    if (typeof value === "string") {
      if (LONE_SURROGATE.test(value)) throw new TypeError("a text holds half a character");
      return JSON.stringify(value);
    }
    if (typeof value === "number") {
      if (!Number.isFinite(value)) throw new TypeError("a number is not finite");
      return JSON.stringify(value);
    }
    if (Array.isArray(value)) return `[${value.map(canonical).join(",")}]`;
    if (typeof value === "object") {
      const fields = Object.keys(value).sort();
      return `{${fields.map((key) => `${canonical(key)}:${canonical(value[key])}`).join(",")}}`;
    }
    throw new TypeError(`JSON has no ${typeof value}`);
  }

  /**
   * @param {string} text
   * @returns {Promise<string>} SHA-256 of its UTF-8, in lower-case hex
   */
  async function sha256(text) {
    const hash = await global.crypto.subtle.digest("SHA-256", new TextEncoder().encode(text));
    return Array.from(new Uint8Array(hash), (byte) => byte.toString(16).padStart(2, "0")).join("");
  }

  PITWRIGHT.canonical = { canonical, sha256 };
})(globalThis);
