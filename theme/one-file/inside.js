/* First of the scripts of a page that stands in the one-file edition: its links lead to the other pages in the same file. */
(function (global) {
  "use strict";
  const { document } = global;
  const { path, hash } = global.PITWRIGHT_PLACE;
  global.PITWRIGHT_ONE = global.parent.PITWRIGHT_ONE;

  /** Written plainly, where it can be: somebody may have mistyped it. */
  function plain(text) {
    try {
      return decodeURIComponent(text);
    } catch {
      return text;
    }
  }

  /** To a heading of this page, as a browser would go. */
  function goTo(id) {
    const there = document.getElementById(plain(id));
    if (!there) return;
    for (let at = there; at; at = at.parentElement) if (at.tagName === "DETAILS") at.open = true;
    there.scrollIntoView();
    if (!there.hasAttribute("tabindex")) there.tabIndex = -1;
    there.focus({ preventScroll: true });
  }

  document.addEventListener("click", (event) => {
    const link = event.target.closest && event.target.closest("a[href]");
    if (!link || event.defaultPrevented || link.hasAttribute("download")) return;
    const address = link.getAttribute("href");
    if (address.startsWith("#")) {
      event.preventDefault();
      goTo(address.slice(1));
    } else if (global.PITWRIGHT_ONE.go(address, path)) event.preventDefault();
  });

  if (hash) {
    global.PITWRIGHT_HASH = `#${hash}`;
    global.addEventListener("load", () => goTo(hash));
  }
})(globalThis);
