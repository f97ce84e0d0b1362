// Where the show is. The audio clock is its master, so that beeps and counts can't drift apart; a page that is busy
// only draws later.

export function makeClock(audio, speed = 1) {
  let base = 0, since = null;
  const seconds = () => (audio ? audio.currentTime : performance.now() / 1000);
  return {
    get playing() { return since !== null; },
    nowMs: () => base + (since === null ? 0 : (seconds() - since) * 1000 * speed),
    // When a moment of the show sounds, on the audio clock, s.
    soundsAt: (ms) => seconds() + (ms - (base + (since === null ? 0 : (seconds() - since) * 1000 * speed))) / 1000 / speed,
    seek(ms) { base = Math.max(0, ms); if (since !== null) since = seconds(); },
    go() { if (since === null) since = seconds(); },
    pause() { base += since === null ? 0 : (seconds() - since) * 1000 * speed; since = null; },
  };
}
