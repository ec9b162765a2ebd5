/* Last of a page's scripts: everything is loaded, the parts may start. */
globalThis.PITWRIGHT.startParts();
