/*
 * A run as it can be kept and gone on with: the seed and all that was done since. What others do comes from the seed too, so the same
 * played again comes to the same.
 */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  /** In the list of what was done, beside the numbers of acts: the last act taken back, and the call begun from its beginning. */
  const BACK = -1;
  const ANEW = -2;

  /**
   * @param {ReturnType<typeof PITWRIGHT.play>} play
   * @param {string} seed
   * @param {number[]} [log] what was done before
   */
  function trace(play, seed, log = []) {
    const chance = PITWRIGHT.random.fromHex(seed);
    const start = play.draw(chance);
    const begun = play.begin(start);
    /** Words of chance: those of the last turn, and those of turns that could not be kept. The next turn begins with these. */
    let [used, spare] = [[], []];
    const next = () => used[used.push(spare.length > 0 ? spare.shift() : chance.next()) - 1];
    const here = {
      start,
      /** @type {{act: number, before: object, run: object, came: string, firings: object[], others: object[]}[]} */
      turns: [],
      run: begun,
      takenBack: 0,
      log: [],
      /** What comes of an act. Nothing of it is part of the run until it is taken. */
      turn(act) {
        [spare, used] = [[...used, ...spare], []];
        return { act, before: here.run, ...play.step(here.run, act, next) };
      },
      take(turn) {
        used = [];
        here.turns.push(turn);
        here.run = turn.run;
        here.log.push(turn.act);
      },
      back() {
        const last = here.turns.pop();
        here.run = last.before;
        here.takenBack += 1;
        here.log.push(BACK);
        return last;
      },
      anew() {
        here.turns = [];
        here.run = begun;
        here.log.push(ANEW);
      },
      /** By what going on knows that it came to the same. */
      at: () => `${here.turns.length} ${here.run.real}`,
    };
    for (const one of log) {
      if (one === BACK) here.back();
      else if (one === ANEW) here.anew();
      else here.take(here.turn(one));
    }
    return here;
  }

  /**
   * A kept place, gone on with. Null where it cannot be: the course was compiled anew, or it does not come to the same.
   * @param {ReturnType<typeof PITWRIGHT.play>} play @param {{marking: string, seed: string, log: number[], at: string}} place
   */
  trace.again = (play, place) => {
    try {
      const found = place.marking === PITWRIGHT.course.markingHash ? trace(play, place.seed, place.log) : null;
      return found && found.at() === place.at ? found : null;
    } catch {
      return null;
    }
  };

  PITWRIGHT.drillTrace = trace;
})(globalThis);
