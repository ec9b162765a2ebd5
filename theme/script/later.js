/* A file of data that a page asks for only when it needs it: by its tag in the folder edition, out of the archive in the one-file edition. */
(function (global) {
  "use strict";
  const PITWRIGHT = (global.PITWRIGHT = global.PITWRIGHT || {});
  const { document } = global;

  /**
   * Runs a script of data. `take` is called as soon as it has run, before any other can.
   * @param {string} path inside the course
   * @param {string} root from the page to the course's folder
   * @param {() => T} take what it brought
   * @returns {Promise<T>} rejected with the path if it is not there
   * @template T
   */
  PITWRIGHT.later = (path, root, take) =>
    new Promise((resolve, reject) => {
      const script = document.createElement("script");
      const ran = () => resolve(take());
      const lost = () => reject(new Error(path));
      if (global.PITWRIGHT_ONE) {
        global.PITWRIGHT_ONE.text(path).then((text) => {
          script.textContent = text;
          document.head.append(script);
          ran();
        }, lost);
        return;
      }
      script.src = root + path;
      script.addEventListener("load", ran);
      script.addEventListener("error", lost);
      document.head.append(script);
    });
})(globalThis);
