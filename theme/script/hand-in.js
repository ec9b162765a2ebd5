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
    const address = URL.createObjectURL(new Blob([JSON.stringify(statements, null, 1)], { type: "application/json" }));
    const link = PITWRIGHT.make("a", { href: address, download: file });
    global.document.body.append(link);
    link.click();
    link.remove();
    // The browser reads the file after the click; let it, before its bytes are given back.
    global.setTimeout(() => URL.revokeObjectURL(address), 60000);
    await PITWRIGHT.keeper.handed(statements.map((statement) => statement.id), now.toISOString());
    return { file, count: statements.length };
  }

  PITWRIGHT.handIn = handIn;

  PITWRIGHT.part("notices", async () => {
    const { word, notice, unnotice } = PITWRIGHT;
    const { kept } = await PITWRIGHT.keeper.state;
    const quiet = ["bank", "scenario", "lesson", "sheet"].includes(global.document.body.dataset.kind);

    async function remind(code) {
      unnotice("unhanded");
      if (!code || (kept && quiet)) return;
      const rows = await PITWRIGHT.keeper.statements(code);
      const count = rows.filter((row) => !row.handed).length;
      if (kept && !PITWRIGHT.progress.handInDue(rows, Date.now())) return;
      if (count === 0) return;
      notice("unhanded", word("unhanded_many", { count }), {
        label: word("hand_in"),
        run: async () => {
          const { file } = await handIn(code);
          notice("unhanded", word("handed_file", { file, count: rows.length }));
        },
      });
    }

    PITWRIGHT.here.watch(remind);
  });
})(globalThis);
