// What is said at length, in pieces that are read from afar.
import assert from "node:assert/strict";
import { test } from "node:test";

import { pieceAt, pieces } from "../../src/everyrung/static/stage/pieces.js";

const LONG = "A muscle that is sore for a day or two is usual. A joint that hurts, or soreness that gets worse, is not: ask a professional.";

test("what fits is one piece", () => {
  assert.deepEqual(pieces("Fetch the ball. Go to the wall."), ["Fetch the ball. Go to the wall."]);
});

test("words part at a stop, else at a comma, else near the middle, and none is lost", () => {
  assert.deepEqual(pieces(LONG), [
    "A muscle that is sore for a day or two is usual.", "A joint that hurts, or soreness that gets worse,", "is not: ask a professional.",
  ]);
  assert.deepEqual(pieces("You may feel it in the buttocks and the front of the thigh for a day or two."), [
    "You may feel it in the buttocks", "and the front of the thigh for a day or two.",
  ]);
  for (const text of [LONG, "word ".repeat(60).trim(), "x".repeat(200)]) assert.equal(pieces(text).join(" "), text);
  assert.ok(pieces("word ".repeat(60).trim()).every((each) => each.length <= 74));
});

test("each piece is seen in its turn, the last one as long as the words stay", () => {
  const cue = { at_ms: 1000, end_ms: 9000, words: LONG }, [first, second, third] = pieces(LONG);
  assert.deepEqual([1000, 3900, 4400, 7000, 7900, 8999, 9500].map((ms) => pieceAt(cue, ms)), [first, first, second, second, third, third, third]);
});
