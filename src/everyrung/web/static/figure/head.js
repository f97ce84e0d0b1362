// The head: an egg seen from anywhere, hair over crown and back, and a nose, so that front and back can be told.
import { cross, dot, from, plus, scaled, size, squareTo, unit, way } from "./vectors.js";

const STEPS = 24;
const BREADTH = 0.78;
export const HAIR = [-0.8, 0.6, 0];
// Bridge, tip and lip; then the eyes: forward, up and left in half axes of the head.
export const NOSE = [[0.99, 0.02, 0], [1.24, -0.24, 0], [0.93, -0.32, 0]];
export const EYES = [[0.86, 0.14, 0.4], [0.86, 0.14, -0.4]];
const TURNS = Array.from({ length: STEPS + 1 }, (_, at) => (Math.PI * at) / STEPS);

// Three half axes, m: forward, up, left.
export function headOf(row, point) {
  const at = from(row, point.head);
  const up = way(at, from(row, point.head_top));
  const back = way(at, from(row, point.head_back));
  const forward = squareTo(scaled(back, -1), unit(up));
  const half = -dot(back, forward);
  return { at, forward: scaled(forward, half * 0.94), up, left: scaled(cross(unit(up), forward), half * BREADTH) };
}

export function place(head, [forward, up, left]) {
  return plus(plus(plus(head.at, head.forward, forward), head.up, up), head.left, left);
}

function arc(head, view, start, through) {
  return TURNS.map((turn) => view.flat(place(head, plus(scaled(start, Math.cos(turn)), through, Math.sin(turn)))));
}

// Flat outlines: the rim, the hair, the nose (null from behind) and the eyes that are seen.
export function headOutlines(head, view) {
  const eye = unit([head.forward, head.up, head.left].map((axis) => dot(view.toward, axis) / dot(axis, axis)));
  const start = squareTo([0.3, 0.4, 0.86], eye);
  const across = cross(eye, start);
  const rim = [...arc(head, view, start, across), ...arc(head, view, start, scaled(across, -1)).reverse()];
  const parting = unit(HAIR);
  const end = unit(cross(eye, parting));
  const turned = (one, other) => (dot(one, other) < 0 ? scaled(one, -1) : one);
  const onRim = turned(cross(end, eye), parting), onParting = turned(cross(end, parting), eye);
  const away = dot(head.forward, view.toward) < -0.3 * size(head.forward);
  return {
    rim,
    hair: [...arc(head, view, end, onRim), ...arc(head, view, end, onParting).reverse()],
    nose: away ? null : NOSE.map((one) => view.flat(place(head, one))),
    eyes: EYES.filter((one) => dot(one, eye) > 0.3).map((one) => view.flat(place(head, one))),
  };
}
