// All pictures of a show, in the browser before it starts, so that no lost link can leave one of another move on the
// wall. One that did not come is asked for again until it has.

const AT_ONCE = 6; // chosen, because browsers open no more lines to one server
const AGAIN_MS = 5000, PATIENCE_MS = 15_000; // chosen: a set lasts half a minute, and a picture has some 30 kB

// `address(kind, number)` is where a picture is, kind "motion" or "still"; `changed` is called when one came, and when
// all were asked for once.
export function makePictures(cells, address, changed) {
  const numbers = (found) => [...new Set(found)].filter((number) => number >= 0);
  const rungs = cells.flatMap((cell) => cell.rungs);
  const all = [
    ...numbers(cells.map((cell) => cell.motion)).map((number) => ["motion", number]),
    ...numbers(rungs.map((rung) => rung.picture)).map((number) => ["still", number]),
  ];
  const here = new Map();
  let asking = all.length > 0; // the first time round

  async function one([kind, number]) {
    try {
      const answer = await fetch(address(kind, number), { signal: AbortSignal.timeout(PATIENCE_MS) });
      if (!answer.ok) return;
      const found = kind === "motion" ? await answer.json() : `data:image/svg+xml,${encodeURIComponent(await answer.text())}`;
      here.set(`${kind} ${number}`, found);
      changed();
    } catch { /* it is asked for again */ }
  }
  async function round() {
    const waiting = all.filter(([kind, number]) => !here.has(`${kind} ${number}`));
    const line = async () => { for (let next = waiting.shift(); next; next = waiting.shift()) await one(next); };
    await Promise.all(Array.from({ length: AT_ONCE }, line));
    if (asking) { asking = false; changed(); }
    if (here.size < all.length) setTimeout(round, AGAIN_MS);
  }
  round();

  return {
    motion: (number) => here.get(`motion ${number}`) ?? null,
    still: (number) => here.get(`still ${number}`) ?? null,
    total: all.length,
    get came() { return here.size; },
    get asking() { return asking; },
  };
}
