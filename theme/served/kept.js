/* The worker of a course that is served: keeps all of its files at the first visit, and answers from them ever after. FILES, COURSE and
   EDITION stand before it. A new edition is fetched whole before the old one goes; records lie elsewhere and are not touched. */
"use strict";
const NAME = `${COURSE}:${EDITION}`;

self.addEventListener("install", (event) => {
  const all = async () => (await caches.open(NAME)).addAll(FILES.map((file) => new Request(file, { cache: "reload" })));
  event.waitUntil(all().then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  const old = (name) => name.startsWith(`${COURSE}:`) && name !== NAME;
  const clean = async () => Promise.all((await caches.keys()).filter(old).map((name) => caches.delete(name)));
  event.waitUntil(clean().then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  const address = new URL(event.request.url);
  if (event.request.method !== "GET" || !address.href.startsWith(self.registration.scope)) return;
  if (address.href === self.registration.scope) address.pathname += "index.html";
  const answer = async () => {
    const kept = await (await caches.open(NAME)).match(address.href, { ignoreSearch: true });
    return kept || fetch(event.request);
  };
  event.respondWith(answer());
});
