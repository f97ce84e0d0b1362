// What the stage says, in words, of a moment of a show.

const EARLY_MS = 12_000; // so early the next move is named

export const clockWords = (ms) => {
  const s = Math.max(0, Math.ceil(ms / 1000));
  return `${Math.floor(s / 60)}:${String(s % 60).padStart(2, "0")}`;
};

export function makeWords(show, sides) {
  function name(span, cell) {
    if (!cell) return { announcement: "Listen" }[span.kind] ?? span.block;
    return span.kind === "work" ? cell.name : `Get ready: ${cell.name}`;
  }
  function side(span, cell) {
    if (span.side) return span.side.toUpperCase();
    if (span.kind === "side switch") return span.text.toUpperCase();
    const first = cell && span.kind !== "work" ? show.firstSide(span.cell) : "";
    return first ? `${first.toUpperCase()}${cell.bouts.length === 2 ? " FIRST" : ""}` : "";
  }
  // While one set is got ready for, no other is named.
  function next(ms, span) {
    const coming = show.nextSet(ms), cell = show.cellOf(coming);
    const soon = cell && (coming.at_ms - ms < EARLY_MS || !show.cellOf(span));
    return soon ? `Next: ${cell.name}${cell.load ? `, ${cell.load}` : ""}.` : "";
  }
  function kit(ms, span, cell) {
    if (span.kind === "kit change" && span.kit.length) return `Fetch: ${span.kit.join(", ")}`;
    return cell?.load && span.kind !== "work" ? `With ${cell.load}` : "";
  }
  function owed(span) {
    return sides.owed(span.cell).map(([cell, side]) => `${show.cells[cell].move}: the ${side} side is still owed.`).join(" ");
  }
  return { name, side, next, kit, owed };
}
