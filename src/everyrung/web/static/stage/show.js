// The show as it is led: the run sheet's spans, less what was cut, and what is true at a moment. Nothing is computed that
// the run sheet does not say.

const listed = (words) => new Intl.ListFormat("en-GB").format(words);
const roundWords = (block, round) => (!round ? block : /^round/i.test(round) ? round : `round ${round}`);

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
    // Where a set's place is, or was before it was cut: what is later has not passed.
    placeOf(cell) {
      const first = sheet.spans.findIndex((span) => span.cell === cell);
      return sheet.spans.slice(0, first).reduce((ms, span) => ms + (gone.has(span.cell) ? 0 : span.end - span.at), 0);
    },
    // What would go by the plan's cut order until so much time is won: only what has not begun.
    planned(ms, wantedMs) {
      const current = spans[indexAt(ms)].cell, cells = [];
      const lengthOf = (cell) => spans.reduce((sum, span) => sum + (span.cell === cell ? span.end - span.at : 0), 0);
      const begun = (cell) => cell === current || spans.some((span) => span.cell === cell && span.at < ms);
      let wonMs = 0;
      for (const cut of sheet.cuts) {
        if (wonMs >= wantedMs) break;
        const left = cut.filter((cell) => !gone.has(cell) && !cells.includes(cell));
        if (left.some(begun)) continue;
        wonMs += left.reduce((sum, cell) => sum + lengthOf(cell), 0);
        cells.push(...left);
      }
      return { wonMs, cells };
    },
    cut(cells) { gone = new Set([...gone, ...cells]); lay(); },
    uncut(cells) { gone = new Set([...gone].filter((cell) => !cells.includes(cell))); lay(); },
    // Sets as people know them: "Hip hinge and Split squat of round Three".
    words(cells) {
      const rounds = Map.groupBy(cells.map((cell) => sheet.cells[cell]), ({ block, round }) => roundWords(block, round));
      return [...rounds].map(([round, found]) => `${listed(found.map((cell) => cell.move))} of ${round}`).join("; ");
    },
    get gone() { return [...gone]; },
  };
}
