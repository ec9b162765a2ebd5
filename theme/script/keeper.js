/*
 * The page's side of the store: store.html stands in every page as a hidden frame before the scripts, so that both are
 * fetched at once; its answers become promises here.
 * Where the browser allows no store, the same deeds are kept in memory, and `state` says so.
 */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});
  const { document } = global;

  /** How long a slow phone may take to open the store, in milliseconds. */
  const OPENING = 15000;
  /** How long one deed may take. */
  const DEED = 15000;

  const frame = document.getElementById("store");
  const waiting = new Map();
  let asked = 0;
  let settle;
  /** @type {Promise<{kept: boolean, why: string}>} */
  const state = new Promise((resolve) => (settle = resolve));
  let memory = null;

  function useMemory(why) {
    if (!memory) memory = PITWRIGHT.memory.open();
    settle({ kept: false, why });
  }

  const ours = global.origin;
  const say = (message) => frame.contentWindow.postMessage({ pitwright: 1, ...message }, ours === "null" ? "*" : ours);

  global.addEventListener("message", (event) => {
    if (event.source !== frame.contentWindow || event.origin !== ours) return;
    const message = event.data;
    if (!message || message.pitwright !== 1) return;
    if (message.ready) {
      global.clearTimeout(opening);
      // Too late: this page has begun to keep things in memory, and goes on with that.
      if (memory) return;
      if (message.kept) settle({ kept: true, why: "" });
      else useMemory(message.why);
      return;
    }
    const wait = waiting.get(message.reply);
    if (!wait) return;
    waiting.delete(message.reply);
    global.clearTimeout(wait.timer);
    if (message.ok) wait.resolve(message.value);
    else wait.reject(Object.assign(new Error(message.error.message), { name: message.error.name }));
  });

  /**
   * @param {string} deed the name of one of the store's deeds
   * @param {...unknown} values
   */
  async function ask(deed, ...values) {
    await state;
    if (memory) return memory[deed](...values);
    return new Promise((resolve, reject) => {
      asked += 1;
      const number = asked;
      const timer = global.setTimeout(() => {
        waiting.delete(number);
        reject(new Error(PITWRIGHT.word("store_silent")));
      }, DEED);
      waiting.set(number, { resolve, reject, timer });
      say({ ask: number, deed, with: values });
    });
  }

  // In the one-file edition there is no other file to load.
  if (global.PITWRIGHT_ONE) global.PITWRIGHT_ONE.page("store.html").then((page) => (frame.srcdoc = page));
  // Was it ready before anybody listened here? Then it says so again.
  else say({ hello: true });
  const opening = global.setTimeout(() => useMemory(PITWRIGHT.word("store_silent")), OPENING);

  const deeds = ["who", "setWho", "statements", "add", "addMissing", "begin", "answer", "end", "slip", "keepSlip", "places", "keepPlace", "handed", "handings", "abandoned", "hold", "free"];
  // What is kept in memory only is lost with the page: ask before.
  global.addEventListener("beforeunload", (event) => {
    if (memory && memory.unhanded() > 0) event.preventDefault();
  });

  PITWRIGHT.keeper = {
    state,
    ...Object.fromEntries(deeds.map((deed) => [deed, (...values) => ask(deed, ...values)])),
  };
})(globalThis);
