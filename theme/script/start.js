/* Last of a page's scripts: everything is loaded, the parts may start, and what was pressed before is pressed. */
globalThis.PITWRIGHT.startParts();
globalThis.PITWRIGHT_EARLY();
