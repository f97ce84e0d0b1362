// @ts-check
// A show's place, cuts, sides and log, kept in this browser until its end, so that neither a reload nor a closed tab loses
// the class.

const PREFIX = "stage ";
const MOST_MS = 6 * 3600_000; // chosen, because no class is longer, and what is older was another evening

/**
 * What is kept: the place, the forks that were taken, and what the sides and the log keep.
 * @typedef {{ms: number, taken: number[], sides: import("../show/sides.js").SidesKept, log: import("./log.js").LogKept}} Kept
 */

/** Null where nothing is, or nothing that can be read. @param {string} key */
const read = (key) => { try { return JSON.parse(localStorage.getItem(key) ?? "null"); } catch { return null; } };
/** @param {{wall_ms: number} | null} found */
const fresh = (found) => found && Date.now() - found.wall_ms < MOST_MS;

/** @param {string} session @param {string} setting */
export function makeKept(session, setting) {
  const key = `${PREFIX}${session} ${setting}`;
  for (const each of Object.keys(localStorage)) if (each.startsWith(PREFIX) && !fresh(read(each))) localStorage.removeItem(each);
  return {
    /** With when it was kept, on the wall. @returns {(Kept & {wall_ms: number}) | null} */
    get state() { return read(key); },
    /** @param {Kept} state */
    set state(state) {
      try { localStorage.setItem(key, JSON.stringify({ ...state, wall_ms: Date.now() })); } catch { /* full: the show goes on */ }
    },
    clear() { localStorage.removeItem(key); },
  };
}
