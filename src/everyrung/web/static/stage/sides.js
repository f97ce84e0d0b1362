// Which sides were worked to their end, and which one is owed: a set was left with one side done and the other not.

// The last repetition's way back takes about so long, and whoever presses Next then has done the set; chosen.
const NEARLY_MS = 1500;

export function makeSides(show) {
  const worked = new Map(); // cell -> sides
  let from = 0, seen = 0; // since when nothing was jumped over; how far that was looked at
  let waived = [];

  function note(span) {
    worked.set(span.cell, new Set([...(worked.get(span.cell) ?? []), span.side ?? "both"]));
    waived = waived.filter((cell) => cell !== span.cell);
  }
  return {
    // Played on as far as this; gives back the bouts that came to their end.
    upTo(ms) {
      const ended = show.spans.filter((span) => span.kind === "work" && span.end_ms > seen && span.end_ms <= ms && span.at_ms >= from);
      ended.forEach(note);
      seen = Math.max(seen, ms);
      return ended;
    },
    jumped(fromMs, toMs) {
      const ended = this.upTo(fromMs + NEARLY_MS);
      from = seen = toMs;
      return ended;
    },
    // While a set is on, nothing of it is owed yet.
    owed(now) {
      const found = [...worked].filter(([cell, sides]) => cell !== now && show.cells[cell].bouts.length === 2 && sides.size === 1);
      return found.filter(([cell]) => !waived.includes(cell)).map(([cell, sides]) => [cell, sides.has("left") ? "right" : "left"]);
    },
    waive(cells) { waived.push(...cells); },
    get kept() { return { from, seen, waived, worked: [...worked].map(([cell, sides]) => [cell, [...sides]]) }; },
    set kept(found) {
      ({ from, seen, waived } = found);
      for (const [cell, sides] of found.worked) worked.set(cell, new Set(sides));
    },
  };
}
