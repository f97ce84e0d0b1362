// @ts-check
// The show as it is led: one variant of the run sheet at a time, and what it says of a moment. Nothing is laid, placed or
// counted out here: a cut is another variant, the same up to the fork, so the clock stands where it stood.

/** @typedef {import("./run-sheet.js").RunSheet} RunSheet */
/** @typedef {import("./run-sheet.js").RungEntry} Rung */
/** @typedef {import("./run-sheet.js").BoutEntry} Bout */
/** @typedef {import("./run-sheet.js").ForkEntry} Fork */
/** @typedef {{at_ms: number, end_ms: number, kind: string, words: string, cell: number | null, rungs: number[]}} Cue */
/**
 * A cell as it is led, its block by name.
 * @typedef {Omit<import("./run-sheet.js").CellEntry, "block"> & {block: string, name: string, figure: string, bouts: Bout[], load: string, others: Rung[]}} Cell
 */
/**
 * A span with its block by name and its work, where it has any.
 * @typedef {Omit<import("./run-sheet.js").SpanEntry, "block" | "bout"> & {block: string, bout: number | null, work: Bout | null, side: string, moves: string}} Span
 */
/** @typedef {{rep: number, of: number} | {seconds: number, until: "end" | "work"}} Count */
/** @typedef {ReturnType<typeof makeShow>} Show */

const SHOWN_MS = 2000; // a cue stays so long at least; chosen, because less is not read
const GRACE_MS = 2000; // who goes back so soon after a beginning means the set before; chosen

/** The last place whose entry begins at a moment or before it; 0 where none does. @param {{at_ms: number}[]} entries @param {number} ms */
export function placeAt(entries, ms) {
  let low = 0, high = entries.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (entries[middle].at_ms <= ms) low = middle; else high = middle - 1;
  }
  return low;
}

