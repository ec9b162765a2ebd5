/*
 * Tables on a narrow screen. One of many columns would run off at the side, and with it perhaps the column that tells what can hurt; in
 * others a column is left a word a line. Each cell gets its column's name, so that the style can set rows out as blocks.
 */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  /** Below how many rem a table is set out in rows. Those of timing charts have short words and figures. */
  const least = (table, columns) => (table.classList.contains("cycle-table") ? 18 : columns < 4 ? 28 : 38);

  const ROLES = { table: "table", "thead, tbody": "rowgroup", tr: "row", th: "columnheader", td: "cell" };

  PITWRIGHT.part("tables", (element) => {
    for (const table of element.querySelectorAll("table")) {
      const columns = Array.from(table.querySelectorAll("thead th"), (cell) => cell.textContent.trim());
      // Setting rows out as blocks takes a table's roles away in some browsers; say them outright.
      table.setAttribute("role", ROLES.table);
      for (const [selector, role] of Object.entries(ROLES)) {
        table.querySelectorAll(selector).forEach((part) => part.setAttribute("role", role));
      }
      for (const row of table.querySelectorAll("tbody tr")) {
        Array.from(row.cells).forEach((cell, index) => {
          const name = columns[index];
          if (name) cell.dataset.column = /[?!:…]$/.test(name) ? name : `${name}:`;
        });
      }
      const room = table.parentElement;
      const stack = () => {
        const rem = parseFloat(getComputedStyle(global.document.documentElement).fontSize);
        table.classList.toggle("stacked", room.clientWidth < least(table, columns.length) * rem);
      };
      stack();
      new ResizeObserver(() => global.requestAnimationFrame(stack)).observe(room);
    }
  });
})(globalThis);
