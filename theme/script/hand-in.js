/* Handing in: one file of everything a person did, to be given to the trainer. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /** The local day, so that the file carries the date on the wall. */
  function today(now) {
    const two = (number) => String(number).padStart(2, "0");
    return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
  }

  /**
   * @param {string} code
   * @returns {Promise<{file: string, count: number}>}
   */
  async function handIn(code) {
    const rows = await PITWRIGHT.keeper.statements(code);
    const statements = rows.map((row) => row.statement);
    const now = new Date();
    const file = `record-${code}-${today(now)}.json`;
    // Firefox saves nothing out of a frame whose page has no address of its own, as in the one-file edition.
    const outer = global.PITWRIGHT_ONE ? global.parent : global;
    const address = outer.URL.createObjectURL(new outer.Blob([JSON.stringify(statements, null, 1)], { type: "application/json" }));
    const link = Object.assign(outer.document.createElement("a"), { href: address, download: file });
    outer.document.body.append(link);
    link.click();
    link.remove();
    // The browser reads the file after the click; let it, before its bytes are given back.
    outer.setTimeout(() => outer.URL.revokeObjectURL(address), 60000);
    await PITWRIGHT.keeper.handed(statements.map((statement) => statement.id), { code, when: now.toISOString(), file });
    return { file, count: statements.length };
  }

  PITWRIGHT.handIn = handIn;

  /** A press that hands in and then tells in its notice where the file is. */
  const press = (code, notice) => ({
    label: PITWRIGHT.word("hand_in"),
    run: async () => {
      const { file, count } = await handIn(code);
      PITWRIGHT.notice(notice, PITWRIGHT.word("handed_file", { file, count }));
    },
  });

  /** While somebody reads or answers, nothing reminds of handing in; the record page says it in its own place. */
  const QUIET = ["bank", "scenario", "drill", "lesson", "sheet", "witness", "staging", "record"];

  PITWRIGHT.part("notices", async () => {
    const { word, notice, unnotice, keeper } = PITWRIGHT;
    const { kept, why } = await keeper.state;

    async function remind(code) {
      if (!kept) {
        notice("store", word("store_blocked", { why }), code ? press(code, "handed") : null);
        return;
      }
      unnotice("unhanded");
      if (!code || QUIET.includes(global.document.body.dataset.kind)) return;
      const rows = await keeper.statements(code);
      const { count, due } = PITWRIGHT.waiting(rows, Date.now());
      if (PITWRIGHT.here.code !== code || !due) return;
      notice("unhanded", `${word(`unhanded_${due}`)} ${word("unhanded_only_here", { count })}`, press(code, "unhanded"));
    }

    PITWRIGHT.here.watch(remind);
  });
})(globalThis);
