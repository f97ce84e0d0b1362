// @ts-check
// What gives out first, marked on the figure where it lies: a patch on limb or trunk that goes with every pose.
import { PATCHES } from "./constants.js";
import { outline } from "./layers.js";
import { cross, dot, from, plus, scaled, squareTo, unit, way } from "./vectors.js";

/** @typedef {import("./motion.js").Stop} Stop */
/** @typedef {import("./motion.js").Patch} Patch */
/** @typedef {import("./motion.js").Place} Place */
/** @typedef {import("./motion.js").PlacedPatch} PlacedPatch */
/** @typedef {import("./motion.js").Points} Points */
/** @typedef {import("./motion.js").Row} Row */
/** @typedef {import("./view.js").View} View */

const SIDES = ["left", "right"];
const WORKING = "right"; // of a one-sided motion as it is drawn
const BLOBS = 4; // along a patch
const AWAY = -0.3; // a patch that looks farther away than this is behind what it lies on; chosen by eye
const TOWARD_EYE = 0.95; // looks nearly at the eye: its number stands farther out on the body; chosen by eye
const BEND = 3, STRAIGHT = 0.1, LEAST = 0.03; // how much a joint's bend says of where its limb's front is; chosen

/** @param {ArrayLike<number>} a @param {ArrayLike<number>} b @param {number} share */
const between = (a, b, share) => plus(a, way(a, b), share);
/** @param {...ArrayLike<number>} ways */
const sum = (...ways) => ways.reduce((/** @type {Place} */ all, each) => plus(all, each), /** @type {Place} */ ([0, 0, 0]));

/**
 * The places and the fronts of a body in one pose.
 * @param {Row} row
 * @param {Points} point
 */
function body(row, point) {
  /** @param {string} name */
  const at = (name) => from(row, point[name]);
  const forward = unit(way(at("thoracic"), at("chest_front")));
  const left = unit(way(at("shoulder_side_right"), at("shoulder_side_left")));
  const hipsLeft = unit(way(at("hip_right"), at("hip_left")));
  const up = unit(way(at("pelvis"), at("lumbar")));
  /** @type {Record<string, Place>} */
  const middle = {
    seat: plus(at("pelvis"), up, 0.03),
    waist: plus(at("lumbar"), forward, 0.105),
    chest: between(at("thoracic"), at("chest_front"), 0.48),
  };
  /** @param {string} side */
  function legFront(side) {
    const [hip, knee, ankle] = ["hip", "knee", "ankle"].map((name) => at(`${name}_${side}`));
    const foot = unit(way(at(`heel_${side}`), at(`toe_${side}`)));
    return sum(scaled(way(between(hip, ankle, 0.5), knee), BEND), scaled(foot, STRAIGHT));
  }
  /** The side to which the elbow bends. @param {string} side */
  function armFront(side) {
    const [shoulder, elbow, wrist] = ["shoulder", "elbow", "wrist"].map((name) => at(`${name}_${side}`));
    const hanging = cross(unit(way(shoulder, elbow)), left);
    return sum(scaled(way(elbow, between(shoulder, wrist, 0.5)), BEND), scaled(hanging, STRAIGHT), scaled(forward, LEAST));
  }
  return {
    /** @param {string} name @param {string} side @returns {Place} */
    place: (name, side) => middle[name] ?? at(`${name}_${side}`),
    /** @param {Patch} patch @param {string} side @returns {Place} */
    front(patch, side) {
      if (patch.goes_by === "leg") return legFront(side);
      if (patch.goes_by === "arm") return armFront(side);
      return patch.limb === "leg" ? cross(hipsLeft, up) : forward;
    },
    /** @param {Patch} patch @param {string} side */
    outer: (patch, side) => scaled(patch.limb === "arm" || patch.start === "chest" ? left : hipsLeft, side === "left" ? 1 : -1),
  };
}

/**
 * Where a patch lies, and which way it looks.
 * @param {ReturnType<typeof body>} here
 * @param {Patch} patch
 * @param {string} side
 */
function lie(here, patch, side) {
  const start = here.place(patch.start, side), end = here.place(patch.end, side);
  const along = unit(way(start, end));
  const ways = { front: here.front(patch, side), outer: here.outer(patch, side) };
  /** @type {Record<string, Place>} */
  const to = { ...ways, back: scaled(ways.front, -1), inner: scaled(ways.outer, -1), middle: ways.front };
  const looks = squareTo(to[patch.toward], along);
  const [first, last] = patch.shares;
  const middles = Array.from({ length: BLOBS }, (_, at) =>
    plus(between(start, end, first + ((last - first) * at) / (BLOBS - 1)), looks, patch.off_m));
  return { middles, looks };
}

/**
 * The patches of what gives out first in one pose, the first of them last, for it lies on top; `rank` counts from 0,
 * `part` is its share of people.
 * @param {Stop[]} stops
 * @param {Row} row
 * @param {Points} point
 * @param {View} view
 * @returns {PlacedPatch[]}
 */
export function placedPatches(stops, row, point, view) {
  const here = body(row, point);
  /** @type {Record<string, Patch[]>} */
  const patches = PATCHES;
  return stops.flatMap((stop, rank) => (patches[stop.name] ?? []).flatMap((patch) =>
    SIDES.filter((side) => (patch.twice || side === WORKING) && isMeant(stop, patch, side)).map((side) => {
      const { middles, looks } = lie(here, patch, side);
      const flats = outline(middles.flatMap((at) => [...view.flat(at), patch.radius_m]));
      const straight = Math.abs(dot(looks, view.toward)) > TOWARD_EYE;
      return {
        layer: patch.limb === "trunk" ? "trunk" : `${patch.limb}_${side}`,
        flats, rank, part: stop.part,
        behind: dot(looks, view.toward) < AWAY,
        middle: view.flat(between(middles[0], middles[BLOBS - 1], 0.5)),
        out: view.flat(straight ? here.outer(patch, side) : looks),
      };
    }))).toReversed();
}

/** @param {Stop} stop @param {Patch} patch @param {string} side */
function isMeant(stop, patch, side) {
  return !stop.side || !patch.twice || (stop.side === "working") === (side === WORKING);
}
