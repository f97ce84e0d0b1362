// @ts-check
// Flesh and things as solids: the hull round some balls, found by asking in every direction which reaches farthest.
import * as three from "../vendor/three.module.min.js";
import { EYES, HAIR, NOSE } from "./constants.js";
import { headOf, place } from "./head.js";
import { unit } from "./vectors.js";

/** @type {any} minified, and without types */
const THREE = three;

/** @typedef {import("./motion.js").Row} Row */
/** @typedef {import("./room.js").Looks} Looks */
/**
 * Puts x, y, z and radius of ball `at` into `balls`, from `to` on.
 * @typedef {(row: Row, at: number, balls: Float64Array, to: number) => void} SetBall
 */
/** @typedef {{userData: {move: (row: Row) => void}}} Solid a mesh or group, with what moves it */

const ACROSS = 36, DOWN = 24;
const RIM_M = 0.006; // how far the ink rim stands out
// Turned askew, so that no direction lies along an edge of a box, where two corners reach equally far.
const ALL_ROUND = new THREE.SphereGeometry(1, ACROSS, DOWN).rotateX(1.7).rotateY(0.31).rotateZ(0.47);

/**
 * A solid round `count` balls, which `set` places at every moment.
 * @param {number} count
 * @param {any} material
 * @param {SetBall} set
 * @param {number} swell how far it stands out, m
 * @returns {Solid}
 */
export function hull(count, material, set, swell = 0) {
  const geometry = ALL_ROUND.clone();
  const ways = ALL_ROUND.attributes.position.array;
  const positions = geometry.attributes.position;
  const mesh = new THREE.Mesh(geometry, material);
  mesh.frustumCulled = false; // its place changes with every moment
  const balls = new Float64Array(4 * count);
  mesh.userData.move = (/** @type {Row} */ row) => {
    for (let at = 0; at < count; at++) set(row, at, balls, 4 * at);
    const out = positions.array;
    for (let i = 0; i < out.length; i += 3) {
      const x = ways[i], y = ways[i + 1], z = ways[i + 2];
      let most = -Infinity, best = 0;
      for (let b = 0; b < balls.length; b += 4) {
        const reach = balls[b] * x + balls[b + 1] * y + balls[b + 2] * z + balls[b + 3];
        if (reach > most) [most, best] = [reach, b];
      }
      const radius = balls[best + 3] + swell;
      out[i] = balls[best] + radius * x;
      out[i + 1] = balls[best + 1] + radius * y;
      out[i + 2] = balls[best + 2] + radius * z;
    }
    positions.needsUpdate = true;
  };
  return mesh;
}

/**
 * A piece of flesh; pieces of the trunk get an ink rim, which shows where no other piece lies before it.
 * @param {import("./motion.js").LaidPiece} piece
 * @param {Looks} looks
 */
export function fleshMeshes(piece, looks) {
  /** @type {SetBall} */
  const set = (row, at, balls, to) => {
    const i = piece.offset + 3 * at;
    balls[to] = row[i];
    balls[to + 1] = row[i + 1];
    balls[to + 2] = row[i + 2];
    balls[to + 3] = piece.radii[at];
  };
  if (piece.layer !== "trunk") return [hull(piece.count, piece.layer.endsWith("left") ? looks.left : looks.right, set)];
  return [hull(piece.count, looks.paper, set), hull(piece.count, looks.rim, set, RIM_M)];
}

/** A thing that is moved: its blobs stand in the row. @param {import("./motion.js").LaidThing} thing @param {Looks} looks */
export function movedMeshes(thing, looks) {
  return thing.shapes.flatMap((shape) => {
    /** @type {SetBall} */
    const set = (row, at, balls, to) => balls.set(row.subarray(shape.offset + 4 * at, shape.offset + 4 * at + 4), to);
    return solid(shape.count, thing.kind, shape.solid, set, looks);
  });
}

/**
 * What stands in the room keeps its place; the hatch of a wall is for paper only.
 * @param {import("./motion.js").Thing} thing
 * @param {Looks} looks
 */
export function roomMeshes(thing, looks) {
  const shown = thing.shapes.filter((shape) => thing.kind !== "wall" || !shape.solid);
  return shown.flatMap((shape) => {
    /** @type {SetBall} */
    const set = (_, at, balls, to) => balls.set(shape.blobs[at], to);
    return solid(shape.blobs.length, thing.kind, shape.solid, set, looks);
  });
}

/**
 * @param {number} count
 * @param {import("./motion.js").ThingKind} kind
 * @param {boolean} inked
 * @param {SetBall} set
 * @param {Looks} looks
 */
function solid(count, kind, inked, set, looks) {
  const look = inked ? looks.right : kind === "wall" ? looks.glass : kind === "ball" ? looks.ball : looks.thing;
  const found = [hull(count, look, set)];
  if (!inked && kind !== "wall") found.push(hull(count, looks.rim, set, RIM_M));
  return found;
}

/** An egg with hair, nose and eyes. @param {import("./motion.js").Points} point @param {Looks} looks @returns {Solid} */
export function headMesh(point, looks) {
  const group = new THREE.Group();
  group.matrixAutoUpdate = false;
  const ball = new THREE.SphereGeometry(1, 24, 16);
  const rim = new THREE.Mesh(ball, looks.rim);
  rim.scale.setScalar(1.05);
  const cap = new THREE.SphereGeometry(1.04, 24, 10, 0, 2 * Math.PI, 0, Math.PI / 2);
  const crown = new THREE.Mesh(cap, looks.right);
  crown.quaternion.setFromUnitVectors(new THREE.Vector3(0, 1, 0), new THREE.Vector3(...unit(HAIR)));
  group.add(new THREE.Mesh(ball, looks.paper), rim, crown, nose(looks), ...EYES.map((eye) => dot(eye, looks)));
  group.userData.move = (/** @type {Row} */ row) => {
    const head = headOf(row, point);
    group.matrix.makeBasis(...[head.forward, head.up, head.left].map((axis) => new THREE.Vector3(...axis)));
    group.matrix.setPosition(...place(head, [0, 0, 0]));
    group.matrixWorldNeedsUpdate = true;
  };
  return group;
}

/** @param {Looks} looks */
function nose(looks) {
  const [bridge, tip, lip] = NOSE;
  const corners = [bridge, [lip[0], lip[1], 0.17], [lip[0], lip[1], -0.17], tip].map(([x, y, z]) => [x * 0.97, y, z]);
  const faces = [[0, 3, 1], [0, 2, 3], [1, 3, 2]];
  const geometry = new THREE.BufferGeometry();
  geometry.setAttribute("position", new THREE.Float32BufferAttribute(faces.flat().flatMap((at) => corners[at]), 3));
  geometry.computeVertexNormals();
  return new THREE.Mesh(geometry, looks.nose);
}

/** An eye. @param {number[]} at @param {Looks} looks */
function dot(at, looks) {
  const mesh = new THREE.Mesh(new THREE.SphereGeometry(0.07, 10, 8), looks.right);
  mesh.position.set(...unit(at));
  return mesh;
}
