/* A stand-in for the store where the browser allows none: same deeds, kept only while the page is open. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  const refusal = (name, message) => Object.assign(new Error(message), { name });

  function open() {
    let who = null;
    /** @type {{statement: object, handed: string | null}[]} */
    const rows = [];
    const sittings = new Map();
    const slips = new Map();
    const places = new Map();
    const handings = [];
    const has = (id) => rows.some((row) => row.statement.id === id);
    const put = (statement) => rows.push({ statement, handed: null });
    const still = (registration) => {
      if (!sittings.has(registration)) throw refusal("Ended", "the attempt is over");
    };
    return {
      /** How many statements would be lost if the page closed now. */
      unhanded: () => rows.filter((row) => !row.handed).length,
      who: async () => who,
      setWho: async (code) => void (who = code),
      statements: async (code) => rows.filter((row) => row.statement.actor.account.name === code).map((row) => ({ ...row })),
      add: async (statement) => void put(statement),
      addMissing: async (statements) => {
        const missing = statements.filter((statement) => !has(statement.id));
        missing.forEach(put);
        return missing.length;
      },
      begin: async (one, statement) => {
        if (Array.from(sittings.values()).some((other) => other.code === one.code && other.kind === one.kind && other.id === one.id)) {
          throw refusal("Running", "the attempt is running already");
        }
        sittings.set(one.registration, one);
        put(statement);
      },
      answer: async (registration, statement) => {
        still(registration);
        put(statement);
      },
      end: async (registration, statement) => {
        still(registration);
        put(statement);
        sittings.delete(registration);
      },
      slip: async (code) => slips.get(code) || null,
      keepSlip: async (code, slip) => void slips.set(code, slip),
      places: async (code) => Array.from((places.get(code) || new Map()).entries()),
      keepPlace: async (code, page, place) => {
        const own = places.get(code) || new Map();
        places.set(code, own);
        if (place === null) own.delete(page);
        else own.set(page, place);
      },
      handed: async (ids, { code, when, file }) => {
        rows.forEach((row) => ids.includes(row.statement.id) && (row.handed = when));
        handings.push({ code, when, file, count: ids.length });
      },
      handings: async (code) => handings.filter((one) => one.code === code).map(({ when, file, count }) => ({ when, file, count })),
      // The page that runs an attempt is the only one that knows of it, so nothing can be found left.
      abandoned: async () => [],
      hold: async () => {},
      free: async () => {},
    };
  }

  PITWRIGHT.memory = { open };
})(globalThis);
