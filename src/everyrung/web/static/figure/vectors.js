// The little arithmetic of points in space; places are arrays of x, y, z in m, z up.

export const plus = (a, b, times = 1) => [a[0] + times * b[0], a[1] + times * b[1], a[2] + times * b[2]];
export const way = (a, b) => plus(b, a, -1);
export const scaled = (a, times) => [times * a[0], times * a[1], times * a[2]];
export const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
export const size = (a) => Math.sqrt(dot(a, a));
export const unit = (a) => (size(a) > 1e-9 ? scaled(a, 1 / size(a)) : [0, 0, 1]);
export const squareTo = (a, axis) => unit(plus(a, axis, -dot(a, axis)));
export const from = (row, offset) => [row[offset], row[offset + 1], row[offset + 2]];
