// The show, its clock, its beeps and its words, without a browser.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";

import { makeClock } from "../../src/everyrung/static/show/clock.js";
import { makeShow, placeAt } from "../../src/everyrung/static/show/show.js";
import { signalAt } from "../../src/everyrung/static/show/signal.js";
import { makeSides } from "../../src/everyrung/static/show/sides.js";
import { clockWords, countWords, lessWords, loadWords, makeWords } from "../../src/everyrung/static/show/words.js";

const sheet = JSON.parse(readFileSync(process.env.EVERYRUNG_TEST_SHEET, "utf8"));
const works = (show) => show.spans.filter((span) => span.work);
const counted = (show) => works(show).find((span) => span.work.reps && !span.work.timed);

test("the span of a moment holds it, at every end and just before it", () => {
  const show = makeShow(sheet);
  for (const [at, span] of show.spans.entries()) {
    assert.equal(show.indexAt(span.at_ms), at);
    assert.equal(show.indexAt(span.end_ms - 1), at);
  }
  assert.equal(show.indexAt(show.totalMs + 5000), show.spans.length - 1);
});

test("a search by halves finds what a search one by one finds", () => {
  const entries = [0, 3, 3.5, 9, 20].map((at_ms) => ({ at_ms }));
  for (let ms = -1; ms < 22; ms += 0.5) {
    const slow = Math.max(0, entries.findLastIndex((entry) => entry.at_ms <= ms));
    assert.equal(placeAt(entries, ms), slow, `at ${ms}`);
  }
});

test("repetitions are counted up from one, the last one to the end of its bout", () => {
  const show = makeShow(sheet), span = counted(show), { reps, rep_ms } = span.work;
  assert.deepEqual(show.count(span.at_ms), { rep: 1, of: reps });
  assert.deepEqual(show.count(span.at_ms + rep_ms), { rep: 2, of: reps });
  assert.deepEqual(show.count(span.end_ms - 1), { rep: reps, of: reps });
});

test("a bout that the clock ends counts its seconds down", () => {
  const show = makeShow(sheet), span = works(show).find((each) => each.work.timed);
  assert.deepEqual(show.count(span.at_ms), { seconds: (span.end_ms - span.at_ms) / 1000, until: "end" });
  assert.deepEqual(show.count(span.end_ms - 1), { seconds: 1, until: "end" });
});

test("before work the seconds until it starts are counted, whatever lies between", () => {
  const show = makeShow(sheet), first = works(show)[0];
  assert.ok(first.at_ms > 0);
  assert.deepEqual(show.count(0), { seconds: Math.ceil(first.at_ms / 1000), until: "work" });
  assert.deepEqual(show.count(first.at_ms - 1), { seconds: 1, until: "work" });
});

test("the phases of a repetition follow one another and begin again with each", () => {
  const show = makeShow(sheet), span = counted(show), { phases, rep_ms } = span.work;
  for (const rep of [0, 1]) {
    let at = span.at_ms + rep * rep_ms;
    for (const [phase, length] of phases) {
      assert.equal(show.phaseAt(at).phase, phase);
      at += length;
      assert.equal(show.phaseAt(at - 1).phase, phase);
    }
  }
  assert.equal(show.phaseAt(0).phase, "");
});

test("the sides of an alternating set take turns, left first", () => {
  const show = makeShow(sheet);
  const span = works(show).find((each) => show.cells[each.cell].rungs[0].sides === "alternating");
  assert.equal(show.phaseAt(span.at_ms).side, "left");
  assert.equal(show.phaseAt(span.at_ms + span.work.rep_ms).side, "right");
});

test("a set is repeated from getting into position for its first bout", () => {
  const show = makeShow(sheet);
  for (const span of works(show)) {
    const ready = show.readyOf(span.at_ms), there = show.spanAt(ready);
    assert.equal(there.cell, span.cell);
    const first = works(show).find((each) => each.cell === span.cell);
    assert.ok(ready <= first.at_ms);
    const settles = show.spans.some((each) => each.cell === span.cell && each.kind === "getting into position" && each.at_ms < first.at_ms);
    assert.equal(there.kind, settles ? "getting into position" : "work");
  }
});

test("back goes to the beginning of a set, and soon after it to the one before", () => {
  const show = makeShow(sheet), later = works(show)[3];
  const begins = show.startOf(later.at_ms + 3000);
  assert.equal(show.spanAt(begins).cell, later.cell);
  assert.notEqual(show.spanAt(show.startOf(begins + 500)).cell, later.cell);
  assert.equal(show.startOf(0), 0);
});

test("a cue is read as long as it is said, and two seconds at least", () => {
  const show = makeShow(sheet), track = Object.keys(sheet.variants[0].script)[0];
  const [at, end, , place] = sheet.variants[0].script[track][0];
  assert.equal(show.cueAt(track, at).words, sheet.words[place]);
  assert.equal(show.cueAt(track, Math.max(end, at + 2000) - 1)?.words, sheet.words[place]);
  assert.equal(show.cueAt("no such track", at), null);
  assert.equal(show.cuesFrom(track, at - 1, 1)[0].words, sheet.words[place]);
});

test("what is taken away is a variant of its own, and undone it is the whole again", () => {
  const show = makeShow(sheet), fork = show.fork(0), whole = show.totalMs;
  assert.ok(fork);
  show.take(fork);
  assert.equal(show.totalMs, whole - fork.less_ms);
  assert.deepEqual(show.gone, sheet.variants[fork.onto].cut);
  assert.equal(show.undoable(fork.until_ms), null);
  assert.equal(show.undoable(fork.until_ms - 1), fork);
  show.undo();
  assert.equal(show.totalMs, whole);
  show.taken = [99];
  assert.deepEqual(show.taken, []);
});

