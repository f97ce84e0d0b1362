// What gives out first lies on the figure where it should: checked on a body that stands with its arms hanging.
import assert from "node:assert/strict";
import { test } from "node:test";

import { PATCHES } from "../../src/everyrung/static/figure/constants.js";
import { placedPatches } from "../../src/everyrung/static/figure/patches.js";
import { makeView } from "../../src/everyrung/static/figure/view.js";

// m; it faces -y and its left is +x, as all figures do.
const PLACES = { pelvis: [0, 0, 1], lumbar: [0, 0.05, 1.1], thoracic: [0, 0.08, 1.3], chest_front: [0, -0.14, 1.3], neck: [0, 0, 1.5] };
for (const [side, x] of [["left", 1], ["right", -1]]) {
  Object.assign(PLACES, {
    [`hip_${side}`]: [0.09 * x, 0, 0.95], [`knee_${side}`]: [0.09 * x, 0, 0.5], [`ankle_${side}`]: [0.09 * x, 0, 0.08],
    [`heel_${side}`]: [0.09 * x, 0.04, 0.03], [`toe_${side}`]: [0.09 * x, -0.18, 0.02],
    [`shoulder_side_${side}`]: [0.22 * x, 0, 1.45], [`shoulder_${side}`]: [0.18 * x, 0, 1.42],
    [`elbow_${side}`]: [0.18 * x, 0, 1.12], [`wrist_${side}`]: [0.18 * x, 0, 0.86],
  });
}
const names = Object.keys(PLACES);
const point = Object.fromEntries(names.map((name, at) => [name, 3 * at]));
const row = Float64Array.from(names.flatMap((name) => PLACES[name]));
const fromRight = makeView(0, 0, false), fromFront = makeView(90, 0, false);
const placed = (stops, view = fromRight) => placedPatches(stops, row, point, view);
const only = (name, side) => placed([{ name, part: 0.5, side }]);

test("every part of the body has its patch, on both sides or in the middle", () => {
  for (const [name, patches] of Object.entries(PATCHES)) {
    const found = only(name);
    assert.equal(found.length, patches.reduce((sum, patch) => sum + (patch.twice ? 2 : 1), 0), name);
    assert.ok(found.flatMap((each) => each.flats.flat()).every(Number.isFinite), name);
  }
});

test("front and back look the way the body looks, standing with straight joints", () => {
  const forward = fromRight.flat([0, -1, 0])[0]; // which way in the picture
  for (const part of ["thigh", "upper arm", "shoulder"]) {
    for (const [end, sign] of [["front", 1], ["back", -1]]) {
      for (const each of only(`${end} of the ${part}`)) assert.ok(each.out[0] * forward * sign > 0.9, `${end} of the ${part}`);
    }
  }
  for (const each of [...only("calf"), ...only("back")]) assert.ok(each.out[0] * forward < -0.9);
});

test("a bent knee takes its front along: up, on a thigh that lies level", () => {
  const bent = Float64Array.from(row);
  bent.set([-0.09, -0.45, 0.95], point.knee_right);
  bent.set([-0.09, -0.45, 0.5], point.ankle_right);
  const [patch] = placedPatches([{ name: "front of the thigh", part: 1, side: "working" }], bent, point, fromRight);
  assert.ok(patch.out[1] < -0.9); // the picture's y goes down
});

test("of a one-sided set only the side that gives out is marked: the working one is drawn as the right", () => {
  assert.deepEqual(only("calf", "working").map((each) => each.layer), ["leg_right"]);
  assert.deepEqual(only("calf", "other").map((each) => each.layer), ["leg_left"]);
});

test("what looks away from the eye lies behind, and the first lies on top", () => {
  const seen = placed([{ name: "chest", part: 0.6 }, { name: "back", part: 0.3 }], fromFront);
  assert.deepEqual(seen.map((each) => [each.rank, each.behind]), [[1, true], [0, false], [0, false]]);
});
