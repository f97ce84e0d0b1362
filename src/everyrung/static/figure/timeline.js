// @ts-check
// A motion read once: all numbers of a frame in one row, and the row of any moment, smooth between the frames.

/** @typedef {import("./motion.js").Frame} Frame */
/** @typedef {import("./motion.js").LaidPiece} LaidPiece */
/** @typedef {import("./motion.js").LaidThing} LaidThing */
/** @typedef {import("./motion.js").Motion} Motion */
/** @typedef {import("./motion.js").Row} Row */
/** @typedef {ReturnType<typeof readMotion>} Timeline */

/** @param {string[]} names of the points @param {Frame} frame @returns {Row} */
function lay(names, frame) {
  /** @type {number[]} */
  const row = [];
  for (const name of names) row.push(...frame.points[name]);
  row.push(...frame.flesh);
  for (const thing of frame.things) {
    row.push(...thing.at, ...(thing.to ?? thing.at), thing.size_m);
    for (const shape of thing.shapes) for (const blob of shape.blobs) row.push(...blob);
  }
  return Float64Array.from(row);
}

/** Where each thing's numbers stand in a row. @param {import("./motion.js").Thing[]} things @param {number} begins */
function places(things, begins) {
  let offset = begins;
  return things.map((thing) => {
    /** @type {LaidThing} */
    const found = { ...thing, offset, shapes: [] };
    offset += 7;
    for (const shape of thing.shapes) {
      found.shapes.push({ solid: shape.solid, offset, count: shape.blobs.length });
      offset += 4 * shape.blobs.length;
    }
    return found;
  });
}

/**
 * How fast every number changes at every frame; at the ends of phases and steps the body is still.
 * @param {Row[]} rows
 * @param {number[]} times
 * @param {Set<number>} still
 * @returns {Row[]}
 */
function slopes(rows, times, still) {
  return rows.map((row, at) => {
    const slope = new Float64Array(row.length);
    if (at === 0 || at === rows.length - 1 || still.has(times[at])) return slope;
    const before = times[at] - times[at - 1], after = times[at + 1] - times[at];
    for (let i = 0; i < row.length; i++) {
      const came = (row[i] - rows[at - 1][i]) / before, goes = (rows[at + 1][i] - row[i]) / after;
      slope[i] = (after * came + before * goes) / (before + after);
    }
    return slope;
  });
}

/**
 * Flesh that lies on the floor in the frames stays on it between them: a curve may swing below.
 * @param {Row} row
 * @param {LaidPiece[]} pieces
 */
function onFloor(row, pieces) {
  for (const { offset, radii } of pieces) {
    for (let at = 0; at < radii.length; at++) {
      const height = offset + 3 * at + 2;
      if (row[height] < radii[at]) row[height] = radii[at];
    }
  }
  return row;
}

/** @param {Motion} motion */
export function readMotion(motion) {
  const frames = motion.frames;
  const names = Object.keys(frames[0].points);
  const rows = frames.map((frame) => lay(names, frame));
  const times = frames.map((frame) => frame.at_ms);
  const still = new Set([0]);
  let ends = 0;
  for (const phase of motion.phases) still.add((ends += phase.ms));
  for (const ms of motion.stops_ms) still.add(ms);
  const slope = slopes(rows, times, still);
  const flesh = 3 * names.length;
  /** @type {Row} */
  const out = new Float64Array(rows[0].length);
  let offset = flesh;
  const pieces = motion.pieces.map((piece) => {
    const found = { ...piece, offset, count: piece.radii.length };
    offset += 3 * piece.radii.length;
    return found;
  });
  return {
    motion,
    rows,
    pieces,
    loopMs: motion.loop_ms,
    /** @type {import("./motion.js").Points} */
    point: Object.fromEntries(names.map((name, at) => [name, 3 * at])),
    things: places(frames[0].things, offset),
    /** The row at a moment; the same array each time, so take out what must last. @param {number} ms @returns {Row} */
    at(ms) {
      if (rows.length === 1) return rows[0];
      const now = ((ms % motion.loop_ms) + motion.loop_ms) % motion.loop_ms;
      let next = 1;
      while (times[next] <= now && next < times.length - 1) next++;
      const one = rows[next - 1], two = rows[next], wide = times[next] - times[next - 1];
      const t = (now - times[next - 1]) / wide;
      const rest = 1 - t;
      const a = rest * rest * (1 + 2 * t), b = t * t * (3 - 2 * t);
      const c = t * rest * rest * wide, d = -t * t * rest * wide;
      const v = slope[next - 1], w = slope[next];
      for (let i = 0; i < out.length; i++) out[i] = a * one[i] + b * two[i] + c * v[i] + d * w[i];
      return onFloor(out, pieces);
    },
  };
}