test("one side done and the other not is owed, until it is done or dismissed", () => {
  const show = makeShow(sheet), sides = makeSides(show);
  const cell = show.cells.findIndex((each) => each.bouts.length === 2);
  const [one, other] = works(show).filter((span) => span.cell === cell);
  sides.jumped(0, one.at_ms);
  sides.upTo(one.end_ms);
  assert.deepEqual(sides.owed(cell), []); // its own set is still on
  assert.deepEqual(sides.owed(), [[cell, other.side]]);
  const kept = sides.kept;
  sides.waive([cell]);
  assert.deepEqual(sides.owed(), []);
  const again = makeSides(show);
  again.kept = kept;
  assert.deepEqual(again.owed(), [[cell, other.side]]);
  again.jumped(one.end_ms, other.at_ms);
  again.upTo(other.end_ms);
  assert.deepEqual(again.owed(), []);
});

test("a clock that was let go passes at its speed, and stands where it was paused", (context) => {
  context.mock.timers.enable({ apis: ["Date"] });
  let now = 1000;
  context.mock.method(performance, "now", () => now);
  const clock = makeClock(null, 3);
  clock.seek(500);
  now += 1000;
  assert.equal(clock.nowMs(), 500);
  clock.go();
  now += 1000;
  assert.equal(clock.nowMs(), 3500);
  assert.ok(Math.abs(clock.soundsAt(6500) - (now / 1000 + 1)) < 1e-9);
  clock.pause();
  now += 1000;
  assert.equal(clock.nowMs(), 3500);
  clock.seek(-5);
  assert.equal(clock.nowMs(), 0);
});

test("a clock does not run while the sound was taken away from it", () => {
  const audio = { currentTime: 2, state: "running" };
  const clock = makeClock(audio);
  clock.go();
  audio.currentTime = 3;
  assert.deepEqual([clock.runs, clock.nowMs()], [true, 1000]);
  audio.state = "interrupted";
  assert.deepEqual([clock.runs, clock.playing], [false, true]);
});

test("times and counts read as on a clock", () => {
  assert.deepEqual([0, 1, 59_001, 60_000, 3_599_999, -5].map(clockWords), ["0:00", "0:01", "1:00", "1:00", "60:00", "0:00"]);
  assert.deepEqual(countWords({ rep: 3, of: 8 }), [3, "of 8"]);
  assert.deepEqual(countWords({ seconds: 1, until: "work" }), [1, "second to the work"]);
  assert.deepEqual(countWords({ seconds: 9, until: "end" }), [9, "seconds left"]);
  assert.equal(lessWords(null), "3 minutes less");
});

test("what is held is said with the hand that holds it", () => {
  const bout = works(makeShow(sheet))[0].work;
  assert.equal(loadWords({ ...bout, load: "10 lb", hand: "right" }), "10 lb, right hand");
  assert.equal(loadWords({ ...bout, load: "2 x 10 lb", hand: "both" }), "2 x 10 lb");
  assert.equal(loadWords({ ...bout, load: "", hand: null }), "");
});

test("every moment has its words, and work is never called getting ready", () => {
  const show = makeShow(sheet), words = makeWords(show, makeSides(show));
  for (const span of show.spans) {
    const cell = show.cellOf(span), name = words.name(span, cell);
    assert.ok(name);
    assert.equal(name.startsWith("Get ready: "), Boolean(cell) && !span.work);
    if (span.side) assert.equal(words.side(span, cell), span.side.toUpperCase());
    if (span.work?.load) assert.ok(words.kit(span, cell).startsWith(span.work.load));
  }
});

test("a set in waves says who works where, and its last one what is still to come", () => {
  const cells = [0, 1];
  const turns = [[["A", "curl (ball)"], ["B", "lunge"], ["C", "rest"]], [["A", "lunge"], ["B", "rest"], ["C", "curl (ball)"]], [["A", "rest"], ["B", "curl (ball)"], ["C", "lunge"]]];
  const show = makeShow({ ...sheet, waves: [{ cells, round: "One", people: 9, at_ms: [], who: [], turns }] });
  const words = makeWords(show, makeSides(show));
  const at = (cell) => show.spans.find((span) => span.cell === cell && span.work);
  assert.equal(words.kit(at(0), show.cells[0]), "A: curl (ball) · B: lunge · C: rest");
  assert.equal(words.kit(at(1), show.cells[1]), "A: lunge · B: rest · C: curl (ball); then A: rest · B: curl (ball) · C: lunge");
  assert.ok(!words.kit(at(2), show.cells[2]).includes("A:"));
});

test("light says ready before work, go at its start and stop at its end, and stays for a second and a half at least", () => {
  const show = makeShow(sheet);
  for (const span of works(show)) {
    const at = show.indexAt(span.at_ms), after = show.spans[at + 1];
    assert.equal(signalAt(show, span.at_ms), "go");
    assert.equal(signalAt(show, span.end_ms - 1), "");
    if (at > 0 && !show.spans[at - 1].work) assert.equal(signalAt(show, span.at_ms - 1), "ready");
    if (after && !after.work) assert.equal(signalAt(show, span.end_ms), "stop");
  }
  let since = 0, before = signalAt(show, 0);
  for (let ms = 100; ms < show.totalMs; ms += 100) {
    const now = signalAt(show, ms);
    if (now === before) continue;
    if (before === "go" || before === "stop") assert.ok(ms - since >= 1500); // WCAG 2.2, 2.3.1: under three flashes a second
    [before, since] = [now, ms];
  }
});