/** @param {RunSheet} sheet */
export function makeShow(sheet) {
  /** @type {Cell[]} */
  const cells = sheet.cells.map((cell) => {
    const [led, ...others] = cell.rungs;
    return { ...cell, others, block: sheet.blocks[cell.block].name, name: led.name, figure: led.figure, bouts: led.bouts, load: led.bouts[0].load };
  });
  /** @type {Map<number, Span[]>} each variant's spans, once they are asked for */
  const laid = new Map();
  /** @type {number[]} the forks that were taken, the last one to be undone first */
  let taken = [];
  /** @type {Span[]} */
  let spans = [];
  let number = 0, variant = sheet.variants[0];

  /** @param {number} place @returns {Span[]} */
  function lay(place) {
    return sheet.variants[place].spans.map((span) => {
      const work = span.cell === null || span.bout === null ? null : cells[span.cell].bouts[span.bout];
      const sided = work && work.side !== "both";
      return { ...span, block: sheet.blocks[span.block].name, work, side: sided ? work.side : "", moves: sided ? work.moves : "" };
    });
  }
  /** @param {number[]} forks */
  function turnTo(forks) {
    taken = forks;
    number = taken.length ? sheet.forks[taken[taken.length - 1]].onto : 0;
    variant = sheet.variants[number];
    spans = laid.get(number) ?? lay(number);
    laid.set(number, spans);
  }
  turnTo([]);

  /** @param {number} ms */
  const indexAt = (ms) => placeAt(spans, ms);
  /** @param {{cell?: number | null} | undefined} span @returns {Cell | null} */
  const cellOf = (span) => cells[span?.cell ?? -1] ?? null;
  /** @param {import("./run-sheet.js").CueEntry} entry @returns {Cue} */
  const cueOf = ([at_ms, end_ms, kind, place, cell, rungs = []]) => ({ at_ms, end_ms, kind, words: sheet.words[place], cell, rungs });
  /** @param {string} track */
  const script = (track) => variant.script[track] ?? [];
  const last = () => sheet.forks[taken[taken.length - 1]];
  /** Where the set that holds a place begins. @param {number} place */
  const firstOf = (place) => {
    let first = place;
    while (first > 0 && spans[first - 1].cell === spans[place].cell) first--;
    return first;
  };

  return {
    sheet,
    cells,
    get number() { return number; },
    get spans() { return spans; },
    get beeps() { return variant.beeps; },
    get totalMs() { return variant.total_ms; },
    get gone() { return variant.cut; },
    indexAt, cellOf,
    /** @param {number} ms */
    spanAt: (ms) => spans[indexAt(ms)],
    /** The next set that begins after a moment. @param {number} ms */
    nextSet(ms) {
      const now = spans[indexAt(ms)];
      return spans.find((span) => span.at_ms > ms && span.cell !== null && span.cell !== now.cell && span.at_ms >= now.end_ms);
    },
    /** The side that a cell is begun on, by the plan; nothing where both work. @param {number | null} cell */
    firstSide: (cell) => spans.find((span) => span.cell === cell && span.side)?.side ?? "",
    /** The bout that is on at a moment, or that comes next in its set. @param {number} ms @returns {Span | null} */
    boutAt(ms) {
      const now = indexAt(ms);
      return spans.slice(now).find((span) => span.cell === spans[now].cell && span.work) ?? null;
    },
    /** The side that works now in a set, or next. @param {number} ms */
    sideAt: (ms) => {
      const now = indexAt(ms);
      return spans.slice(now).find((span) => span.cell === spans[now].cell && span.side)?.side ?? "";
    },
    /** Where the set at a moment begins; just after its beginning, where the one before it does. @param {number} ms */
    startOf(ms, grace = GRACE_MS) {
      let at = firstOf(indexAt(ms));
      if (ms - spans[at].at_ms < grace && at > 0) at = firstOf(at - 1);
      return spans[at].at_ms;
    },
    /** From where the set at a moment is repeated: getting into position for its first bout. @param {number} ms */
    readyOf(ms) {
      const first = firstOf(indexAt(ms)), { cell } = spans[first];
      const work = spans.findIndex((span, at) => at >= first && span.cell === cell && span.work);
      for (let at = work; at >= first; at--) if (spans[at].kind === "getting into position") return spans[at].at_ms;
      return spans[work < 0 ? first : work].at_ms;
    },
    /**
     * What the leader says at a moment; after it, as long as it takes to read; of that only what `isFor` lets through.
     * @param {string} track @param {number} ms @param {(cue: Cue) => boolean} [isFor] @returns {Cue | null}
     */
    cueAt(track, ms, isFor = () => true) {
      const entry = script(track).findLast((each) => each[0] <= ms && ms < Math.max(each[1], each[0] + SHOWN_MS) && isFor(cueOf(each)));
      return entry ? cueOf(entry) : null;
    },
    /** @param {string} track @param {number} ms @param {number} many */
    cuesFrom: (track, ms, many) => script(track).filter(([at]) => at > ms).slice(0, many).map(cueOf),
    /**
     * What is counted at a moment, one way everywhere: repetitions up, seconds down; before work, those until it starts.
     * @param {number} ms @returns {Count}
     */
    count(ms) {
      const at = indexAt(ms), span = spans[at], { work } = span;
      if (work?.reps && !work.timed) return { rep: Math.min(work.reps, Math.floor((ms - span.at_ms) / work.rep_ms) + 1), of: work.reps };
      const next = work ? undefined : spans.slice(at).find((each) => each.work);
      return { seconds: Math.max(0, Math.ceil(((next ? next.at_ms : span.end_ms) - ms) / 1000)), until: next ? "work" : "end" };
    },
    /** The repetition's phase at a moment, in the move's own word, and the side of an alternating one. @param {number} ms */
    phaseAt(ms) {
      const span = spans[indexAt(ms)], { work, cell } = span;
      if (!work || cell === null || !work.phases.length) return { phase: "", side: "" };
      const rep = Math.min(work.reps - 1, Math.floor((ms - span.at_ms) / work.rep_ms));
      const side = cells[cell].rungs[0].sides === "alternating" ? (rep % 2 ? "right" : "left") : "";
      let into = ms - span.at_ms - rep * work.rep_ms;
      for (const [phase, length] of work.phases) {
        if (into < length) return { phase, side };
        into -= length;
      }
      return { phase: work.phases[work.phases.length - 1][0], side };
    },
    /** What "three minutes less" does at a moment; nothing when nothing of the cut order is still to come. @param {number} ms */
    fork: (ms) => sheet.forks.find((fork) => fork.of === number && fork.from_ms <= ms && ms < fork.until_ms) ?? null,
    /** @param {Fork} fork */
    take(fork) { turnTo([...taken, sheet.forks.indexOf(fork)]); },
    /** The last fork that was taken, while nothing has come that it changed. @param {number} ms */
    undoable: (ms) => (taken.length && ms < last().until_ms ? last() : null),
    undo() { turnTo(taken.slice(0, -1)); },
    get taken() { return taken; },
    set taken(forks) { turnTo(forks.every((place) => place in sheet.forks) ? forks : []); },
  };
}
