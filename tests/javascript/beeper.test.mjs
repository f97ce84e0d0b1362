// Beeps, on a sound card made of notes on paper.
import assert from "node:assert/strict";
import { test } from "node:test";

import { makeBeeper } from "../../src/everyrung/static/show/beeper.js";
import { makeClock } from "../../src/everyrung/static/show/clock.js";

const TONES = { go: [880, 0.2, 0.5], rep: [440, 0.06, 0.3] };

class Node_ {
  constructor(audio) { this.audio = audio; this.gain = { value: 1, setValueAtTime() {}, linearRampToValueAtTime() {} }; }
  connect(next) { return next; }
}
class Tone extends Node_ {
  constructor(audio, { frequency }) { super(audio); this.hz = frequency; }
  start(at) { this.audio.started.push([this.hz, at]); }
  stop(at) { if (at === undefined) this.audio.started = this.audio.started.filter(([hz, when]) => hz !== this.hz || when <= this.audio.currentTime); }
}
globalThis.GainNode = Node_;
globalThis.OscillatorNode = Tone;

function card() {
  const audio = { currentTime: 10, state: "running", started: [] };
  const clock = makeClock(audio);
  let fill = () => {};
  const beeper = makeBeeper(audio, clock, TONES, { tick: (each) => { fill = each; } });
  return { audio, clock, beeper, tick: () => fill() };
}

test("each beep is given to the sound card ahead of its time, for its very time", () => {
  const { audio, clock, beeper, tick } = card();
  clock.go();
  beeper.take([[200, "go"], [1400, "rep"], [2600, "rep"]]);
  assert.deepEqual(audio.started, [[880, 10.2], [440, 11.4]]);
  audio.currentTime = 11.2;
  tick();
  assert.equal(audio.started.length, 3);
  assert.ok(Math.abs(audio.started[2][1] - 12.6) < 1e-9);
});

test("what was scheduled is silent after a jump, and only what comes then sounds", () => {
  const { audio, clock, beeper } = card();
  clock.go();
  beeper.take([[500, "go"], [1000, "rep"]]);
  clock.seek(900);
  beeper.take([[500, "go"], [1000, "rep"]]);
  assert.deepEqual(audio.started.map(([hz, at]) => [hz, Math.round(at * 1000)]), [[440, 10_100]]);
});

test("a beep that would come too late does not come at all", () => {
  const { audio, clock, beeper, tick } = card();
  clock.go();
  beeper.take([[2000, "go"], [4000, "rep"]]);
  audio.currentTime = 12.6; // the page was held up
  tick();
  assert.deepEqual(audio.started.map(([hz]) => hz), [440]);
});

test("nothing sounds while the show stands still", () => {
  const { audio, beeper, tick } = card();
  beeper.take([[0, "go"]]);
  tick();
  assert.deepEqual(audio.started, []);
});
