// @ts-check
// A figure to walk round: the same motion as solids, turned by pointer, keys and buttons. Mounts on [data-orbit-url].
import * as three from "./vendor/three.module.min.js";
import { OrbitControls as Controls } from "./vendor/OrbitControls.js";
import { colours, watchColours } from "./figure/colours.js";
import { makeLoop } from "./figure/loop.js";
import { mountEach, say } from "./figure/mount.js";
import { addLights, colourLooks, extent, eyeFrom, floorLines, makeLooks } from "./figure/room.js";
import { fleshMeshes, headMesh, movedMeshes, roomMeshes } from "./figure/solids.js";
import { readMotion } from "./figure/timeline.js";

/** @type {any} minified, and without types */
const THREE = three;
/** @type {any} as made for them */
const OrbitControls = Controls;

/** @typedef {import("./figure/motion.js").Motion} Motion */
/** @typedef {[azimuthDeg: number, aboveDeg: number]} Angles */

/** @type {Record<string, Angles>} */
const VIEWS = { Front: [90, 0], Side: [0, 0], Above: [90, 89] };
const TURN_DEG = 10, NEARER = 0.85, LOWEST_DEG = -5, HIGHEST_DEG = 89, WIDE_DEG = 32, SNUG = 0.85;
/** @type {Record<string, Angles>} */
const KEYS = {
  ArrowLeft: [-TURN_DEG, 0], ArrowRight: [TURN_DEG, 0], ArrowUp: [0, TURN_DEG], ArrowDown: [0, -TURN_DEG],
};
const NO_3D =
  "This browser shows no 3D pictures, so the figure can't be turned here. The flat figure shows the same move.";

/** Null where the browser has no 3D. @param {HTMLCanvasElement} canvas */
function makeRenderer(canvas) {
  try {
    if (!window.WebGL2RenderingContext) return null;
    const context = canvas.getContext("webgl2", { antialias: true, alpha: true });
    return context && new THREE.WebGLRenderer({ canvas, context, antialias: true, alpha: true });
  } catch {
    return null;
  }
}

/**
 * Gives back what moves.
 * @param {any} scene
 * @param {import("./figure/timeline.js").Timeline} timeline
 * @param {import("./figure/room.js").Looks} looks
 */
function fill(scene, timeline, looks) {
  const { motion } = timeline;
  const moving = [
    ...timeline.pieces.flatMap((piece) => fleshMeshes(piece, looks)),
    ...timeline.things.flatMap((thing) => movedMeshes(thing, looks)),
    headMesh(timeline.point, looks),
  ];
  const standing = motion.room.flatMap((thing) => roomMeshes(thing, looks));
  for (const mesh of standing) mesh.userData.move(timeline.rows[0]);
  scene.add(...moving, ...standing, floorLines(motion.floor, looks.grid));
  addLights(scene);
  return moving;
}

/** @param {string} words @param {() => void} press */
function button(words, press) {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = words;
  made.addEventListener("click", press);
  return made;
}

/**
 * @param {HTMLElement} element
 * @param {Motion} motion
 * @param {{playing?: boolean, speed?: number}} options
 * @returns {import("./figure/motion.js").Player}
 */
