// @ts-check
// Where the show is. The sound card's clock is its master, so that beeps and counts can't drift apart; a page that is
// busy only draws later.

/** @typedef {ReturnType<typeof makeClock>} Clock */

/**
 * A clock that stands still at 0. Without `audio` it goes by the page's own time.
 * @param {BaseAudioContext | null} audio
 * @param {number} speed so many times as fast as the wall
 */
export function makeClock(audio, speed = 1) {
  /** @type {number | null} */
  let since = null;
  let base = 0;
  const seconds = () => (audio ? audio.currentTime : performance.now() / 1000);
  const nowMs = () => base + (since === null ? 0 : (seconds() - since) * 1000 * speed);
  return {
    /** Whether it was let go. */
    get playing() { return since !== null; },
    /** Whether time really passes: a phone may stop the sound, and the clock with it, unasked (a call). */
    get runs() { return since !== null && (!audio || audio.state === "running"); },
    nowMs,
    /** When a moment of the show sounds, on the sound card's clock, s. @param {number} ms */
    soundsAt: (ms) => seconds() + (ms - nowMs()) / 1000 / speed,
    /** @param {number} ms */
    seek(ms) { base = Math.max(0, ms); if (since !== null) since = seconds(); },
    go() { if (since === null) since = seconds(); },
    pause() { base = nowMs(); since = null; },
  };
}

const WOKEN_MS = 1500; // for the sound to start; chosen, because where there is some it takes a tenth of that

/** Wakes the sound at a press; whether it runs. Without a sound card a browser may wait for ever. @param {AudioContext} audio */
export async function wakeSound(audio) {
  await Promise.race([audio.resume(), new Promise((done) => setTimeout(done, WOKEN_MS))]);
  return audio.state === "running";
}
