// @ts-check
// The room drawn from its fields: points are dragged or moved by keys, and what is drawn stands in the fields at once.

/** @typedef {[across: number, along: number]} Point */
/** @typedef {{field: HTMLInputElement | HTMLTextAreaElement, what: string, name: string, points: Point[]}} Shape */

const SVG = "http://www.w3.org/2000/svg";
const STEP = 0.1, WHOLE = 1; // of the unit, by an arrow key; chosen, because a tape is read so
const AREAS = new Set(["outline", "step", "storage", "floor"]);
const LINES = new Set(["door", "no way out", "wall", "mirror", "screen", "camera"]);
/** @type {Record<string, string>} */
const NAMES = { outline: "the corners", leader: "the leader", demonstrator: "who shows" };
/** @type {Record<string, Point>} */
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

/** @param {string} id @returns {any} */
const $ = (id) => document.getElementById(id);
const form = $("room"), plan = $("plan"), list = /** @type {HTMLSelectElement} */ ($("draws"));
/** @param {string} name @param {Record<string, string | number>} attributes @returns {SVGElement} */
function mark(name, attributes) {
  const one = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) one.setAttribute(key, String(value));
  return one;
}
/** What is written as points; none where some of it is none. @param {string} words @returns {Point[]} */
function pointsOf(words) {
  const parts = words.split(/[,;\n]/).filter((part) => part.trim());
  const points = parts.map((part) => part.trim().split(/\s+/).map(Number));
  return points.every((each) => each.length === 2 && each.every(Number.isFinite)) ? /** @type {Point[]} */ (points) : [];
}
/** @param {number} number */
const round = (number) => Number(number.toFixed(2));
/** @param {Point[]} points */
const wordsOf = (points) => points.map((point) => point.map(round).join(" ")).join(", ");
/** Every field with points, what it is, and what it is called. @returns {Shape[]} */
function shapes() {
  return [...form.querySelectorAll("[data-points]")].map((field) => {
    const { line = "", shape = "" } = field.dataset;
    const what = shape || form.elements[`what-${line}`].value;
    const kind = NAMES[shape] ?? what;
    const own = line ? form.elements[`name-${line}`].value : "";
    return { field, what, name: own ? `${kind}: ${own}` : kind, points: what ? pointsOf(field.value) : [] };
  });
}
/** What is drawn stays where it is while a point is dragged. @type {{left: number, top: number, size: number} | null} */
let view = null;
let chosen = "outline", dragged = -1;