export function mountOrbit(element, motion, { playing = true, speed = 1 } = {}) {
  const canvas = document.createElement("canvas");
  const renderer = makeRenderer(canvas);
  if (!renderer) {
    say(element, NO_3D);
    return { play() {}, pause() {}, seek() {}, destroy() {}, playing: false };
  }
  const timeline = readMotion(motion);
  const scene = new THREE.Scene();
  const looks = makeLooks();
  const moving = fill(scene, timeline, looks);
  const { middle, radius } = extent(timeline);
  const camera = new THREE.PerspectiveCamera(WIDE_DEG, 1, 0.05, 60);
  camera.up.set(0, 0, 1);
  const controls = new OrbitControls(camera, canvas);
  controls.target.copy(middle);
  controls.enablePan = false;
  controls.maxPolarAngle = THREE.MathUtils.degToRad(90 - LOWEST_DEG);

  canvas.tabIndex = 0;
  canvas.className = "orbit-canvas";
  canvas.setAttribute("role", "application");
  canvas.setAttribute("aria-roledescription", "figure to turn");
  canvas.setAttribute("aria-label", `${motion.said} Arrow keys turn it, plus and minus bring it nearer or farther.`);
  canvas.style.display = "block";
  canvas.style.width = "100%";
  const row = document.createElement("div");
  row.className = "orbit-views";
  row.setAttribute("role", "group");
  row.setAttribute("aria-label", "Seen from");
  const hint = document.createElement("p");
  hint.className = "orbit-hint";
  hint.textContent = "Drag, or use the arrow keys, to turn. Plus and minus come nearer and go back.";
  element.replaceChildren(canvas, row, hint);

  let far = 1;
  /** @param {number} ms @param {boolean} posed */
  const draw = (ms, posed) => {
    const now = timeline.at(posed ? motion.full_ms : ms);
    for (const mesh of moving) mesh.userData.move(now);
    renderer.render(scene, camera);
  };
  const look = () => renderer.render(scene, camera);

  /** @param {number} azimuthDeg @param {number} aboveDeg */
  function stand(azimuthDeg, aboveDeg) {
    camera.position.copy(middle).addScaledVector(eyeFrom(azimuthDeg, aboveDeg), far);
    controls.update();
    look();
  }
  /** @param {number} acrossDeg @param {number} upDeg */
  function turn(acrossDeg, upDeg) {
    const way = camera.position.clone().sub(middle);
    const above = THREE.MathUtils.radToDeg(Math.asin(way.z / way.length()));
    const round = THREE.MathUtils.radToDeg(Math.atan2(-way.y, -way.x));
    camera.position.copy(middle).addScaledVector(
      eyeFrom(round + acrossDeg, Math.min(HIGHEST_DEG, Math.max(LOWEST_DEG, above + upDeg))), way.length());
    controls.update();
    look();
  }
  /** @param {number} times */
  function nearer(times) {
    const way = camera.position.clone().sub(middle);
    way.setLength(Math.min(controls.maxDistance, Math.max(controls.minDistance, way.length() * times)));
    camera.position.copy(middle).add(way);
    controls.update();
    look();
  }
  /** @param {KeyboardEvent} event */
  function press(event) {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    if (KEYS[event.key]) turn(...KEYS[event.key]);
    else if (event.key === "+" || event.key === "=") nearer(NEARER);
    else if (event.key === "-" || event.key === "_") nearer(1 / NEARER);
    else return;
    event.preventDefault();
  }
  canvas.addEventListener("keydown", press);

  function fit() {
    const wide = element.clientWidth;
    if (!wide) return;
    const others = row.offsetHeight + hint.offsetHeight;
    const high = Math.max(160, Math.min(wide * 0.8, Math.max(element.clientHeight - others, wide * 0.6)));
    renderer.setPixelRatio(Math.min(devicePixelRatio || 1, 2));
    renderer.setSize(wide, Math.round(high), false);
    canvas.style.height = `${Math.round(high)}px`;
    camera.aspect = wide / high;
    camera.updateProjectionMatrix();
    const angle = THREE.MathUtils.degToRad(WIDE_DEG / 2) * Math.min(1, camera.aspect);
    const before = far;
    far = (SNUG * radius) / Math.sin(angle);
    controls.minDistance = far * 0.35;
    controls.maxDistance = far * 2.5;
    nearer(before === 1 ? 1 : far / before);
  }
  function colour() {
    colourLooks(looks, colours(element));
    look();
  }

  for (const [words, view] of Object.entries(VIEWS)) row.append(button(words, () => stand(...view)));
  const stop = button("Pause", () => (player.playing ? player.pause() : player.play()));
  if (motion.loop_ms) row.append(stop);

  colourLooks(looks, colours(element));
  stand(motion.azimuth_deg + (motion.view === "side" ? 25 : 0), 12);
  fit();
  stand(motion.azimuth_deg + (motion.view === "side" ? 25 : 0), 12);
  /** @param {boolean} runs */
  const changed = (runs) => { stop.textContent = runs ? "Pause" : "Play"; };
  const player = makeLoop(element, motion.loop_ms, draw, { playing, speed, changed });
  changed(player.playing);
  controls.addEventListener("change", look);
  const sizes = new ResizeObserver(() => (element.isConnected ? fit() : destroy()));
  sizes.observe(element);
  const unwatch = watchColours(() => (element.isConnected ? colour() : destroy()));

  function destroy() {
    player.destroy();
    sizes.disconnect();
    unwatch();
    controls.dispose();
    scene.traverse((/** @type {any} */ each) => each.geometry?.dispose());
    for (const material of Object.values(looks)) material.dispose();
    renderer.dispose();
    renderer.forceContextLoss();
    element.replaceChildren();
  }
  return {
    play: player.play, pause: player.pause, seek: player.seek, destroy,
    get playing() { return player.playing; },
  };
}

/** @param {HTMLElement} element */
const address = (element) => element.dataset.orbitUrl ?? "";

mountEach("[data-orbit-url]", address, (element, motion) =>
  mountOrbit(element, motion, {
    playing: element.dataset.playing !== "false",
    speed: Number(element.dataset.speed) || 1,
  }));
