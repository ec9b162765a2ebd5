/*
 * Proofs over JSON documents: W3C Data Integrity 1.0, cryptosuite eddsa-jcs-2022. Checks only; nothing is signed in a page.
 * What was signed is SHA-256 of the canonical proof without its value, then SHA-256 of the canonical document without its proof.
 */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  const FIELDS = ["type", "cryptosuite", "created", "verificationMethod", "proofPurpose", "proofValue", "@context"];
  const FIXED = { type: "DataIntegrityProof", cryptosuite: "eddsa-jcs-2022", proofPurpose: "assertionMethod" };
  /** The prefix of a public Ed25519 key in a Multikey. */
  const ED25519_PUB = [0xed, 0x01];

  const isObject = (value) => typeof value === "object" && value !== null && !Array.isArray(value);

  /** A time as proofs write it: UTC, to the second. */
  function isWholeSecond(text) {
    if (!/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ$/.test(text)) return false;
    const at = new Date(text);
    return !Number.isNaN(at.getTime()) && at.toISOString() === text.replace("Z", ".000Z");
  }

  /** The bytes behind a `z`; null if there are none of this length. */
  function bytes(text, length) {
    if (typeof text !== "string" || !text.startsWith("z")) return null;
    const decoded = PITWRIGHT.base58.decode(text.slice(1));
    return decoded && decoded.length === length ? decoded : null;
  }

  /** The 32 bytes of a public key written as a Multikey; null if it is none. */
  function keyBytes(multikey) {
    const all = bytes(multikey, 34);
    return all && all[0] === ED25519_PUB[0] && all[1] === ED25519_PUB[1] ? all.slice(2) : null;
  }

  const digest = async (value) =>
    new Uint8Array(await global.crypto.subtle.digest("SHA-256", new TextEncoder().encode(PITWRIGHT.canonical.canonical(value))));

  /** The document as it was signed: contexts that were added behind those of the proof are left out. Null if they do not begin so. */
  function inContext(document, proof) {
    if (!("@context" in proof)) return document;
    const list = (value) => (Array.isArray(value) ? value : [value]);
    if (!("@context" in document)) return null;
    const own = list(document["@context"]);
    const form = PITWRIGHT.canonical.canonical;
    const begins = list(proof["@context"]).every((one, place) => place < own.length && form(own[place]) === form(one));
    return begins ? { ...document, "@context": proof["@context"] } : null;
  }

  /** The key as a Multikey and the signature, if the proof has the form that this suite has; else null. */
  function parts(proof) {
    if (!isObject(proof) || Object.keys(proof).some((key) => !FIELDS.includes(key))) return null;
    if (Object.entries(FIXED).some(([key, due]) => proof[key] !== due)) return null;
    if (typeof proof.created !== "string" || !isWholeSecond(proof.created)) return null;
    if (typeof proof.verificationMethod !== "string") return null;
    const at = proof.verificationMethod.indexOf("#");
    const key = proof.verificationMethod.slice(at + 1);
    if (at < 0 || proof.verificationMethod.slice(0, at) !== `did:key:${key}`) return null;
    const signature = bytes(proof.proofValue, 64);
    const raw = keyBytes(key);
    return signature && raw ? { key, raw, signature } : null;
  }

  /**
   * @param {object} document without its proof
   * @param {unknown} proof
   * @returns {Promise<string | null>} the key (a Multikey) that signed this very document; null if none did
   * @throws {Error} named "CannotCheck" if this browser cannot check signatures of this kind
   */
  async function verify(document, proof) {
    const found = parts(proof);
    if (!found) return null;
    const { subtle } = global.crypto || {};
    let key;
    try {
      key = await subtle.importKey("raw", found.raw, { name: "Ed25519" }, false, ["verify"]);
    } catch (error) {
      // Bytes that are no key are a DataError; anything else says that Ed25519 is not known here.
      if (error.name === "DataError") return null;
      throw Object.assign(new Error("Ed25519"), { name: "CannotCheck" });
    }
    const { proofValue: _, ...bare } = proof;
    const signed = inContext(document, proof);
    if (!signed) return null;
    let message;
    try {
      message = Uint8Array.from([...(await digest(bare)), ...(await digest(signed))]);
    } catch (error) {
      // Half a character has no canonical form, so nobody signed it.
      if (error instanceof TypeError) return null;
      throw error;
    }
    return (await subtle.verify({ name: "Ed25519" }, key, found.signature, message)) ? found.key : null;
  }

  PITWRIGHT.proof = { verify };
})(globalThis);
