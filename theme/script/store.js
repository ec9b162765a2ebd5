/*
 * The record in IndexedDB: everything that people did on this course in this browser.
 * A statement counts as kept only when its transaction has completed: a browser that is killed right after keeps it.
 */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /** An error that a page can tell apart by its name. */
  function refusal(name, message) {
    const error = new Error(message);
    error.name = name;
    return error;
  }

  const answerOf = (request) =>
    new Promise((resolve, reject) => {
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });

  /** A store of before kept no list of hand-ins, only on each statement when it last went into a file: what that tells is kept. */
  function handingsOfBefore(transaction) {
    transaction.objectStore("statements").getAll().onsuccess = ({ target }) => {
      const found = new Map();
      for (const { code, handed } of target.result.filter((row) => row.handed)) {
        const key = JSON.stringify([handed, code]);
        const one = found.get(key) || { code, when: handed, file: null, count: 0 };
        found.set(key, { ...one, count: one.count + 1 });
      }
      const keys = Array.from(found.keys()).sort();
      keys.forEach((key) => transaction.objectStore("handings").add(found.get(key)));
    };
  }

  /**
   * Opens the store of one course. The name is the course's id, never its place, so that a moved folder keeps its record.
   * @param {IDBFactory} indexedDB
   * @param {string} course
   */
  async function open(indexedDB, course) {
    const opening = indexedDB.open(`pitwright:${course}`, 4);
    opening.onupgradeneeded = ({ oldVersion }) => {
      if (oldVersion < 1) {
        const statements = opening.result.createObjectStore("statements", { keyPath: "n", autoIncrement: true });
        statements.createIndex("id", "id", { unique: true });
        statements.createIndex("code", "code");
        opening.result.createObjectStore("sittings", { keyPath: "registration" });
        opening.result.createObjectStore("settings");
      }
      if (oldVersion < 2) opening.result.createObjectStore("slips");
      if (oldVersion < 3) opening.result.createObjectStore("places");
      if (oldVersion < 4) {
        opening.result.createObjectStore("handings", { keyPath: "n", autoIncrement: true }).createIndex("code", "code");
        if (oldVersion > 0) handingsOfBefore(opening.transaction);
      }
    };
    const base = await answerOf(opening);
    base.onversionchange = () => base.close();

    /** Runs `work` in one transaction and answers only after that transaction has completed. */
    function within(stores, mode, work) {
      return new Promise((resolve, reject) => {
        const transaction = base.transaction(stores, mode, mode === "readwrite" ? { durability: "strict" } : undefined);
        let result;
        let failure = null;
        transaction.oncomplete = () => resolve(result);
        transaction.onerror = () => reject(failure || transaction.error);
        transaction.onabort = () => reject(failure || transaction.error || refusal("AbortError", "the browser gave the write up"));
        work(transaction).then(
          (value) => (result = value),
          (error) => {
            failure = error;
            try {
              transaction.abort();
            } catch {
              reject(error);
            }
          },
        );
      });
    }

    const row = (statement) => ({ id: statement.id, code: statement.actor.account.name, statement, handed: null });
    const put = (transaction, statement) => answerOf(transaction.objectStore("statements").add(row(statement)));

    async function sitting(transaction, registration) {
      const found = await answerOf(transaction.objectStore("sittings").get(registration));
      if (!found) throw refusal("Ended", "the attempt is over");
      return found;
    }

    return {
      /** @returns {Promise<string | null>} the code of the person who is here */
      who: () => within(["settings"], "readonly", async (t) => (await answerOf(t.objectStore("settings").get("who"))) || null),

      /** @param {string | null} code */
      setWho: (code) => within(["settings"], "readwrite", (t) => answerOf(t.objectStore("settings").put(code, "who"))),

      /** One person's statements in the order in which they were kept, and when each was handed in. */
      statements: (code) =>
        within(["statements"], "readonly", async (t) => {
          const rows = await answerOf(t.objectStore("statements").index("code").getAll(code));
          return rows.sort((a, b) => a.n - b.n).map(({ statement, handed }) => ({ statement, handed }));
        }),

      add: (statement) => within(["statements"], "readwrite", (t) => put(t, statement)),

      /** Adds those whose id is not here yet; answers how many. */
      addMissing: (statements) =>
        within(["statements"], "readwrite", async (t) => {
          let added = 0;
          for (const statement of statements) {
            if ((await answerOf(t.objectStore("statements").index("id").getKey(statement.id))) === undefined) {
              await put(t, statement);
              added += 1;
            }
          }
          return added;
        }),

      /** Puts an attempt on record, unless the same person has the same one open. */
      begin: (one, statement) =>
        within(["statements", "sittings"], "readwrite", async (t) => {
          const open = await answerOf(t.objectStore("sittings").getAll());
          if (open.some((other) => other.code === one.code && other.kind === one.kind && other.id === one.id)) {
            throw refusal("Running", "the attempt is running already");
          }
          await answerOf(t.objectStore("sittings").add(one));
          await put(t, statement);
        }),

      /** Adds an answer to an attempt that is still open. */
      answer: (registration, statement) =>
        within(["statements", "sittings"], "readwrite", async (t) => {
          await sitting(t, registration);
          await put(t, statement);
        }),

      /** Ends an attempt that is still open: its last statement, and it is no longer open, in one transaction. */
      end: (registration, statement) =>
        within(["statements", "sittings"], "readwrite", async (t) => {
          await sitting(t, registration);
          await put(t, statement);
          await answerOf(t.objectStore("sittings").delete(registration));
        }),

      /** Every open attempt of every person here, with its statements. */
      sittings: () =>
        within(["statements", "sittings"], "readonly", async (t) => {
          const open = await answerOf(t.objectStore("sittings").getAll());
          const found = [];
          for (const one of open) {
            const rows = await answerOf(t.objectStore("statements").index("code").getAll(one.code));
            const statements = rows.map((each) => each.statement).filter((each) => each.context.registration === one.registration);
            found.push({ sitting: one, statements });
          }
          return found;
        }),

      /** @returns {Promise<object | null>} the slip that was last kept for this person, as it came in */
      slip: (code) => within(["slips"], "readonly", async (t) => (await answerOf(t.objectStore("slips").get(code))) || null),

      keepSlip: (code, slip) => within(["slips"], "readwrite", (t) => answerOf(t.objectStore("slips").put(slip, code))),

      /** Where a person stopped, page by page. Not part of the record: it is never handed in. */
      places: (code) =>
        within(["places"], "readonly", async (t) => {
          const range = IDBKeyRange.bound([code], [code, []]);
          const keys = await answerOf(t.objectStore("places").getAllKeys(range));
          const values = await answerOf(t.objectStore("places").getAll(range));
          return keys.map(([, page], index) => [page, values[index]]);
        }),

      /** @param {string} code @param {string} page @param {unknown} place null: none any more */
      keepPlace: (code, page, place) =>
        within(["places"], "readwrite", (t) =>
          answerOf(place === null ? t.objectStore("places").delete([code, page]) : t.objectStore("places").put(place, [code, page])),
        ),

      /** Notes that these statements went into a file, and that the file was made. */
      handed: (ids, { code, when, file }) =>
        within(["statements", "handings"], "readwrite", async (t) => {
          const store = t.objectStore("statements");
          for (const id of ids) {
            const found = await answerOf(store.index("id").get(id));
            if (found) await answerOf(store.put({ ...found, handed: when }));
          }
          await answerOf(t.objectStore("handings").add({ code, when, file, count: ids.length }));
        }),

      /** Every file that a person handed in from here, the first first; `file` is null where its name was not kept. */
      handings: (code) =>
        within(["handings"], "readonly", async (t) => {
          const all = await answerOf(t.objectStore("handings").index("code").getAll(code));
          return all.sort((a, b) => a.n - b.n).map(({ when, file, count }) => ({ when, file, count }));
        }),
    };
  }

  PITWRIGHT.store = { open, refusal };
})(globalThis);
