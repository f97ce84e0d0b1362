// Which rung suits whom, and which ball.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";

import { backText } from "../../src/everyrung/static/player/back.js";
import { ballFor, Choices, REST, statureCm } from "../../src/everyrung/static/player/choose.js";
import { setsOf } from "../../src/everyrung/static/player/sets.js";
import { makeShow } from "../../src/everyrung/static/show/show.js";

const sheet = JSON.parse(readFileSync(process.env.EVERYRUNG_TEST_SHEET, "utf8"));
const KIT = { ball: 1, dumbbells: 2, chair: 1, band: 1, step: 1, sliders: 1 };
const sets = () => setsOf(makeShow(sheet), KIT);

test("a rung that serves as several things stands once, with all of them", () => {
  for (const [place, set] of sets().entries()) {
    const kinds = set.rungs.flatMap((rung) => rung.kinds);
    assert.equal(kinds.length, sheet.cells[place].rungs.length);
    assert.ok(set.rungs[0].kinds.includes("as led"));
    const faces = set.rungs.map(({ kinds: _kinds, needs: _needs, looks: _looks, ...rung }) => JSON.stringify({ ...rung, kind: null }));
    assert.equal(new Set(faces).size, faces.length);
  }
});

test("nobody is sent to a rung whose kit they lack", () => {
  const choices = new Choices(sets());
  for (const level of ["new", "regular", "strong"]) {
    choices.level = level;
    for (const pieces of [{}, { ball: 1 }, { dumbbells: 1 }, { ball: 1, dumbbells: 2 }]) {
      choices.pieces = pieces;
      for (const place of choices.sets.keys()) {
        const rung = choices.rung(place);
        if (rung) assert.deepEqual(choices.missing(rung), []);
      }
    }
  }
});

test("nobody is told to rest whose kit allows a version, not even first-timers in a late round", () => {
  const choices = new Choices(sets());
  choices.level = "new";
  const late = choices.sets.findIndex((set) => set.late);
  assert.ok(late >= 0);
  assert.notEqual(choices.of(late), REST);
  assert.ok(choices.rung(late)?.kinds.some((kind) => kind === "easier" || kind === "no kit"));
  choices.choose(late, 0);
  assert.equal(choices.of(late), 0);
});

/** A move's sets, in the order of its rounds. @param {Choices} choices */
const rounds = (choices) => {
  const first = choices.sets.findIndex((set) => set.main && !set.late);
  const { move, block } = choices.sets[first];
  return choices.sets.flatMap((set, place) => (set.move === move && set.block === block ? [place] : []));
};

test("four left or more is a step up in the next round, none or one a step down, and nobody leaves the ladder", () => {
  const choices = new Choices(sets());
  choices.level = "regular";
  const [one, two] = rounds(choices);
  assert.equal(choices.height(two), 1);
  for (const [left, height] of [[4, 2], [2, 1], [1, 0]]) {
    choices.answer(one, left);
    assert.equal(choices.height(two), height, `${left} left`);
  }
  choices.level = "strong";
  choices.answers.clear();
  choices.answer(one, 4);
  assert.equal(choices.height(two), 2);
});

test("in a round that is not led for first-timers nobody new goes up", () => {
  const choices = new Choices(sets());
  choices.level = "new";
  const [one, , three] = rounds(choices);
  choices.answer(one, 4);
  assert.ok(choices.late(three));
  assert.equal(choices.height(three), 0);
});

test("what goes back to the coach is rows of a history file", () => {
  const choices = new Choices(sets()), [one] = rounds(choices);
  choices.answer(one, 4);
  const [heads, row] = backText('Legs, "slow"', "Ilka", new Date(2026, 10, 30), choices).split("\n").map((line) => line.split(","));
  const rung = choices.rung(one), [move, version] = rung.address.split("/");
  assert.deepEqual(heads, ["date", "session", "person", "cell", "move", "version", "load", "reps", "left", "source"]);
  assert.deepEqual(row, ["2026-11-30", '"Legs', ' ""slow"""', "Ilka", choices.sets[one].ref, move, version, "", String(rung.bouts[0].reps), "4", "player"]);
});

test("a stature is read as people write it", () => {
  for (const text of ["165", "165 cm", "1.65 m", "1,65", "5 ft 5", "5'5\"", "5’ 5”"]) assert.equal(statureCm(text), 165, text);
  for (const text of ["", "tall", "5 ft 5 ft"]) assert.ok(Number.isNaN(statureCm(text)), text);
});

test("a ball is looked up by stature, and only on the chart", () => {
  const rows = [{ to_cm: 160, sizes: "45", words: "small" }, { to_cm: 200, sizes: "65", words: "large" }];
  const chart = { balls: { seat: rows }, stature_cm: [140, 200] };
  assert.equal(ballFor(chart, 160).seat.words, "small");
  assert.equal(ballFor(chart, 161).seat.words, "large");
  assert.equal(ballFor(chart, 139), null);
  assert.equal(ballFor(chart, Number.NaN), null);
});
