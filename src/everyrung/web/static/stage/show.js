// The show as it is led: one variant of the run sheet at a time, and what it says of a moment. Nothing is laid, placed or
// counted out here: a cut is another variant, the same up to the fork, so the clock stands where it stood.

const SHOWN_MS = 2000; // a cue stays so long at least; chosen, because less is not read

export function makeShow(sheet) {
  const cells = sheet.cells.map(({ block, rungs: [led, ...others], ...cell }) => ({
    ...cell, others, block: sheet.blocks[block].name, name: led.name, figure: led.figure, bouts: led.bouts, load: led.bouts[0].load,
  }));
  const laid = new Map(); // each variant's spans, once they are asked for
  let taken = []; // the forks that were taken, the last one to be undone first
  let number = 0, variant = null, spans = [];

  function work(cell, place) {
    if (place === null) return {};
    const { reps, rep_ms, side, moves } = cells[cell].bouts[place];
    return side === "both" ? { reps, rep_ms } : { reps, rep_ms, side, moves };
  }
  function lay(place) {
    return sheet.variants[place].spans.map(({ block, bout, ...span }) => ({ ...span, block: sheet.blocks[block].name, ...work(span.cell, bout) }));
  }
  function turnTo(forks) {
    taken = forks;
    number = taken.length ? sheet.forks[taken.at(-1)].onto : 0;
    variant = sheet.variants[number];
    if (!laid.has(number)) laid.set(number, lay(number));
    spans = laid.get(number);
  }
  turnTo([]);

  const indexAt = (ms) => { const found = spans.findIndex((span) => ms < span.end_ms); return found < 0 ? spans.length - 1 : found; };
  const cellOf = (span) => cells[span?.cell] ?? null;
  const words = ([at, end, kind, place]) => ({ at_ms: at, end_ms: end, kind, words: sheet.words[place] });
  const script = (track) => variant.script[track] ?? [];
  const last = () => sheet.forks[taken.at(-1)];

  return {
    cells,
    get number() { return number; },
    get spans() { return spans; },
    get beeps() { return variant.beeps; },
    get totalMs() { return variant.total_ms; },
    get gone() { return variant.cut; },
    indexAt, cellOf,
    spanAt: (ms) => spans[indexAt(ms)],
    // The next set that begins after a moment.
    nextSet(ms) {
      const now = spans[indexAt(ms)];
      return spans.find((span) => span.at_ms > ms && span.cell !== null && span.cell !== now.cell && span.at_ms >= now.end_ms);
    },
    // The side that a cell is begun on, by the plan; nothing where both work.
    firstSide: (cell) => spans.find((span) => span.cell === cell && span.side)?.side ?? "",
    // The side that works now in a set, or next.
    sideAt: (ms) => {
      const now = indexAt(ms);
      return spans.slice(now).find((span) => span.cell === spans[now].cell && span.side)?.side ?? "";
    },
    // Where the set at a moment begins; just after its beginning, where the one before it does.
    startOf(ms, grace = 2000) {
      let at = indexAt(ms);
      const first = (place) => { while (place > 0 && spans[place - 1].cell === spans[place].cell) place--; return place; };
      at = first(at);
      if (ms - spans[at].at_ms < grace && at > 0) at = first(at - 1);
      return spans[at].at_ms;
    },
    cueAt(track, ms) {
      const found = script(track).findLast(([at, end]) => at <= ms && ms < Math.max(end, at + SHOWN_MS));
      return found ? words(found).words : "";
    },
    cuesFrom: (track, ms, many) => script(track).filter(([at]) => at > ms).slice(0, many).map(words),
    // What a bout counts at a moment: the repetition and how many, or the seconds left.
    count(ms) {
      const span = spans[indexAt(ms)];
      if (span.kind === "work" && span.reps) return { rep: Math.min(span.reps, Math.floor((ms - span.at_ms) / span.rep_ms) + 1), of: span.reps };
      return { seconds: Math.max(0, Math.ceil((span.end_ms - ms) / 1000)) };
    },
    // What "three minutes less" does at a moment; nothing when nothing of the cut order is still to come.
    fork: (ms) => sheet.forks.find((fork) => fork.of === number && fork.from_ms <= ms && ms < fork.until_ms) ?? null,
    take(fork) { turnTo([...taken, sheet.forks.indexOf(fork)]); },
    // The last fork that was taken, while nothing has come that it changed.
    undoable: (ms) => (taken.length && ms < last().until_ms ? last() : null),
    undo() { turnTo(taken.slice(0, -1)); },
    get taken() { return taken; },
    set taken(forks) { turnTo(forks.every((place) => place in sheet.forks) ? forks : []); },
  };
}
