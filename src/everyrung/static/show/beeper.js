// @ts-check
// Beeps by the sound card's clock: it is given them ahead of time, so that nothing that keeps the page busy moves one.

/** @typedef {import("./run-sheet.js").BeepEntry} Beep */
/** @typedef {[pitch_hz: number, length_s: number, amplitude: number]} Tone */

const AHEAD_MS = 1500; // chosen, because pages that nobody looks at get their timers once a second
const LATE_MS = 40; // chosen, because a beep that is later confuses more than none
const ATTACK_S = 0.002, RELEASE_S = 0.01; // as in the sound files

/**
 * @param {AudioContext} audio
 * @param {import("./clock.js").Clock} clock
 * @param {Record<string, Tone>} tones by kind, the same that the sound files have
 * @param {{speed?: number, tick: (fill: () => void) => void}} options `tick` calls what it is given some ten times a second
 */
export function makeBeeper(audio, clock, tones, { speed = 1, tick }) {
  /** @type {Beep[]} */
  let list = [];
  /** @type {OscillatorNode[]} */
  let waiting = [];
  let next = 0, loud = true;
  const volume = new GainNode(audio);
  volume.connect(audio.destination);

  /** @param {string} kind @param {number} at_s */
  function sound(kind, at_s) {
    const [pitch, length, amplitude] = tones[kind];
    const tone = new OscillatorNode(audio, { frequency: pitch });
    const level = new GainNode(audio, { gain: 0 });
    const start = Math.max(at_s, audio.currentTime);
    level.gain.setValueAtTime(0, start);
    level.gain.linearRampToValueAtTime(amplitude, start + ATTACK_S);
    level.gain.setValueAtTime(amplitude, start + length - RELEASE_S);
    level.gain.linearRampToValueAtTime(0, start + length);
    tone.connect(level).connect(volume);
    tone.start(start);
    tone.stop(start + length);
    waiting.push(tone);
    tone.onended = () => { waiting = waiting.filter((each) => each !== tone); };
  }

  function fill() {
    if (!clock.playing) return;
    const now = clock.nowMs();
    while (next < list.length && list[next][0] < now + AHEAD_MS * speed) {
      const [ms, kind] = list[next++];
      if (ms >= now - LATE_MS * speed) sound(kind, clock.soundsAt(ms));
    }
  }
  tick(fill);

  return {
    /** The beeps of the show as it is now; what is already waiting to sound is taken back. @param {Beep[]} beeps */
    take(beeps) {
      list = beeps;
      for (const tone of waiting) tone.stop();
      waiting = [];
      const now = clock.nowMs();
      next = list.findIndex(([ms]) => ms >= now);
      if (next < 0) next = list.length;
      fill();
    },
    get loud() { return loud; },
    set loud(value) { loud = value; volume.gain.value = value ? 1 : 0; },
  };
}
