/* A way through a scenario: scene by scene, what was chosen, what it earned, what would have been better. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});

  const sceneOf = (scenario, id) => scenario.scenes.find((scene) => scene.id === id);

  /**
   * @typedef {object} Step
   * @property {string} scene
   * @property {object} choice the choice made, from the marking
   * @property {boolean} lucky unsafe, and the run did not end badly there and then
   *
   * @typedef {object} Walk
   * @property {Step[]} steps
   * @property {string} at the scene in which the run stands
   * @property {null | "safe" | "unsafe"} ending
   * @property {number} marks
   * @property {Step | null} firstUnsafe
   * @property {boolean} passed a safe ending, no unsafe choice on the way, marks enough
   */

  /**
   * @param {object} scenario from the marking
   * @param {string[]} responses ids of the choices made, in order
   * @returns {Walk}
   */
  function walk(scenario, responses) {
    const steps = [];
    let at = scenario.start;
    for (const response of responses) {
      const scene = sceneOf(scenario, at);
      const choice = scene && scene.choices.find((one) => one.id === response);
      if (!choice) throw new RangeError(`scene ${at} offers no choice ${response}`);
      const next = sceneOf(scenario, choice.to);
      steps.push({ scene: at, choice, lucky: choice.unsafe && !(next && next.ends === "unsafe") });
      at = choice.to;
    }
    const scene = sceneOf(scenario, at);
    const ending = scene ? scene.ends : null;
    const marks = steps.reduce((sum, step) => sum + step.choice.marks, 0);
    const firstUnsafe = steps.find((step) => step.choice.unsafe) || null;
    return { steps, at, ending, marks, firstUnsafe, passed: ending === "safe" && !firstUnsafe && marks >= scenario.pass };
  }

  /**
   * The most marks that safe choices can still earn from each scene, where they can reach a safe ending at all.
   * No choice on a loop carries marks, so as many rounds as there are scenes settle it.
   * @param {object} scenario @param {string} [without] a scene that is not gone through
   * @returns {Map<string, number>} −Infinity where no safe way leads to a safe ending
   */
  function values(scenario, without) {
    const value = new Map(scenario.scenes.map((scene) => [scene.id, scene.ends === "safe" ? 0 : -Infinity]));
    for (let round = 0; round < scenario.scenes.length; round += 1) {
      for (const scene of scenario.scenes) {
        for (const choice of scene.choices) {
          if (choice.unsafe || scene.id === without) continue;
          const through = choice.marks + value.get(choice.to);
          if (through > value.get(scene.id)) value.set(scene.id, through);
        }
      }
    }
    return value;
  }

  /**
   * A choice that would have been better in that scene: safe, and worth more. The first in file order among equals.
   * What a choice earns only by coming back to the scene is not its own: it could have been had at once.
   * @param {object} scenario @param {string} scene @param {string} chosen
   * @returns {object | null} a choice from the marking
   */
  function better(scenario, scene, chosen) {
    const value = values(scenario, scene);
    const worth = (choice) => (choice.unsafe ? -Infinity : choice.marks + value.get(choice.to));
    const { choices } = sceneOf(scenario, scene);
    const best = choices.reduce((a, b) => (worth(b) > worth(a) ? b : a));
    return worth(best) > worth(choices.find((choice) => choice.id === chosen)) ? best : null;
  }

  PITWRIGHT.walk = { walk, values, better };
})(globalThis);
