/*
 * Runs in store.html, which every page loads as a hidden frame: one store for all pages of a course opened from a folder.
 *
 * How it knows that an attempt was left: the frame of the page that runs it holds a Web Lock in its name. Tried from
 * file:// in Chromium 156 with several tabs: the lock is seen from every tab and sub-folder of the course while the page
 * lives, hidden or not, and is free after a reload, after following a link, after closing the tab and after a crash of
 * the tab, without anything having to run at that moment. So a second tab does not fail an attempt, and an attempt whose
 * lock is free was left. A heartbeat would not do: a hidden tab's timers may be held back for a minute and more.
 */
(function (global) {
  "use strict";
  const PITWRIGHT = global.PITWRIGHT;
  const page = global.parent;
  if (page === global) return;

  /** Under file:// this is "null" for the pages of a folder and for this frame alike. */
  const ours = global.origin;
  const send = (message) => page.postMessage({ pitwright: 1, ...message }, ours === "null" ? "*" : ours);

  const course = global.document.body.dataset.course;
  const lockName = (registration) => `pitwright:${course}:${registration}`;
  /** Release functions of the locks that this frame holds. */
  const held = new Map();

  /** Takes the lock of an attempt and keeps it until `free` or until the page is gone. */
  function hold(registration) {
    if (!global.navigator.locks) {
      throw PITWRIGHT.store.refusal("NoLocks", "this browser cannot tell whether an attempt is still open");
    }
    return new Promise((resolve, reject) => {
      global.navigator.locks
        .request(lockName(registration), { ifAvailable: true }, (lock) => {
          if (!lock) throw PITWRIGHT.store.refusal("Running", "the attempt is running already");
          resolve();
          return new Promise((release) => held.set(registration, release));
        })
        .catch(reject);
    });
  }

  function free(registration) {
    const release = held.get(registration);
    held.delete(registration);
    if (release) release();
  }

  async function isHeld(registration) {
    if (held.has(registration)) return true;
    return global.navigator.locks.request(lockName(registration), { ifAvailable: true }, (lock) => lock === null);
  }

  // A page that the browser puts aside for its "back" button is left as well.
  global.addEventListener("pagehide", () => Array.from(held.keys()).forEach(free));

  // Where a browser blocks all storage, even to name indexedDB throws; that must end up in this promise as well.
  const opening = (async () => PITWRIGHT.store.open(global.indexedDB, course))();

  const deeds = (store) => ({
    ...store,
    hold,
    free,
    async abandoned() {
      if (!global.navigator.locks) return [];
      const found = [];
      for (const one of await store.sittings()) {
        if (!(await isHeld(one.sitting.registration))) found.push(one);
      }
      return found;
    },
  });

  global.addEventListener("message", async (event) => {
    if (event.source !== page || event.origin !== ours) return;
    const message = event.data;
    if (!message || message.pitwright !== 1) return;
    if (message.hello) ready();
    if (typeof message.ask !== "number") return;
    try {
      const all = deeds(await opening);
      if (!Object.hasOwn(all, message.deed)) throw new Error(`the store knows no ${message.deed}`);
      const value = await all[message.deed](...message.with);
      send({ reply: message.ask, ok: true, value });
    } catch (error) {
      send({ reply: message.ask, ok: false, error: { name: error.name, message: error.message } });
    }
  });

  const ready = () =>
    opening.then(
      () => send({ ready: true, kept: true }),
      (error) => send({ ready: true, kept: false, why: error.message || error.name }),
    );
  ready();
})(globalThis);
