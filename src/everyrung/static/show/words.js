// @ts-check
// What is said, in words, of a moment of a show; the same on every screen.

const EARLY_MS = 12_000; // so early before a set nobody is at work it is named; chosen, because getting ready takes so long

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

/** What is held and in which hand: "10 lb, right hand"; two pieces need both. @param {import("./show.js").Bout} bout */
export const loadWords = ({ load, hand }) => (hand === "left" || hand === "right" ? `${load}, ${hand} hand` : load);

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
    if (span.kind === "waiting") return "Wait: the others are still at work";
    return span.work ? cell.name : `Get ready: ${cell.name}`;
  }
  /** @param {Span} span @param {CellOrNone} cell */
  function side(span, cell) {
    if (span.side) return span.side.toUpperCase();
    if (span.kind === "side switch" && cell) return `${cell.bouts[1].side.toUpperCase()} NEXT`;
    const first = cell && !span.work ? show.firstSide(span.cell) : "";
    return first ? `${first.toUpperCase()}${cell?.bouts.length === 2 ? " FIRST" : ""}` : "";
  }
  /**
   * With its load and without. While one set is got ready for, no other is named; while one works, the next is, all along.
   * @param {number} ms @param {Span} span @returns {[string, string]}
   */
  function next(ms, span) {
    const coming = show.nextSet(ms), cell = show.cellOf(coming);
    const soon = coming && cell && (span.work || coming.at_ms - ms < EARLY_MS || !show.cellOf(span));
    if (!soon) return ["", ""];
    return [`Next: ${[cell.move, cell.load].filter(Boolean).join(", ")}`, `Next: ${cell.move}`];
  }
  /** Who works where, in a set that kit or wall is not there for all at once. @param {number | null} cell */
  function wavesAt(cell) {
    const wave = show.sheet.waves?.find((each) => each.cells.includes(cell ?? -1));
    if (!wave) return "";
    const at = wave.cells.indexOf(cell ?? -1), isLast = at === wave.cells.length - 1;
    const turns = wave.turns.slice(at, isLast ? undefined : at + 1);
    return turns.map((turn) => turn.map(([letter, words]) => `${letter}: ${words}`).join(" · ")).join("; then ");
  }
  /** @param {Span} span @param {CellOrNone} cell */
  function kit(span, cell) {
    if (span.kind === "kit change" && span.kit.length) return `Fetch: ${span.kit.join(", ")}`;
    if (!cell || span.kind === "rest" || span.kind === "round rest") return "";
    const waves = wavesAt(span.cell);
    if (waves) return waves;
    return loadWords(span.work ?? cell.bouts[span.kind === "side switch" ? 1 : 0] ?? cell.bouts[0]);
  }
  /** Which block and round it is. @param {Span} span @param {CellOrNone} cell */
  const place = (span, cell) => (cell ? [cell.block, cell.round].filter(Boolean).join(", ") : span.block);
  /** @param {Span | null} span */
  function owed(span) {
    const sided = sides.owed(span?.cell ?? null).map(([cell, side]) => `${show.cells[cell].move}, ${side}`);
    return sided.length ? `Owed: ${sided.join("; ")}` : "";
  }
  /** What is said, or in its silence while there is work what to look at. @param {string} track @param {number} ms @param {Span} span @param {CellOrNone} cell */
  const saying = (track, ms, span, cell) => show.cueAt(track, ms)?.words ?? (span.work && cell ? cell.rungs[0].form_cue : "");
  return { name, side, next, kit, place, owed, saying };
}
