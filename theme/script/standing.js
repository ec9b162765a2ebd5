/* How far a person is: the deck, and beside it the same in words. */
(function (global) {
  "use strict";
  const { PITWRIGHT } = global;

  /**
   * @param {number} pins standing, 0 … 10
   * @param {...Node} words
   * @returns {HTMLElement[]}
   */
  function besideDeck(pins, ...words) {
    const { make, deck } = PITWRIGHT;
    return [make("div", { class: "standing-deck" }, deck.deck(pins)), make("div", { class: "standing-words" }, words)];
  }

  /** @param {import("./progress.js").Progress} progress @returns {HTMLElement[]} */
  function standingWords({ figure, standing }) {
    const { make, word } = PITWRIGHT;
    const values = {
      ...figure,
      all_lessons: figure.allLessons,
      all_tests: figure.allTests,
      all_calls: figure.allCalls,
      all_drills: figure.allDrills,
    };
    return [make("p", { class: "standing-pins" }, word("pins_stand", { standing })), make("p", {}, word("pins_figure", values))];
  }

  Object.assign(PITWRIGHT, { besideDeck, standingWords });
})(globalThis);
