// @ts-check
// All pictures of a show, in the browser before it starts, so that no lost link can leave one of another move on the
// wall. One that did not come is asked for again until it has.

const AT_ONCE = 6; // chosen, because browsers open no more lines to one server
const AGAIN_MS = 5000, PATIENCE_MS = 15_000; // chosen: a set lasts half a minute, and a picture has some 30 kB
/**
 * What only a screen needs, as publish/stage.py writes it: the tones of the beeps, the signs to stop at, and for which side
 * of the people each figure is turned left for right.
 * @typedef {{
 *   tones: Record<string, import("../show/beeper.js").Tone>,
 *   stop: string[],
 *   motions: Record<string, string>,
 *   stills: Record<string, string>,
 * }} Looks
 */
/** @typedef {[kind: string, name: string]} Picture */
/** @typedef {ReturnType<typeof makePictures>} Pictures */

/** @type {Record<string, (answer: Response) => Promise<any>>} */
const READ = {
  motion: (answer) => answer.json(),
  still: async (answer) => `data:image/svg+xml,${encodeURIComponent(await answer.text())}`,
};

/**
 * @param {Looks} looks
 * @param {(...picture: Picture) => string} address where a picture is
 * @param {() => void} changed is called when one came, and when all were asked for once
 */
export function makePictures(looks, address, changed) {
  /** @param {string} kind @param {Record<string, string>} found @returns {Picture[]} */
  const named = (kind, found) => Object.keys(found).map((key) => [kind, key]);
  const all = [...named("motion", looks.motions), ...named("still", looks.stills)];
  /** @type {Map<string, any>} */
  const here = new Map();
  let asking = all.length > 0; // the first time round

  /** @param {Picture} picture */
  async function one([kind, name]) {
    try {
      const answer = await fetch(address(kind, name), { signal: AbortSignal.timeout(PATIENCE_MS) });
      if (!answer.ok) return;
      here.set(`${kind} ${name}`, await READ[kind](answer));
      changed();
    } catch { /* it is asked for again */ }
  }
  async function round() {
    const waiting = all.filter(([kind, name]) => !here.has(`${kind} ${name}`));
    const line = async () => { for (let next = waiting.shift(); next; next = waiting.shift()) await one(next); };
    await Promise.all(Array.from({ length: AT_ONCE }, line));
    if (asking) { asking = false; changed(); }
    if (here.size < all.length) setTimeout(round, AGAIN_MS);
  }
  round();

  return {
    /** @param {string} key @returns {import("../figure/motion.js").Motion | null} */
    motion: (key) => here.get(`motion ${key}`) ?? null,
    /** Its address. @param {string} key @returns {string | null} */
    still: (key) => here.get(`still ${key}`) ?? null,
    total: all.length,
    get came() { return here.size; },
    get asking() { return asking; },
  };
}
