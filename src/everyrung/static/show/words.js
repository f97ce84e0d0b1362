// @ts-check
// What is said, in words, of a moment of a show; the same on every screen.

const EARLY_MS = 12_000; // so early the next move is named; chosen, because a set takes half a minute

/** '4:07'. @param {number} ms */
export const clockWords = (ms) => {
  const s = Math.max(0, Math.ceil(ms / 1000));
  return `${Math.floor(s / 60)}:${String(s % 60).padStart(2, "0")}`;
};

/** The number that is shown large, and what it counts. @param {import("./show.js").Count} count @returns {[number, string]} */
export function countWords(count) {
  if ("rep" in count) return [count.rep, `of ${count.of}`];
  const seconds = count.seconds === 1 ? "second" : "seconds";
  return [count.seconds, count.until === "work" ? `${seconds} to the work` : `${seconds} left`];
}

/** What "three minutes less" is called at a moment. @param {import("./show.js").Fork | null} fork */
export const lessWords = (fork) => (fork ? `${clockWords(fork.less_ms)} less` : "3 minutes less");

/** @typedef {import("./show.js").Span} Span */
/** @typedef {import("./show.js").Cell | null} CellOrNone */

/**
 * @param {import("./show.js").Show} show
 * @param {import("./sides.js").Sides} sides
 */
export function makeWords(show, sides) {
  /** @param {Span} span @param {CellOrNone} cell */
  function name(span, cell) {
    if (!cell) return span.kind === "announcement" ? "Listen" : span.block;
    return span.work ? cell.name : `Get ready: ${cell.name}`;
  }
  /** @param {Span} span @param {CellOrNone} cell */
  function side(span, cell) {
    if (span.side) return span.side.toUpperCase();
    if (span.kind === "side switch") return span.text.toUpperCase();
    const first = cell && !span.work ? show.firstSide(span.cell) : "";
    return first ? `${first.toUpperCase()}${cell?.bouts.length === 2 ? " FIRST" : ""}` : "";
  }
  /** While one set is got ready for, no other is named. @param {number} ms @param {Span} span */
  function next(ms, span) {
    const coming = show.nextSet(ms), cell = show.cellOf(coming);
    const soon = coming && cell && (coming.at_ms - ms < EARLY_MS || !show.cellOf(span));
    return soon ? `Next: ${cell.name}${cell.load ? `, ${cell.load}` : ""}.` : "";
  }
  /** @param {Span} span @param {CellOrNone} cell */
  function kit(span, cell) {
    if (span.kind === "kit change" && span.kit.length) return `Fetch: ${span.kit.join(", ")}`;
    return cell?.load && !span.work ? `With ${cell.load}` : "";
  }
  /** @param {Span | null} span */
  function owed(span) {
    return sides.owed(span?.cell ?? null).map(([cell, side]) => `${show.cells[cell].move}: the ${side} side is still owed.`).join(" ");
  }
  return { name, side, next, kit, owed };
}
