// @ts-check
// The head: an egg seen from anywhere, hair over crown and back, and a nose, so that front and back can be told.
import { BREADTH, EYES, FACE_SHARE, HAIR, NOSE, STEPS } from "./constants.js";
import { cross, dot, from, plus, scaled, size, squareTo, unit, way } from "./vectors.js";

/** @typedef {import("./motion.js").Flat} Flat */
/** @typedef {import("./motion.js").Place} Place */
/** @typedef {ArrayLike<number>} Vector */
/** @typedef {import("./view.js").View} View */
/** @typedef {ReturnType<typeof headOf>} Head its middle and three half axes, m */

const TURNS = Array.from({ length: STEPS + 1 }, (_, at) => (Math.PI * at) / STEPS);

/** Three half axes, m: forward, up, left. @param {import("./motion.js").Row} row @param {import("./motion.js").Points} point */
export function headOf(row, point) {
  const at = from(row, point.head);
  const up = way(at, from(row, point.head_top));
  const back = way(at, from(row, point.head_back));
  const forward = squareTo(scaled(back, -1), unit(up));
  const half = -dot(back, forward);
  return { at, forward: scaled(forward, half * FACE_SHARE), up, left: scaled(cross(unit(up), forward), half * BREADTH) };
}

/** Where a point of the head is in the room. @param {Head} head @param {number[]} along its shares of the half axes */
export function place(head, [forward, up, left]) {
  return plus(plus(plus(head.at, head.forward, forward), head.up, up), head.left, left);
}

/**
 * Half a circle on the head, from one way through another.
 * @param {Head} head
 * @param {View} view
 * @param {Vector} start
 * @param {Vector} through
 */
function arc(head, view, start, through) {
  return TURNS.map((turn) => view.flat(place(head, plus(scaled(start, Math.cos(turn)), through, Math.sin(turn)))));
}

/** Flat outlines: the rim, the hair, the nose (null from behind) and the eyes that are seen. @param {Head} head @param {View} view */
export function headOutlines(head, view) {
  const eye = unit([head.forward, head.up, head.left].map((axis) => dot(view.toward, axis) / dot(axis, axis)));
  const start = squareTo([0.3, 0.4, 0.86], eye);
  const across = cross(eye, start);
  const rim = [...arc(head, view, start, across), ...arc(head, view, start, scaled(across, -1)).toReversed()];
  const parting = unit(HAIR);
  const end = unit(cross(eye, parting));
  /** @param {Vector} one @param {Vector} other */
  const turned = (one, other) => (dot(one, other) < 0 ? scaled(one, -1) : one);
  const onRim = turned(cross(end, eye), parting), onParting = turned(cross(end, parting), eye);
  const away = dot(head.forward, view.toward) < -0.3 * size(head.forward);
  return {
    rim,
    hair: [...arc(head, view, end, onRim), ...arc(head, view, end, onParting).toReversed()],
    nose: away ? null : NOSE.map((one) => view.flat(place(head, one))),
    eyes: EYES.filter((one) => dot(one, eye) > 0.3).map((one) => view.flat(place(head, one))),
  };
}
