// @ts-check
// Outlines in ink on a canvas: paper halo, ink lines, fills that flow together; strokes go with the picture's height.

import {
  EYE, FLOOR, GHOST, GHOST_DASHES, HALO, HATCH, HATCH_APART, HATCH_DEEP, HATCH_FROM, RIM, RIM_DASH, RIM_DASHES, SEAM, STROKE_SHARE,
} from "./constants.js";

/** @typedef {import("./motion.js").Flat} Flat */
/** @typedef {import("./motion.js").Layer} Layer */
/** @typedef {import("./motion.js").Sheet} Sheet */
/** @typedef {ReturnType<typeof makePen>} Pen */

const FINEST_PX = 1, FAR_LIGHT = 0.62, NEAREST_HATCH_PX = 7; // of a screen; chosen by eye

/** @param {CanvasRenderingContext2D} context @param {number} heightPx @param {import("./colours.js").Colours} colour */
export function makePen(context, heightPx, colour) {
  const stroke = Math.max(FINEST_PX, heightPx * STROKE_SHARE);
  return { context, colour, stroke, halo: stroke * HALO };
}

/** @param {CanvasRenderingContext2D} context @param {Sheet} sheet @param {Flat[][]} outlines */
function trace(context, sheet, outlines, closed = true) {
  context.beginPath();
  for (const flats of outlines) {
    for (let at = 0; at < flats.length; at++) {
      const x = sheet.x + flats[at][0] * sheet.scale, y = sheet.y + flats[at][1] * sheet.scale;
      if (at) context.lineTo(x, y);
      else context.moveTo(x, y);
    }
    if (closed) context.closePath();
  }
}

/** @param {Pen} pen @param {string} colour @param {number} wide */
function stroked({ context }, colour, wide) {
  context.strokeStyle = colour;
  context.lineWidth = wide;
  context.stroke();
}

/** @param {Pen} pen @param {Sheet} sheet @param {Layer} layer */
export function inkLayer(pen, sheet, layer) {
  const { context, colour, stroke, halo } = pen;
  context.lineJoin = context.lineCap = "round";
  trace(context, sheet, layer.outlines);
  if (layer.ink === "through") return inkThrough(pen);
  if (layer.ink === "rim") return inkRim(pen);
  if (layer.ink === "paper") {
    if (layer.name !== "head") stroked(pen, colour.paper, 2 * (stroke + halo));
    stroked(pen, colour.ink, 2 * stroke);
  } else stroked(pen, colour.paper, 2 * halo);
  context.fillStyle = layer.ink === "ink" ? colour.ink : colour.paper;
  context.fill("nonzero");
  if (layer.ink === "far") {
    context.globalAlpha = FAR_LIGHT;
    context.fillStyle = colour.soft;
    context.fill("nonzero");
    context.globalAlpha = 1;
  }
  if (layer.name === "head") inkFace(pen, sheet, layer);
}

/** A line round what is seen through: a ball before the face leaves a head. @param {Pen} pen */
function inkRim(pen) {
  stroked(pen, pen.colour.paper, pen.stroke + 2 * pen.halo);
  stroked(pen, pen.colour.ink, pen.stroke);
}

/** A rim in dashes of ink on paper, which is seen on ink as well as on paper. @param {Pen} pen */
function inkThrough(pen) {
  const { context, colour, stroke } = pen;
  stroked(pen, colour.paper, stroke * RIM);
  context.lineCap = "butt";
  context.setLineDash(RIM_DASHES.map((each) => each * stroke));
  stroked(pen, colour.ink, stroke * RIM_DASH);
  context.setLineDash([]);
}

const FAINTEST = 0.25; // how much of the tone a patch has that hardly counts; chosen, so that it can still be seen
const PATTERN_PX = 4.5, NUMBER_PX = 8; // apart, and half as wide as its disc; chosen by eye

/**
 * A part that gives out: the more often, the darker its tone; each rank has a pattern of its own. Behind what it lies on
 * it is dashed.
 * @param {Pen} pen
 * @param {Sheet} sheet
 * @param {import("./motion.js").PlacedPatch} patch
 */
export function inkPatch(pen, sheet, { flats, rank, part, behind }) {
  const { context, colour, stroke } = pen;
  trace(context, sheet, [flats]);
  if (behind) return inkThrough(pen);
  stroked(pen, colour.paper, 2 * stroke);
  context.fillStyle = colour.paper;
  context.fill();
  context.globalAlpha = FAINTEST + (1 - FAINTEST) * part;
  context.fillStyle = colour.now;
  context.fill();
  context.globalAlpha = 1;
  inkPattern(pen, sheet, flats, rank);
  trace(context, sheet, [flats]);
  stroked(pen, colour.ink, Math.max(1, stroke * SEAM));
}

/** Stripes both ways, one way, or across; in ink inside an outline. @param {Pen} pen @param {Sheet} sheet @param {Flat[]} flats @param {number} rank */
function inkPattern(pen, sheet, flats, rank) {
  const { context, colour } = pen;
  context.save();
  trace(context, sheet, [flats]);
  context.clip();
  const xs = flats.map(([x]) => sheet.x + x * sheet.scale), ys = flats.map(([, y]) => sheet.y + y * sheet.scale);
  const left = Math.min(...xs), top = Math.min(...ys), wide = Math.max(...xs) - left, high = Math.max(...ys) - top;
  context.beginPath();
  /** @param {number} x0 @param {number} y0 @param {number} x1 @param {number} y1 */
  function line(x0, y0, x1, y1) {
    context.moveTo(left + x0, top + y0);
    context.lineTo(left + x1, top + y1);
  }
  for (let off = 0; off < wide + high; off += PATTERN_PX) {
    if (rank < 2) line(off, 0, off - high, high);
    if (rank === 0) line(wide - off, 0, wide - off + high, high);
    if (rank >= 2) line(0, off, wide, off);
  }
  stroked(pen, colour.ink, 1);
  context.restore();
}

