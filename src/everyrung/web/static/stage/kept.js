// A show's place, cuts, sides and log, kept in this browser until its end, so that neither a reload nor a closed tab loses
// the class.

const PREFIX = "stage ";
const MOST_MS = 6 * 3600_000; // chosen, because no class is longer, and what is older was another evening

const read = (key) => { try { return JSON.parse(localStorage.getItem(key)); } catch { return null; } };
const fresh = (found) => found && Date.now() - found.wall_ms < MOST_MS;

export function makeKept(session, setting) {
  const key = `${PREFIX}${session} ${setting}`;
  for (const each of Object.keys(localStorage)) if (each.startsWith(PREFIX) && !fresh(read(each))) localStorage.removeItem(each);
  return {
    get state() { return read(key); },
    set state(state) {
      try { localStorage.setItem(key, JSON.stringify({ ...state, wall_ms: Date.now() })); } catch { /* full: the show goes on */ }
    },
    clear() { localStorage.removeItem(key); },
  };
}