/** @param {Shape[]} all */
function measure(all) {
  const points = all.flatMap((each) => each.points);
  const xs = points.map(([x]) => x), ys = points.map(([, y]) => y);
  const left = Math.min(0, ...xs), top = Math.max(1, ...ys);
  return { left, top, size: Math.max(1, ...xs.map((x) => x - left), ...ys.map((y) => top - y)) };
}
/** @param {Point} point @returns {Point} */
const onPaper = ([x, y]) => (view ? [x - view.left, view.top - y] : [x, y]);
function draw() {
  const all = shapes();
  if (dragged < 0 || !view) view = measure(all);
  const edge = view.size * 0.06, high = Math.max(...all.flatMap((each) => each.points.map((point) => onPaper(point)[1])), view.size / 3);
  const svg = mark("svg", { viewBox: `${-edge} ${-edge} ${view.size + 2 * edge} ${high + 2 * edge}`, role: "group", "aria-label": "The room from above" });
  const floorFirst = [...all].sort((one, other) => Number(AREAS.has(other.what)) - Number(AREAS.has(one.what)));
  for (const each of floorFirst) if (each.points.length) svg.append(drawn(each));
  const now = all.find((each) => each.field.name === chosen) ?? all[0];
  now.points.forEach((point, at) => svg.append(handle(now, point, at)));
  const focused = Number(document.activeElement?.getAttribute("data-at") ?? -1);
  plan.replaceChildren(svg);
  if (focused >= 0) handleAt(Math.min(focused, now.points.length - 1))?.focus();
  offer(all);
}
/** @param {number} at @returns {any} */
const handleAt = (at) => plan.querySelector(`[data-at="${at}"]`);
/** @param {Shape} shape */
function drawn({ what, points, field }) {
  const size = view?.size ?? 1, places = points.map(onPaper), words = places.map((each) => each.join(",")).join(" ");
  const kind = `drawn ${what.replaceAll(" ", "-")}`;
  if (AREAS.has(what)) return mark("polygon", { points: words, class: kind });
  if (LINES.has(what)) return mark("polyline", { points: words, class: kind });
  const half = what === "pillar" ? Number(form.elements[`size-${field.dataset.line}`].value) / 2 || 0.1 : size * 0.012;
  const group = mark("g", { class: kind });
  for (const [x, y] of places) {
    group.append(what === "pillar" || what === "seat" ? mark("rect", { x: x - half, y: y - half, width: 2 * half, height: 2 * half }) : mark("circle", { cx: x, cy: y, r: half }));
  }
  return group;
}
/** @param {Shape} shape @param {Point} point @param {number} at */
function handle(shape, point, at) {
  const [x, y] = onPaper(point), reach = (view?.size ?? 1) * 0.02;
  const one = mark("circle", { cx: x, cy: y, r: reach, class: "handle", tabindex: 0, role: "button", "data-at": at });
  one.setAttribute("aria-label", `Point ${at + 1} of ${shape.points.length}, ${shape.name}: ${round(point[0])} across, ${round(point[1])} along`);
  one.addEventListener("keydown", (event) => byKey(event, shape, at));
  one.addEventListener("focus", () => tell(shape, at));
  one.addEventListener("pointerdown", (event) => {
    dragged = at;
    event.preventDefault();
    one.focus();
  });
  return one;
}
/** @param {Shape} shape @param {number} at */
function tell(shape, at) {
  const [x, y] = shape.points[at];
  $("at").textContent = `Point ${at + 1} of ${shape.points.length}, ${shape.name}: ${round(x)} across, ${round(y)} along.`;
}
/** @param {Shape} shape @param {Point[]} points @param {number} at where the focus goes */
function put(shape, points, at) {
  shape.field.value = wordsOf(points);
  draw();
  handleAt(at)?.focus();
}
/** @param {KeyboardEvent} event @param {Shape} shape @param {number} at */
function byKey(event, shape, at) {
  const way = ARROWS[event.key], points = shape.points.map((each) => /** @type {Point} */ ([...each]));
  if (way) {
    const step = event.shiftKey ? WHOLE : STEP;
    points[at] = [points[at][0] + way[0] * step, points[at][1] + way[1] * step];
  } else if (event.key === "Insert" && takesMore(shape)) points.splice(at + 1, 0, between(points, at));
  else if (event.key === "Delete" && points.length > 1) points.splice(at, 1);
  else return;
  event.preventDefault();
  put(shape, points, Math.min(event.key === "Insert" ? at + 1 : at, points.length - 1));
}
/** @param {Shape} shape */
const takesMore = ({ what }) => AREAS.has(what) || what === "seat";
/** Halfway to the next one. @param {Point[]} points @param {number} at @returns {Point} */
function between(points, at) {
  const [one, next] = [points[at], points[(at + 1) % points.length]];
  return [(one[0] + next[0]) / 2, (one[1] + next[1]) / 2];
}
/** @param {Shape[]} all */
function offer(all) {
  const options = all.filter((each) => each.points.length).map((each) => new Option(each.name, each.field.name, false, each.field.name === chosen));
  list.replaceChildren(...options);
  const now = all.find((each) => each.field.name === list.value);
  $("more").disabled = !now || !takesMore(now);
  $("fewer").disabled = !now || !takesMore(now) || now.points.length < 2;
}
/** @param {number} change */
function byButton(change) {
  const now = shapes().find((each) => each.field.name === list.value);
  if (!now) return;
  const points = [...now.points], last = points.length - 1;
  if (change > 0) points.push(between(points, last));
  else points.pop();
  put(now, points, points.length - 1);
}
list.addEventListener("change", () => { chosen = list.value; draw(); });
$("more").addEventListener("click", () => byButton(1));
$("fewer").addEventListener("click", () => byButton(-1));
form.addEventListener("input", (/** @type {Event} */ event) => {
  const name = event.target instanceof HTMLElement ? event.target.getAttribute("name") : "";
  if (event.target !== list && name) draw();
});
addEventListener("pointermove", (event) => {
  const svg = plan.querySelector("svg"), now = shapes().find((each) => each.field.name === list.value);
  if (dragged < 0 || !view || !now) return;
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  const points = now.points;
  points[dragged] = [Math.round((at.x + view.left) / STEP) * STEP, Math.round((view.top - at.y) / STEP) * STEP];
  put(now, points, dragged);
});
for (const end of ["pointerup", "pointercancel"]) {
  addEventListener(end, () => {
    if (dragged < 0) return;
    dragged = -1;
    draw();
  });
}
$("drawing").hidden = false;
draw();
