/*
 * Wide tables. On a phone a table of more than three columns would run off at the side, and with it perhaps the column
 * that tells what can hurt. (That of a timing chart is narrow.) Each cell gets its column's name, so that the style can set rows out as blocks.
 */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  const WIDE = 4;

  PITWRIGHT.part("tables", (element) => {
    for (const table of element.querySelectorAll("table:not(.cycle-table)")) {
      const columns = Array.from(table.querySelectorAll("thead th"), (cell) => cell.textContent.trim());
      if (columns.length < WIDE) continue;
      table.classList.add("stacked");
      // Setting rows out as blocks takes a table's roles away in some browsers; say them outright.
      const roles = { table: "table", "thead, tbody": "rowgroup", tr: "row", th: "columnheader", td: "cell" };
      table.setAttribute("role", roles.table);
      for (const [selector, role] of Object.entries(roles)) {
        table.querySelectorAll(selector).forEach((part) => part.setAttribute("role", role));
      }
      for (const row of table.querySelectorAll("tbody tr")) {
        Array.from(row.cells).forEach((cell, index) => (cell.dataset.column = columns[index] || ""));
      }
    }
  });
})(globalThis);
