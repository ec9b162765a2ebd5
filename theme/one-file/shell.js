/*
 * The whole course in one file: a zip, read here, and a frame that shows one page of it at a time. A page is put together with all
 * that its tags name, so that it asks for nothing. Where it stands in the course is kept after the # of the address.
 */
(function (global) {
  "use strict";
  const { document } = global;
  const FIRST = "index.html";
  const FOLDER = "course/";

  const bytesOf = (base64) => Uint8Array.from(global.atob(base64), (letter) => letter.charCodeAt(0));

  /**
   * The table at the end of a zip (PKWARE, APPNOTE.TXT, 4.3.12 and 4.3.16).
   * @returns {Map<string, {at: number, size: number, method: number}>}
   */
  function table(zip) {
    const view = new DataView(zip.buffer);
    let end = zip.length - 22;
    while (end >= 0 && view.getUint32(end, true) !== 0x06054b50) end -= 1;
    if (end < 0) throw new Error(global.PITWRIGHT_WORDS.broken);
    const files = new Map();
    let from = view.getUint32(end + 16, true);
    for (let left = view.getUint16(end + 10, true); left > 0; left -= 1) {
      const [name, extra, remark] = [28, 30, 32].map((place) => view.getUint16(from + place, true));
      const path = new TextDecoder().decode(zip.subarray(from + 46, from + 46 + name));
      files.set(path.slice(FOLDER.length), {
        at: view.getUint32(from + 42, true),
        size: view.getUint32(from + 20, true),
        method: view.getUint16(from + 10, true),
      });
      from += 46 + name + extra + remark;
    }
    return files;
  }

  const zip = bytesOf(document.getElementById("course").textContent.trim());
  const files = table(zip);
  const view = new DataView(zip.buffer);

  async function bytes(path) {
    const file = files.get(path);
    if (!file) throw new Error(global.PITWRIGHT_WORDS.missing.replace("{path}", path));
    // The local header has lengths of its own.
    const start = file.at + 30 + view.getUint16(file.at + 26, true) + view.getUint16(file.at + 28, true);
    const packed = zip.subarray(start, start + file.size);
    if (file.method === 0) return packed;
    const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("deflate-raw"));
    return new Uint8Array(await new Response(stream).arrayBuffer());
  }

  const text = async (path) => new TextDecoder().decode(await bytes(path));

  const KINDS = { svg: "image/svg+xml", png: "image/png", jpg: "image/jpeg", jpeg: "image/jpeg", webp: "image/webp", gif: "image/gif", mp4: "video/mp4", webm: "video/webm", vtt: "text/vtt", mp3: "audio/mpeg" };

  /** A file as an address that holds it. */
  async function held(path) {
    const all = await bytes(path);
    let letters = "";
    for (let from = 0; from < all.length; from += 0x8000) letters += String.fromCharCode(...all.subarray(from, from + 0x8000));
    return `data:${KINDS[path.slice(path.lastIndexOf(".") + 1).toLowerCase()] || "application/octet-stream"};base64,${global.btoa(letters)}`;
  }

  /** An address as a page writes it → a path in the course; null if it leads out of it. */
  function within(address, page) {
    if (/^[a-z][a-z0-9+.-]*:/i.test(address) || address.startsWith("//")) return null;
    return new URL(address, `https://course.invalid/${page}`).pathname.slice(1);
  }

  /** Every match of a pattern, replaced by what `work` promises for it. */
  async function replaced(whole, pattern, work) {
    const parts = await Promise.all(Array.from(whole.matchAll(pattern), (match) => work(...match)));
    let next = 0;
    return whole.replace(pattern, () => parts[next++]);
  }

  /** A style that stands in a file, or in a page itself, with what it names inside it. */
  const style = (plain, path) =>
    replaced(plain, /url\("([^"]+)"\)/g, async (all, address) => {
      const inside = within(address, path);
      return inside ? `url("${await held(inside)}")` : all;
    });

  // In a script between tags, the end tag would end it wherever it stands.
  const script = async (path) => (await text(path)).replaceAll("</script", "<\\/script");

  /** A page with all that it names inside it. @param {string} path @param {string} hash what stood after the # of the link */
  async function page(path, hash = "") {
    let html = await text(path);
    html = html.replace(/<meta http-equiv="Content-Security-Policy"[^>]*>/, "");
    html = await replaced(html, /<style>([^<]*)<\/style>/g, async (all, plain) => `<style>${await style(plain, path)}</style>`);
    html = await replaced(html, /<link rel="stylesheet" href="([^"]+)"([^>]*)>/g, async (all, address, rest) => {
      const file = within(address, path);
      return `<style${rest}>${await style(await text(file), file)}</style>`;
    });
    html = html.replace(/<link rel="icon"[^>]*>/, "");
    html = html.replace(/(<iframe id="store") src="[^"]*"/, "$1");
    html = await replaced(html, /<script src="([^"]+)"[^>]*><\/script>/g, async (all, address) => `<script>${await script(within(address, path))}<\/script>`);
    html = await replaced(html, /(<(?:img|video|audio|source|track)\b[^>]*? src=")([^"]+)"/g, async (all, before, address) => {
      const inside = within(address, path);
      return inside ? `${before}${await held(inside)}"` : all;
    });
    const place = JSON.stringify({ path, hash }).replaceAll("<", "\\u003c");
    const inside = document.getElementById("inside").textContent;
    return html.replace(/<body[^>]*>/, (tag) => `${tag}<script>globalThis.PITWRIGHT_PLACE = ${place};\n${inside}<\/script>`);
  }

  const frame = document.createElement("iframe");
  const told = document.getElementById("told");

  async function show() {
    // Some programs that pass an address on write a second # as %23. What comes after it is the page's own, and stays as it stands.
    const [, path, hash] = global.location.hash.slice(1).match(/^(.*?)(?:(?:#|%23)(.*))?$/);
    try {
      frame.srcdoc = await page(decodeURIComponent(path) || FIRST, hash);
      told.hidden = true;
    } catch (error) {
      told.textContent = error.message;
      told.hidden = false;
    }
  }

  /** Leads to a page of the course, as a link in it is written. */
  function go(address, from) {
    const path = within(address, from);
    if (path === null) return false;
    const [, hash] = address.split("#");
    const next = `#${path}${hash ? `#${hash}` : ""}`;
    if (global.location.hash === next) show();
    else global.location.hash = next;
    return true;
  }

  /** Keeps up what stands after the # of a page's own address. @param {string} hash with its #, or nothing */
  const keep = (path, hash) => global.history.replaceState(null, "", `#${path}${hash}`);

  global.PITWRIGHT_ONE = { page, text, go, keep };

  frame.addEventListener("load", () => {
    const { title, documentElement } = frame.contentDocument;
    document.title = title;
    frame.title = title;
    documentElement.ownerDocument.defaultView.focus();
  });
  global.addEventListener("hashchange", show);
  show();
  document.body.append(frame);
})(globalThis);
