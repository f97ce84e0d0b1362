// The show as it is led: the run sheet's spans, less what was cut, and what is true at a moment. Nothing is computed that
// the run sheet does not say.

export function makeShow(sheet) {
  let gone = new Set(); // cells that were cut
  let spans = [], beeps = [], cues = {};

  function lay() {
    let shift = 0;
    spans = [];
    const kept = [];
    for (const span of sheet.spans) {
      const length = span.end - span.at;
      if (span.cell !== undefined && gone.has(span.cell)) { shift += length; continue; }
      spans.push({ ...span, at: span.at - shift, end: span.end - shift });
      kept.push([span.at, span.end, shift]);
    }
    const moved = (ms) => {
      const found = kept.find(([at, end]) => ms >= at && ms < end);
      return found ? ms - found[2] : null;
    };
    const shown = (list) => list.map(([ms, ...rest]) => [moved(ms), ...rest]).filter(([ms]) => ms !== null);
    beeps = shown(sheet.beeps);
    cues = Object.fromEntries(Object.entries(sheet.cues).map(([track, list]) => [
      track, list.map(([at, end, kind, text]) => [moved(at), end - at, kind, text]).filter(([at]) => at !== null),
    ]));
  }
  lay();

  const indexAt = (ms) => { const found = spans.findIndex((span) => ms < span.end); return found < 0 ? spans.length - 1 : found; };
  const cellOf = (span) => (span?.cell === undefined ? null : sheet.cells[span.cell]);

  return {
    sheet,
    get spans() { return spans; },
    get beeps() { return beeps; },
    get totalMs() { return spans.at(-1)?.end ?? 0; },
    indexAt, cellOf,
    spanAt: (ms) => spans[indexAt(ms)],
    // The next set that begins after a moment.
    nextSet(ms) {
      const now = spans[indexAt(ms)];
      return spans.find((span) => span.at > ms && span.cell !== undefined && span.cell !== now.cell && span.at >= now.end);
    },
    // The side that a cell is begun on, by the plan; nothing where both work.
    firstSide: (cell) => spans.find((span) => span.cell === cell && span.side)?.side ?? "",
    // Where the set at a moment begins; just after its beginning, where the one before it does.
    startOf(ms, grace = 2000) {
      let at = indexAt(ms);
      const first = (place) => { while (place > 0 && spans[place - 1].cell === spans[place].cell) place--; return place; };
      at = first(at);
      if (ms - spans[at].at < grace && at > 0) at = first(at - 1);
      return spans[at].at;
    },
    cueAt: (track, ms) => (cues[track] ?? []).findLast(([at, length]) => at <= ms && ms < at + Math.max(length, 2000)),
    cuesFrom: (track, ms, many) => (cues[track] ?? []).filter(([at]) => at > ms).slice(0, many),
    // What a bout counts at a moment: the repetition and how many, or the seconds left.
    count(ms) {
      const span = spans[indexAt(ms)];
      if (span.kind === "work" && span.reps) return { rep: Math.min(span.reps, Math.floor((ms - span.at) / span.rep) + 1), of: span.reps };
      return { seconds: Math.max(0, Math.ceil((span.end - ms) / 1000)) };
    },
    // Sides that were begun and not made up for, by move: someone did left and never right.
    debts(done) {
      const found = [];
      for (const [place, sides] of done) {
        if (sheet.cells[place].sides === 2 && sides.size === 1) found.push([sheet.cells[place].move, sides.has("left") ? "right" : "left"]);
      }
      return found;
    },
    // By the plan's cut order, what has not begun goes until so much time is won; says what went.
    cut(ms, wantedMs) {
      const names = [];
      let won = 0;
      const current = spans[indexAt(ms)].cell;
      for (const cut of sheet.cuts) {
        if (won >= wantedMs) break;
        const free = cut.cells.filter((cell) => !gone.has(cell) && cell !== current && spans.some((span) => span.cell === cell) && spans.every((span) => span.cell !== cell || span.at >= ms));
        if (!free.length || free.length !== cut.cells.filter((cell) => !gone.has(cell)).length) continue;
        won += spans.filter((span) => free.includes(span.cell)).reduce((sum, span) => sum + span.end - span.at, 0);
        for (const cell of free) gone.add(cell);
        names.push(cut.name);
      }
      if (names.length) lay();
      return { wonMs: won, names };
    },
    get gone() { return [...gone]; },
    set gone(cells) { gone = new Set(cells); lay(); },
  };
}
