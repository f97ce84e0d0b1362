// Which rung suits whom, and which ball.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";

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

test("first-timers rest through the rounds that are not theirs, unless they choose", () => {
  const choices = new Choices(sets());
  choices.level = "new";
  const late = choices.sets.findIndex((set) => set.late);
  assert.ok(late >= 0);
  assert.equal(choices.of(late), REST);
  choices.choose(late, 0);
  assert.equal(choices.of(late), 0);
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
