// @ts-check
// Which sides were worked to their end, and which one is owed: a set was left with one side done and the other not.

// The last repetition's way back takes about so long, and whoever presses Next then has done the set; chosen.
const NEARLY_MS = 1500;

/** @typedef {{from: number, seen: number, waived: number[], worked: [number, string[]][]}} SidesKept */
/** @typedef {ReturnType<typeof makeSides>} Sides */

/** @param {import("./show.js").Show} show */
export function makeSides(show) {
  /** @type {Map<number, Set<string>>} by cell */
  const worked = new Map();
  let from = 0, seen = 0; // since when nothing was jumped over; how far that was looked at
  /** @type {number[]} */
  let waived = [];

  /** @param {import("./show.js").Span} span */
  function note({ cell, side }) {
    if (cell === null) return;
    worked.set(cell, new Set([...(worked.get(cell) ?? []), side || "both"]));
    waived = waived.filter((each) => each !== cell);
  }
  /** Played on as far as this; gives back the bouts that came to their end. @param {number} ms */
  function upTo(ms) {
    const ended = show.spans.filter((span) => span.work && span.end_ms > seen && span.end_ms <= ms && span.at_ms >= from);
    ended.forEach(note);
    seen = Math.max(seen, ms);
    return ended;
  }
  return {
    upTo,
    /** @param {number} fromMs @param {number} toMs */
    jumped(fromMs, toMs) {
      const ended = upTo(fromMs + NEARLY_MS);
      from = seen = toMs;
      return ended;
    },
    /** While a set is on, nothing of it is owed yet. @param {number | null} [now] @returns {[number, string][]} */
    owed(now = null) {
      const half = [...worked].filter(([cell, sides]) => cell !== now && show.cells[cell].bouts.length === 2 && sides.size === 1);
      return half.filter(([cell]) => !waived.includes(cell)).map(([cell, sides]) => [cell, sides.has("left") ? "right" : "left"]);
    },
    /** @param {number[]} cells */
    waive(cells) { waived.push(...cells); },
    /** @returns {SidesKept} */
    get kept() { return { from, seen, waived: [...waived], worked: [...worked].map(([cell, sides]) => [cell, [...sides]]) }; },
    set kept(found) {
      ({ from, seen } = found);
      waived = [...found.waived];
      worked.clear();
      for (const [cell, sides] of found.worked) worked.set(cell, new Set(sides));
    },
  };
}
