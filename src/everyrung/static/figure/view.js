// @ts-check
// From metres in the room to the flat picture, as on paper: 0 degrees from the body's right, 90 from its front.
import { cross, dot } from "./vectors.js";

/** @typedef {ReturnType<typeof makeView>} View */
/** @typedef {import("./motion.js").Flat} Flat */

/** @param {number} azimuthDeg @param {number} aboveDeg @param {boolean} mirrored left for right */
export function makeView(azimuthDeg, aboveDeg, mirrored) {
  const round = (azimuthDeg * Math.PI) / 180, above = (aboveDeg * Math.PI) / 180;
  /** @type {import("./motion.js").Place} */
  const toward = [-Math.cos(round) * Math.cos(above), -Math.sin(round) * Math.cos(above), Math.sin(above)];
  const right = [Math.sin(round), -Math.cos(round), 0];
  const up = cross(toward, right);
  const hand = mirrored ? -1 : 1;
  return {
    toward,
    level: aboveDeg === 0,
    /** @param {ArrayLike<number>} place @returns {Flat} */
    flat: (place) => [hand * dot(place, right), -dot(place, up)],
    /** How far away along the floor; height does not make a knee farther. @param {number} x @param {number} y */
    depth: (x, y) => x * Math.cos(round) + y * Math.sin(round),
  };
}
