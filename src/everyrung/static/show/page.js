// @ts-check
// The parts of a page, by their names.

/** The element of a name; a page without it is a fault of ours. @param {string} id @returns {any} */
export function $(id) {
  const element = document.getElementById(id);
  if (!element) throw new Error(`this page has no #${id}`);
  return element;
}

/** Only what changes is written, so that screen readers are left in peace; whether it changed. @param {string} id @param {string} words */
export function put(id, words) {
  const element = $(id);
  if (element.textContent === words) return false;
  element.textContent = words;
  return true;
}
