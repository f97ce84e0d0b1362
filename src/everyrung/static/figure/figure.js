// @ts-check
// A figure that moves at its rung's tempo, drawn in ink on a canvas.
import { colours, watchColours } from "./colours.js";
import { inkFloor, inkGhost, inkLayer, inkPatch, inkNumbers, makePen } from "./inking.js";
import { BEHIND_M, EDGE, BELOW } from "./constants.js";
import { bodyLayers, layersAt, roomLayers } from "./layers.js";
import { makeLoop } from "./loop.js";
import { placedPatches } from "./patches.js";
import { readMotion } from "./timeline.js";
import { makeView } from "./view.js";

/** @typedef {import("./motion.js").Flat} Flat */
/** @typedef {import("./motion.js").Layer} Layer */
/** @typedef {import("./view.js").View} View */
/** @typedef {ReturnType<typeof boxOf>} Box */

/**
 * What holds every frame, m: so the figure does not jump.
 * @param {import("./timeline.js").Timeline} timeline
 * @param {View} view
 * @param {Layer[]} room
 * @param {Flat[]} floor
 */
function boxOf(timeline, view, room, floor) {
  const box = { left: Infinity, top: Infinity, right: -Infinity, bottom: -Infinity };
  /** @param {Flat} at */
  const add = ([x, y]) => {
    box.left = Math.min(box.left, x);
    box.right = Math.max(box.right, x);
    box.top = Math.min(box.top, y);
    box.bottom = Math.max(box.bottom, y);
  };
  for (const row of timeline.rows) {
    for (const layer of layersAt(timeline, row, view, room)) {
      layer.outlines.flat().forEach(add);
      layer.nose?.forEach(add);
    }
  }
  floor.forEach(add);
  return box;
}

/** @param {import("./motion.js").Place[]} corners @param {View} view @returns {Flat[]} */
function floorFlats(corners, view) {
  const flats = corners.map(view.flat);
  if (!view.level) return flats;
  const across = flats.map(([x]) => x);
  return [[Math.min(...across), flats[0][1]], [Math.max(...across), flats[0][1]]];
}

/**
 * As large as the canvas allows, standing on its lower edge.
 * @param {Box} box
 * @param {number} wide
 * @param {number} high
 * @param {import("./inking.js").Pen} pen
 * @returns {import("./motion.js").Sheet}
 */
function sheetOf(box, wide, high, pen) {
  const edge = pen.stroke * EDGE, below = pen.stroke * BELOW;
  const across = box.right - box.left, down = box.bottom - box.top;
  const scale = Math.max(1, Math.min((wide - 2 * edge) / across, (high - 2 * edge - below) / down));
  return { scale, x: wide / 2 - (scale * (box.left + box.right)) / 2, y: high - edge - below - scale * box.bottom };
}

/**
 * @param {HTMLCanvasElement} canvas
 * @param {import("./motion.js").Motion} motion
 * @param {{playing?: boolean, speed?: number, mirrored?: boolean, stops?: import("./motion.js").Stop[]}} options
 * @returns {import("./motion.js").Player}
 */
export function mountFigure(canvas, motion, { playing = true, speed = 1, mirrored = false, stops = [] } = {}) {
  const timeline = readMotion(motion);
  const view = makeView(motion.azimuth_deg, motion.above_deg, mirrored);
  const room = roomLayers(motion.room, view);
  const floor = floorFlats(motion.floor, view);
  const box = boxOf(timeline, view, room, floor);
  const context = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
  /** @type {{pen: import("./inking.js").Pen, sheet: import("./motion.js").Sheet} | null} */
  let page = null; // until the canvas has a size

  canvas.setAttribute("role", "img");
  if (!canvas.hasAttribute("aria-label")) canvas.setAttribute("aria-label", motion.said);

  function fit() {
    const wide = canvas.clientWidth, high = canvas.clientHeight, dense = devicePixelRatio || 1;
    if (!wide || !high) return;
    canvas.width = Math.round(wide * dense);
    canvas.height = Math.round(high * dense);
    if (canvas.clientWidth !== wide || canvas.clientHeight !== high) {
      canvas.style.width = `${wide}px`; // without a size in the style sheet it would grow with every fitting
      canvas.style.height = `${high}px`;
    }
    context.setTransform(dense, 0, 0, dense, 0, 0);
    const pen = makePen(context, high, colours(canvas));
    page = { pen, sheet: sheetOf(box, wide, high, pen) };
  }

  /** @param {number} ms @param {boolean} posed */
  function draw(ms, posed) {
    if (!page) return;
    const { pen, sheet } = page;
    context.clearRect(0, 0, canvas.clientWidth, canvas.clientHeight);
    if (!view.level) inkFloor(pen, sheet, floor);
    const row = timeline.at(posed ? motion.full_ms : ms);
    const layers = layersAt(timeline, row, view, room);
    const placed = placedPatches(stops, row, timeline.point, view);
    const near = layers.findIndex((layer) => layer.depth < BEHIND_M / 2);
    for (const layer of layers.slice(0, near)) inkLayer(pen, sheet, layer);
    if (posed && motion.loop_ms) inkGhost(pen, sheet, bodyLayers(timeline, timeline.rows[0], view));
    for (const layer of layers.slice(near)) {
      inkLayer(pen, sheet, layer);
      for (const patch of placed) if (patch.layer === layer.name) inkPatch(pen, sheet, patch);
    }
    inkNumbers(pen, sheet, placed);
    if (view.level) inkFloor(pen, sheet, floor);
  }

  fit();
  const player = makeLoop(canvas, motion.loop_ms, draw, { playing, speed });
  const anew = () => {
    if (!canvas.isConnected) return destroy();
    fit();
    player.again();
  };
  const sizes = new ResizeObserver(anew);
  sizes.observe(canvas);
  const unwatch = watchColours(anew);

  function destroy() {
    player.destroy();
    sizes.disconnect();
    unwatch();
  }
  return {
    play: player.play, pause: player.pause, seek: player.seek, destroy,
    get playing() { return player.playing; },
  };
}
