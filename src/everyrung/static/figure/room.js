// @ts-check
// The room for a figure to turn: looks in the page's ink and paper, light, floor, and where the eye stands.
import * as three from "../vendor/three.module.min.js";

/** @type {any} minified, and without types */
const THREE = three;

/** @typedef {import("./motion.js").Place} Place */
/** @typedef {import("./timeline.js").Timeline} Timeline */
/** @typedef {ReturnType<typeof makeLooks>} Looks */

export function makeLooks() {
  const matt = (extra = {}) => new THREE.MeshLambertMaterial(extra);
  return {
    left: matt(), right: matt(), paper: matt(), ball: matt(), nose: matt({ side: THREE.DoubleSide }),
    thing: matt({ flatShading: true }),
    glass: new THREE.MeshBasicMaterial({ transparent: true, opacity: 0.35, side: THREE.DoubleSide, depthWrite: false }),
    rim: new THREE.MeshBasicMaterial({ side: THREE.BackSide }),
    grid: new THREE.LineBasicMaterial(),
  };
}

/**
 * Ink for the right side and hair, soft ink for the left, paper for the trunk.
 * @param {Looks} looks
 * @param {import("./colours.js").Colours} colour
 */
export function colourLooks(looks, colour) {
  const ink = new THREE.Color(colour.ink), paper = new THREE.Color(colour.paper), soft = new THREE.Color(colour.soft);
  looks.right.color.copy(ink).lerp(soft, 0.25);
  looks.left.color.copy(soft).lerp(paper, 0.35);
  const raised = paper.clone().lerp(ink, dark(paper) ? 0.12 : 0); // on a dark page paper must still show its shape
  for (const look of [looks.paper, looks.ball, looks.thing, looks.nose]) look.color.copy(raised);
  looks.rim.color.copy(ink);
  looks.glass.color.set(colour.line);
  looks.grid.color.set(colour.line);
}
/** @param {any} colour */
const dark = (colour) => colour.getHSL({}).l < 0.5;

/** @param {any} scene */
export function addLights(scene) {
  const lamp = new THREE.DirectionalLight(0xffffff, 1.1);
  lamp.position.set(-1.5, -2, 3);
  scene.add(lamp, new THREE.HemisphereLight(0xffffff, 0xd8d2c6, 2.2));
}

const FLOOR_M = 0.25; // between lines

/** A grid over the patch of floor, on whole quarters of a metre. @param {Place[]} corners @param {any} material */
export function floorLines(corners, material) {
  const edges = [0, 1].map((axis) => {
    const found = corners.map((corner) => corner[axis]);
    return [Math.floor(Math.min(...found) / FLOOR_M) - 1, Math.ceil(Math.max(...found) / FLOOR_M) + 1];
  });
  const [[x0, x1], [y0, y1]] = edges;
  /** @type {Place[]} */
  const ends = [];
  for (let x = x0; x <= x1; x++) ends.push([x, y0, 0], [x, y1, 0]);
  for (let y = y0; y <= y1; y++) ends.push([x0, y, 0], [x1, y, 0]);
  const places = ends.flatMap(([x, y]) => [x * FLOOR_M, y * FLOOR_M, -0.004]);
  const geometry = new THREE.BufferGeometry();
  geometry.setAttribute("position", new THREE.Float32BufferAttribute(places, 3));
  return new THREE.LineSegments(geometry, material);
}

/** The ball that holds every frame: its middle and radius, m. @param {Timeline} timeline */
export function extent(timeline) {
  const box = new THREE.Box3();
  const at = new THREE.Vector3();
  for (const row of timeline.rows) {
    for (const piece of timeline.pieces) {
      for (let i = 0; i < piece.count; i++) box.expandByPoint(at.fromArray(row, piece.offset + 3 * i));
    }
    for (const i of Object.values(timeline.point)) box.expandByPoint(at.fromArray(row, i));
    for (const thing of timeline.things) {
      for (const shape of thing.shapes) {
        for (let i = 0; i < shape.count; i++) {
          const radius = row[shape.offset + 4 * i + 3];
          at.fromArray(row, shape.offset + 4 * i);
          box.expandByPoint(at.clone().addScalar(radius)).expandByPoint(at.addScalar(-radius));
        }
      }
    }
  }
  for (const thing of timeline.motion.room) {
    if (thing.kind === "wall") continue; // it may be cut off
    for (const shape of thing.shapes) for (const blob of shape.blobs) box.expandByPoint(at.fromArray(blob));
  }
  box.expandByScalar(0.08);
  return { middle: box.getCenter(new THREE.Vector3()), radius: box.getSize(new THREE.Vector3()).length() / 2 };
}

/**
 * Azimuth as on paper (0 from the body's right, 90 from its front), height over the horizon; degrees.
 * @param {number} azimuthDeg
 * @param {number} aboveDeg
 */
export function eyeFrom(azimuthDeg, aboveDeg) {
  const round = THREE.MathUtils.degToRad(azimuthDeg), above = THREE.MathUtils.degToRad(aboveDeg);
  return new THREE.Vector3(-Math.cos(round) * Math.cos(above), -Math.sin(round) * Math.cos(above), Math.sin(above));
}
