// @ts-check
// What is drawn over what: one moment of a motion as layers of flat outlines, far ones first.
import { BALL_FARTHER_M, BEHIND_M, FAR_SLIMMER, HEAD_NEARER_M, HELD_NEARER_M, LIMB_JOINTS, LIMB_NEARER_M } from "./constants.js";
import { headOf, headOutlines } from "./head.js";

/** @typedef {import("./motion.js").Flat} Flat */
/** @typedef {import("./motion.js").Layer} Layer */
/** @typedef {import("./motion.js").Row} Row */
/** @typedef {import("./motion.js").Thing} Thing */
/** @typedef {import("./timeline.js").Timeline} Timeline */
/** @typedef {import("./view.js").View} View */

const ROUND = 40;
const COS = Array.from({ length: ROUND }, (_, at) => Math.cos((2 * Math.PI * at) / ROUND));
const SIN = Array.from({ length: ROUND }, (_, at) => Math.sin((2 * Math.PI * at) / ROUND));

/** The outline round circles (x, y, radius one after another): in every direction the farthest of them. @param {number[]} circles */
export function outline(circles) {
  /** @type {Flat[]} */
  const found = [];
  for (let turn = 0; turn < ROUND; turn++) {
    let most = -Infinity, best = 0;
    for (let i = 0; i < circles.length; i += 3) {
      const reach = circles[i] * COS[turn] + circles[i + 1] * SIN[turn] + circles[i + 2];
      if (reach > most) [most, best] = [reach, i];
    }
    found.push([circles[best] + circles[best + 2] * COS[turn], circles[best + 1] + circles[best + 2] * SIN[turn]]);
  }
  return found;
}

/** @param {Row} row @param {import("./motion.js").LaidPiece} piece @param {View} view @param {number} slimmer */
function flesh(row, piece, view, slimmer) {
  const circles = [];
  for (let at = 0; at < piece.count; at++) {
    const i = piece.offset + 3 * at;
    circles.push(...view.flat([row[i], row[i + 1], row[i + 2]]), piece.radii[at] * slimmer);
  }
  return outline(circles);
}

/** @param {(Row | import("./motion.js").Blob)[]} blobs @param {View} view */
function shapeOutline(blobs, view) {
  return outline(blobs.flatMap(([x, y, z, radius]) => [...view.flat([x, y, z]), radius]));
}

/**
 * @param {import("./motion.js").ThingKind} kind
 * @param {boolean} held
 * @param {number} depth
 * @param {Flat[]} flats
 * @param {boolean} solid
 * @returns {Layer}
 */
function thingLayer(kind, held, depth, flats, solid) {
  let far = held ? depth - HELD_NEARER_M : depth + (kind === "ball" ? BALL_FARTHER_M : BEHIND_M);
  if (kind === "wall" || kind === "mat") far += 2 * BEHIND_M;
  return { name: kind, depth: far, outlines: [flats], ink: kind === "ball" ? "rim" : solid ? "ink" : "paper" };
}

/** What stands in the room: drawn alike at every moment. @param {Thing[]} room @param {View} view */
export function roomLayers(room, view) {
  return room.flatMap((thing) => {
    const depth = view.depth(thing.at[0], thing.at[1]);
    return thing.shapes.map((shape) =>
      thingLayer(thing.kind, false, depth, shapeOutline(shape.blobs, view), shape.solid));
  });
}

/** @param {Timeline} timeline @param {Row} row @param {View} view */
function movedLayers(timeline, row, view) {
  return timeline.things.flatMap((thing) => {
    const i = thing.offset;
    const depth = view.depth((row[i] + row[i + 3]) / 2, (row[i + 1] + row[i + 4]) / 2);
    return thing.shapes.map((shape) => {
      const begins = Array.from({ length: shape.count }, (_, at) => shape.offset + 4 * at);
      const blobs = begins.map((begin) => row.subarray(begin, begin + 4));
      return thingLayer(thing.kind, thing.to !== null, depth, shapeOutline(blobs, view), shape.solid);
    });
  });
}

/**
 * What the rung is about and the body hides, with the hand that holds it: over everything, in dashes.
 * @param {Timeline} timeline
 * @param {Row} row
 * @param {View} view
 * @returns {Layer[]}
 */
function throughLayers(timeline, row, view) {
  return timeline.motion.through.map(({ thing: number, hands }) => {
    const thing = timeline.things[number];
    const rims = thing.shapes.map((shape) => {
      const begins = Array.from({ length: shape.count }, (_, at) => shape.offset + 4 * at);
      return shapeOutline(begins.map((begin) => row.subarray(begin, begin + 4)), view);
    });
    const held = timeline.pieces.filter((piece) => hands.includes(piece.name));
    return { name: "through", depth: -Infinity, ink: "through", outlines: [...held.map((piece) => flesh(row, piece, view, 1)), ...rims] };
  });
}

/**
 * A leg on the floor behind a step is hidden by it.
 * @param {Row} row
 * @param {import("./motion.js").Points} point
 * @param {string} side
 * @param {Thing[]} room
 * @param {View} view
 */
function behindStep(row, point, side, room, view) {
  return room.some((thing) =>
    thing.kind === "step" && row[point[`toe_${side}`] + 2] < thing.at[2] + thing.size_m / 2 &&
    view.depth(row[point[`ankle_${side}`]], row[point[`ankle_${side}`] + 1]) > view.depth(thing.at[0], thing.at[1]));
}

/** @param {Timeline} timeline @param {Row} row @param {View} view @returns {Layer[]} */
export function bodyLayers(timeline, row, view) {
  const { point, motion } = timeline;
  /** @param {string[]} names */
  const depth = (...names) =>
    names.reduce((sum, name) => sum + view.depth(row[point[name]], row[point[name] + 1]), 0) / names.length;
  /** @type {Map<string, Layer>} */
  const layers = new Map();
  for (const piece of timeline.pieces) {
    if (!layers.has(piece.layer)) {
      const [limb, side] = piece.layer.split("_");
      /** @type {Layer} */
      const made = { name: piece.layer, depth: 0, outlines: [], ink: "paper" };
      if (limb === "trunk") made.depth = depth("pelvis", "neck");
      else {
        made.ink = piece.far ? "far" : "ink";
        const hidden = limb === "leg" && behindStep(row, point, side, motion.room, view);
        made.depth = depth(...LIMB_JOINTS[/** @type {"arm" | "leg"} */ (limb)].map((joint) => `${joint}_${side}`));
        made.depth += hidden ? 2 * BEHIND_M : -LIMB_NEARER_M;
      }
      layers.set(piece.layer, made);
    }
    layers.get(piece.layer)?.outlines.push(flesh(row, piece, view, piece.far ? FAR_SLIMMER : 1));
  }
  const head = headOf(row, point);
  const { rim, hair, nose, eyes } = headOutlines(head, view);
  const near = view.depth(head.at[0], head.at[1]) - HEAD_NEARER_M;
  return [...layers.values(), { name: "head", depth: near, outlines: [rim], ink: "paper", hair, nose, eyes }];
}

/** Everything at a moment, far to near. @param {Timeline} timeline @param {Row} row @param {View} view @param {Layer[]} room */
export function layersAt(timeline, row, view, room) {
  const found = [...bodyLayers(timeline, row, view), ...movedLayers(timeline, row, view), ...room, ...throughLayers(timeline, row, view)];
  return found.sort((one, other) => other.depth - one.depth);
}
