// Beeps by the audio clock: a look-ahead of 0.35 s, filled every 60 ms by a worker, so that nothing that keeps the page
// busy moves one.

const AHEAD_MS = 350;
const worker = new Worker(new URL("./tick.js", import.meta.url), { type: "module" }); // with the page: Start needs no studio

// `tones` are Hz, s and amplitude by kind, the same that the sound files have.
export function makeBeeps(audio, clock, tones, speed = 1) {
  let list = [], next = 0, on = true, waiting = [];

  function sound(kind, at) {
    const [pitch, length, amplitude] = tones[kind];
    const tone = new OscillatorNode(audio, { frequency: pitch });
    const level = new GainNode(audio, { gain: 0 });
    const start = Math.max(at, audio.currentTime);
    level.gain.setValueAtTime(0, start);
    level.gain.linearRampToValueAtTime(amplitude, start + 0.002);
    level.gain.setValueAtTime(amplitude, start + length - 0.01);
    level.gain.linearRampToValueAtTime(0, start + length);
    tone.connect(level).connect(audio.destination);
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
      if (ms >= now - 40 * speed && on) sound(kind, clock.soundsAt(ms));
    }
  }
  worker.onmessage = fill;

  return {
    // A list for the show as it is now; what is already waiting to sound is taken back.
    take(beeps) {
      list = beeps;
      for (const tone of waiting) tone.stop();
      waiting = [];
      const now = clock.nowMs();
      next = list.findIndex(([ms]) => ms >= now);
      if (next < 0) next = list.length;
      fill();
    },
    get on() { return on; },
    set on(value) { on = value; },
  };
}
