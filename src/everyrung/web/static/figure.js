// A figure that moves at its rung's tempo, drawn in ink on a canvas. It mounts itself on <canvas data-motion-url>.
import { colours, watchColours } from "./figure/colours.js";
import { inkFloor, inkGhost, inkLayer, makePen } from "./figure/inking.js";
import { BEHIND_M, bodyLayers, layersAt, roomLayers } from "./figure/layers.js";
import { makePlayer, mountEach } from "./figure/player.js";
import { readMotion } from "./figure/timeline.js";
import { makeView } from "./figure/view.js";

// What holds every frame, m: so the figure does not jump.
function boxOf(timeline, view, room, floor) {
  const box = { left: Infinity, top: Infinity, right: -Infinity, bottom: -Infinity };
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

function floorFlats(corners, view) {
  const flats = corners.map(view.flat);
  if (!view.level) return flats;
  const across = flats.map(([x]) => x);
  return [[Math.min(...across), flats[0][1]], [Math.max(...across), flats[0][1]]];
}

// As large as the canvas allows, standing on its lower edge.
function sheetOf(box, wide, high, pen) {
  const edge = pen.stroke * 1.5, below = pen.stroke * 3;
  const across = box.right - box.left, down = box.bottom - box.top;
  const scale = Math.max(1, Math.min((wide - 2 * edge) / across, (high - 2 * edge - below) / down));
  return { scale, x: wide / 2 - (scale * (box.left + box.right)) / 2, y: high - edge - below - scale * box.bottom };
}

export function mountFigure(canvas, motion, { playing = true, speed = 1, mirrored = false } = {}) {
  const timeline = readMotion(motion);
  const view = makeView(motion.azimuth_deg, motion.above_deg, mirrored);
  const room = roomLayers(motion.room, view);
  const floor = floorFlats(motion.floor, view);
  const box = boxOf(timeline, view, room, floor);
  const context = canvas.getContext("2d");
  let pen, sheet;

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
    pen = makePen(context, high, colours(canvas));
    sheet = sheetOf(box, wide, high, pen);
  }

  function draw(ms, posed) {
    if (!pen) return;
    context.clearRect(0, 0, canvas.clientWidth, canvas.clientHeight);
    if (!view.level) inkFloor(pen, sheet, floor);
    const layers = layersAt(timeline, timeline.at(posed ? motion.full_ms : ms), view, room);
    const near = layers.findIndex((layer) => layer.depth < BEHIND_M / 2);
    for (const layer of layers.slice(0, near)) inkLayer(pen, sheet, layer);
    if (posed && motion.loop_ms) inkGhost(pen, sheet, bodyLayers(timeline, timeline.rows[0], view));
    for (const layer of layers.slice(near)) inkLayer(pen, sheet, layer);
    if (view.level) inkFloor(pen, sheet, floor);
  }

  fit();
  const player = makePlayer(canvas, motion.loop_ms, draw, { playing, speed });
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

mountEach("canvas[data-motion-url]", (canvas) => canvas.dataset.motionUrl, (canvas, motion) =>
  mountFigure(canvas, motion, {
    playing: canvas.dataset.playing !== "false",
    speed: Number(canvas.dataset.speed) || 1,
    mirrored: canvas.hasAttribute("data-mirrored"),
  }));
