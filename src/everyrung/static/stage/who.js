// @ts-check
// Who in the room takes which version, by initials: the leader's own, and on no other screen.

/** By set, as the plan has its place: each version with its load, and who takes it. @typedef {Record<string, [string, string[]][]>} Who */

/** Nothing where no cards were made of this version of the session. @param {string} address @returns {Promise<Who>} */
export async function readWho(address) {
  try {
    const answer = await fetch(address);
    return answer.ok ? await answer.json() : {};
  } catch { return {}; }
}

/** @param {HTMLElement} box @param {[string, string[]][]} rows */
export function showWho(box, rows) {
  const words = rows.map(([version, initials]) => `${initials.join(" ")}: ${version}`).join("\n");
  if (words === box.dataset.words) return;
  box.dataset.words = words;
  box.replaceChildren(...rows.flatMap(([version, initials]) => [
    Object.assign(document.createElement("dt"), { textContent: initials.join(" ") }),
    Object.assign(document.createElement("dd"), { textContent: version }),
  ]));
}
