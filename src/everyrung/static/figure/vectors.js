// @ts-check
// The little arithmetic of points in space; places are arrays of x, y, z in m, z up.

/** @typedef {import("./motion.js").Place} Place */
/** @typedef {ArrayLike<number>} Vector */

/** @param {Vector} a @param {Vector} b @returns {Place} */
export const plus = (a, b, times = 1) => [a[0] + times * b[0], a[1] + times * b[1], a[2] + times * b[2]];
/** From one to the other. @param {Vector} a @param {Vector} b */
export const way = (a, b) => plus(b, a, -1);
/** @param {Vector} a @param {number} times @returns {Place} */
export const scaled = (a, times) => [times * a[0], times * a[1], times * a[2]];
/** @param {Vector} a @param {Vector} b */
export const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
/** @param {Vector} a @param {Vector} b @returns {Place} */
export const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
/** @param {Vector} a */
export const size = (a) => Math.sqrt(dot(a, a));
/** @param {Vector} a @returns {Place} */
export const unit = (a) => (size(a) > 1e-9 ? scaled(a, 1 / size(a)) : [0, 0, 1]);
/** The part of a way that is square to an axis, of length 1. @param {Vector} a @param {Vector} axis */
export const squareTo = (a, axis) => unit(plus(a, axis, -dot(a, axis)));
/** The place that begins in a row at an offset. @param {Vector} row @param {number} offset @returns {Place} */
export const from = (row, offset) => [row[offset], row[offset + 1], row[offset + 2]];