/**
 * Each rank's number once, in a disc beside its nearest patch.
 * @param {Pen} pen
 * @param {Sheet} sheet
 * @param {import("./motion.js").PlacedPatch[]} patches
 */
export function inkNumbers(pen, sheet, patches) {
  const { context, colour } = pen;
  context.textAlign = "center";
  context.textBaseline = "middle";
  context.font = `bold ${1.4 * NUMBER_PX}px sans-serif`;
  /** @type {Flat[]} */
  const taken = [];
  for (const rank of [...new Set(patches.map((patch) => patch.rank))].sort()) {
    const here = patches.filter((patch) => patch.rank === rank);
    const [x, y] = away(sheet, here.find((patch) => !patch.behind) ?? here[0], taken);
    taken.push([x, y]);
    context.beginPath();
    context.arc(x, y, NUMBER_PX, 0, 2 * Math.PI);
    context.fillStyle = colour.paper;
    context.fill();
    stroked(pen, colour.ink, 1.5);
    context.fillStyle = colour.ink;
    context.fillText(String(rank + 1), x, y + 0.5);
  }
}

/**
 * Where a patch's number stands: beside it, the way it looks, and farther where another number is.
 * @param {Sheet} sheet
 * @param {import("./motion.js").PlacedPatch} patch
 * @param {Flat[]} taken
 * @returns {Flat}
 */
function away(sheet, { middle: [x, y], out: [dx, dy], flats }, taken) {
  const length = Math.hypot(dx, dy), [ux, uy] = length > 0.3 ? [dx / length, dy / length] : [1, 0];
  const half = Math.max(...flats.map(([fx, fy]) => (fx - x) * ux + (fy - y) * uy));
  /** @param {number} off @returns {Flat} */
  const at = (off) => [sheet.x + x * sheet.scale + ux * off, sheet.y + y * sheet.scale + uy * off];
  let off = half * sheet.scale + NUMBER_PX + 3;
  while (taken.some(([tx, ty]) => Math.hypot(tx - at(off)[0], ty - at(off)[1]) < 2 * NUMBER_PX + 2)) off += 3;
  return at(off);
}

/** @param {Pen} pen @param {Sheet} sheet @param {Layer} head */
function inkFace(pen, sheet, { hair = [], nose, eyes = [] }) {
  const { context, colour, stroke } = pen;
  trace(context, sheet, [hair]);
  context.fillStyle = colour.ink;
  context.fill();
  stroked(pen, colour.ink, stroke * SEAM);
  if (nose) {
    trace(context, sheet, [nose], false);
    context.fillStyle = colour.paper;
    context.fill();
    stroked(pen, colour.ink, stroke);
  }
  context.fillStyle = colour.ink;
  for (const [x, y] of eyes) {
    context.beginPath();
    context.arc(sheet.x + x * sheet.scale, sheet.y + y * sheet.scale, stroke * EYE, 0, 2 * Math.PI);
    context.fill();
  }
}

/**
 * A pose as one dashed outline: every piece dashed, then the inside cleared again.
 * @param {Pen} pen
 * @param {Sheet} sheet
 * @param {Layer[]} layers
 */
export function inkGhost(pen, sheet, layers) {
  const { context, colour, stroke } = pen;
  const outlines = layers.flatMap((layer) => layer.outlines);
  trace(context, sheet, outlines);
  context.lineCap = "butt";
  context.setLineDash(GHOST_DASHES.map((each) => each * stroke));
  stroked(pen, colour.soft, stroke * GHOST);
  context.setLineDash([]);
  context.fillStyle = colour.paper;
  context.fill("nonzero");
}

/**
 * The floor seen level is a line, from above a patch; short hatch below the edges nearest to the eye.
 * @param {Pen} pen
 * @param {Sheet} sheet
 * @param {Flat[]} corners
 */
export function inkFloor(pen, sheet, corners) {
  const { context, colour, stroke } = pen;
  /** @type {Flat[]} */
  const sunk = corners.map(([x, y]) => [x, y + stroke / 2 / sheet.scale]);
  context.lineJoin = context.lineCap = "round";
  trace(context, sheet, [sunk], corners.length > 2);
  stroked(pen, colour.ink, stroke * FLOOR);
  const lowest = sunk.reduce((best, [, y], at) => (y > sunk[best][1] ? at : best), 0);
  /** @param {number} step */
  const beside = (step) => sunk[(lowest + step + sunk.length) % sunk.length];
  const ends = corners.length > 2 ? [[beside(-1), sunk[lowest]], [sunk[lowest], beside(1)]] : [sunk];
  context.beginPath();
  for (const [start, end] of ends.map((pair) => [...pair].sort((one, other) => one[0] - other[0]))) {
    const wide = (end[0] - start[0]) * sheet.scale;
    const count = Math.floor(wide / Math.max(stroke * HATCH_APART, NEAREST_HATCH_PX));
    for (let at = 0; at < count; at++) {
      const share = (at + HATCH_FROM) / count;
      const x = sheet.x + sheet.scale * (start[0] + share * (end[0] - start[0]));
      const y = sheet.y + sheet.scale * (start[1] + share * (end[1] - start[1]));
      context.moveTo(x, y);
      context.lineTo(x - stroke * HATCH_DEEP, y + stroke * HATCH_DEEP);
    }
  }
  stroked(pen, colour.ink, stroke * HATCH);
}
