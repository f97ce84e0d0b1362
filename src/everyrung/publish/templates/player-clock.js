// The session's clock: the sound card's own, so that what is seen can't drift from what is heard.
const AHEAD_S = 1.5; // chosen, because hidden pages get their timers once a second
const TIMER_MS = 60;
const LEAD_S = 0.15; // chosen, because sound can't start in the past
const ATTACK_S = 0.002, RELEASE_S = 0.01; // as the recorded beeps

// Where a browser has no Web Audio: the same clock, silent.
class SilentContext {
  constructor() { this.sum = 0; this.since = null; this.state = "suspended"; }
  get currentTime() { return this.sum + (this.since === null ? 0 : (performance.now() - this.since) / 1000); }
  async resume() { if (this.since === null) this.since = performance.now(); this.state = "running"; }
  async suspend() { this.sum = this.currentTime; this.since = null; this.state = "suspended"; }
}

class SessionClock {
  constructor(data) {
    this.data = data;
    this.anchorS = 0; this.anchorMs = 0; this.nextBeep = 0; this.loud = true; this.wanted = false;
    this.context = null; this.bus = null; this.ended = () => {};
  }

  // Whether time runs: the phone may have stopped the sound without being asked (a call).
  get running() { return this.wanted && this.context !== null && this.context.state === "running"; }

  // Ms on the session's clock.
  now() {
    if (!this.context) return this.anchorMs;
    const gone = Math.max(0, this.context.currentTime - this.anchorS) * 1000;
    return Math.min(this.data.total_ms, this.anchorMs + gone);
  }

  // From a press only: browsers give no sound before one.
  async play() {
    if (!this.context) {
      const Context = window.AudioContext || window.webkitAudioContext;
      this.context = Context ? new Context() : new SilentContext();
      this.seek(this.anchorMs);
      setInterval(() => this.schedule(), TIMER_MS);
    }
    this.wanted = true;
    await this.context.resume();
  }

  // What is scheduled waits with the clock.
  async pause() {
    this.wanted = false;
    if (this.context) await this.context.suspend();
  }

  seek(ms) {
    this.anchorMs = ms;
    this.nextBeep = this.data.beeps.findIndex(([at]) => at >= ms);
    if (this.nextBeep < 0) this.nextBeep = this.data.beeps.length;
    if (!this.context) return;
    this.anchorS = this.context.currentTime + LEAD_S;
    if (!this.context.createGain) return;
    if (this.bus) this.bus.disconnect(); // whatever was scheduled is not heard
    this.bus = this.context.createGain();
    this.bus.gain.value = this.loud ? 1 : 0;
    this.bus.connect(this.context.destination);
  }

  sound(loud) {
    this.loud = loud;
    if (this.bus) this.bus.gain.value = loud ? 1 : 0;
  }

  // Gives the sound card every beep of the next AHEAD_S, by its own time.
  schedule() {
    if (!this.bus) return;
    const { beeps } = this.data, nowS = this.context.currentTime;
    while (this.nextBeep < beeps.length) {
      const [at, kind] = beeps[this.nextBeep];
      const atS = this.anchorS + (at - this.anchorMs) / 1000;
      if (atS > nowS + AHEAD_S) return;
      if (atS >= nowS) this.beep(atS, this.data.tones[kind]); // too late is worse than none
      this.nextBeep += 1;
    }
  }

  beep(atS, tone) {
    const voice = this.context.createOscillator(), shape = this.context.createGain();
    const endS = atS + tone.duration_ms / 1000;
    voice.frequency.value = tone.pitch_hz;
    shape.gain.setValueAtTime(0, atS);
    shape.gain.linearRampToValueAtTime(tone.amplitude, atS + ATTACK_S);
    shape.gain.setValueAtTime(tone.amplitude, endS - RELEASE_S);
    shape.gain.linearRampToValueAtTime(0, endS);
    voice.connect(shape).connect(this.bus);
    voice.start(atS);
    voice.stop(endS);
  }
}
