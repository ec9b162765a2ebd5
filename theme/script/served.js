/* A course that is served over http(s) can be installed, and is kept whole for later visits without a network. */
(function (global) {
  "use strict";
  const { document, location, navigator } = global;
  if (!/^https?:$/.test(location.protocol) || !navigator.serviceWorker) return;
  const { root } = document.body.dataset;
  // Written here and not in the page: from a folder a browser complains of it.
  document.head.append(Object.assign(document.createElement("link"), { rel: "manifest", href: `${root}course.webmanifest` }));
  // Where it may not run, the course is the same, only not kept.
  navigator.serviceWorker.register(`${root}kept.js`).catch(() => {});
})(globalThis);
