// The stage: figure, count, side, next, kit, ladder and score, by one clock; keys, a presenter's remote and a phone steer.
import { mountFigure } from "./figure.js";
import { makeBeeps } from "./stage/beeps.js";
import { makeClock } from "./stage/clock.js";
import { makeLine } from "./stage/line.js";
import { makeLog } from "./stage/log.js";
import { makeShow } from "./stage/show.js";

const $ = (id) => document.getElementById(id);
const { session, revision, setting, track, token } = document.body.dataset;
const speed = Number(document.body.dataset.speed);
const KEPT = `stage ${session} ${setting}`;
const LOST = "Other screens can't be reached; the stage goes on.";
const STRIP = 82; // of the score, in its own units: names and repetitions
const EARLY_MS = 12_000, LESS_MS = 180_000; // the next move is shown so early; "three minutes less"
const sheet = await (await fetch(`/session/${session}/stage/run.json?of=${setting}`)).json();
const show = makeShow(sheet);
const log = makeLog(session, revision, token);
const motions = new Map();
const done = new Map(); // cell -> sides that were worked to their end
let audio = null, clock = makeClock(null, speed), beeps = null, figure = null, wake = null;
let shown = { cell: null, system: null, span: null, name: "" }, told = "";

const clockWords = (ms) => { const s = Math.max(0, Math.ceil(ms / 1000)); return `${Math.floor(s / 60)}:${String(s % 60).padStart(2, "0")}`; };
const put = (id, words) => { if ($(id).textContent !== words) $(id).textContent = words; };

// ---- Drawing what is true now.
function draw() {
  const ms = Math.min(clock.nowMs(), show.totalMs);
  if (clock.playing && ms >= show.totalMs) return end();
  const span = show.spanAt(ms), cell = show.cellOf(span);
  note(span, ms);
  const count = show.count(ms);
  put("block", cell ? [cell.block, cell.round].filter(Boolean).join(", ") : span.block);
  put("left", `${clockWords(show.totalMs - ms)} left`);
  put("name", nameOf(span, cell));
  put("count", String(count.rep ?? count.seconds));
  put("of", count.rep ? `of ${count.of}` : span.kind === "work" ? "seconds left" : "seconds");
  put("side", sideWords(span, cell));
  put("next", nextWords(ms, span));
  put("kit", kitWords(ms, span, cell));
  put("cue", show.cueAt(track, ms)?.[3] ?? "");
  picture(cell);
  score(ms);
  tell(ms, span, cell, count);
  if (clock.playing) requestAnimationFrame(draw);
}
function nameOf(span, cell) {
  if (!cell) return { announcement: "Listen" }[span.kind] ?? span.block;
  return span.kind === "work" ? cell.name : `Get ready: ${cell.name}`;
}
function sideWords(span, cell) {
  if (span.side) return span.side.toUpperCase();
  if (span.kind === "side switch") return span.text.toUpperCase();
  const first = cell && span.kind !== "work" ? show.firstSide(span.cell) : "";
  return first ? `${first.toUpperCase()}${cell.sides === 2 ? " FIRST" : ""}` : "";
}
function nextWords(ms, span) {
  const next = show.nextSet(ms), cell = show.cellOf(next);
  const debts = show.debts(done).map(([move, side]) => `${move}: the ${side} side is still owed.`).join(" ");
  if (!cell) return debts;
  const soon = next.at - ms < EARLY_MS || !show.cellOf(span); // while one set is got ready for, no other is named
  return soon ? `Next: ${cell.name}${cell.load ? `, ${cell.load}` : ""}. ${debts}` : debts;
}
function kitWords(ms, span, cell) {
  if (span.kit?.length) return `Fetch: ${span.kit.join(", ")}`;
  return cell?.load && span.kind !== "work" ? `With ${cell.load}` : "";
}

async function picture(cell) {
  if (shown.cell === cell) return;
  shown.cell = cell;
  figure?.destroy();
  figure = null;
  $("figure").hidden = !cell || cell.motion < 0;
  ladder(cell);
  if (!cell || cell.motion < 0) return;
  if (!motions.has(cell.motion)) motions.set(cell.motion, fetch(`/session/${session}/stage/motion/${cell.motion}?of=${setting}`).then((answer) => answer.json()));
  try {
    const motion = await motions.get(cell.motion);
    if (shown.cell === cell) figure = mountFigure($("figure"), motion, { playing: clock.playing, speed: Math.min(speed, 4) });
  } catch { motions.delete(cell.motion); }
}
function ladder(cell) {
  $("ladder").replaceChildren(...(cell?.rungs ?? []).map((rung) => {
    const item = document.createElement("li");
    const words = document.createElement("p");
    const kind = document.createElement("b");
    kind.textContent = `${rung.kind}: `;
    words.append(kind, `${rung.name}${rung.load ? `, ${rung.load}` : ""}`);
    if (rung.picture >= 0) {
      const picture = document.createElement("img");
      Object.assign(picture, { src: `/session/${session}/stage/still/${rung.picture}?of=${setting}`, alt: "" });
      item.append(picture);
    }
    item.append(words);
    return item;
  }));
}

// ---- The score, a system at a time, with the line that is now. What was cut makes the clock run ahead of it.
function score(ms) {
  if (!$("score").firstElementChild) $("score").innerHTML = sheet.score;
  const svg = $("score").firstElementChild;
  const onSheet = sheetMs(ms);
  const system = sheet.systems.find((each) => onSheet < each.end) ?? sheet.systems.at(-1);
  if (shown.system !== system) {
    shown.system = system;
    svg.setAttribute("viewBox", `0 ${system.top - 5} ${system.width} ${STRIP}`);
    svg.setAttribute("preserveAspectRatio", "xMidYMin meet");
    shown.line?.remove();
    shown.line = document.createElementNS("http://www.w3.org/2000/svg", "line");
    shown.line.setAttribute("class", "now-line");
    shown.line.setAttribute("y1", system.top - 12);
    shown.line.setAttribute("y2", system.top + system.high);
    svg.append(shown.line);
  }
  const x = system.left + (Math.min(Math.max(onSheet, system.at), system.end) - system.at) * system.per_ms;
  shown.line.setAttribute("x1", x);
  shown.line.setAttribute("x2", x);
}
function sheetMs(ms) {
  const place = show.indexAt(ms), span = show.spans[place];
  const there = sheet.spans.filter((each) => each.cell === undefined || !show.gone.includes(each.cell))[place];
  return there ? there.at + Math.min(ms - span.at, there.end - there.at) : ms;
}

// ---- What was done.
function note(span, ms) {
  if (shown.span === span) return;
  const before = shown.span;
  shown.span = span;
  if (before?.kind === "work" && clock.playing && Math.abs(before.end - ms) < 1500 * speed) {
    const sides = done.get(before.cell) ?? new Set();
    done.set(before.cell, sides.add(before.side ?? "both"));
    log.note("set", ms, show.cellOf(before)?.ref ?? "");
  }
}
function keep() { sessionStorage.setItem(KEPT, JSON.stringify({ ms: clock.nowMs(), gone: show.gone })); }

// ---- Steering.
function start() {
  audio = new AudioContext();
  audio.resume();
  const from = clock.nowMs();
  clock = makeClock(audio, speed);
  clock.seek(from);
  beeps = makeBeeps(audio, clock, sheet.tones, speed);
  log.note("start", from);
}
async function go() {
  if (!audio) start();
  await audio.resume();
  clock.go();
  beeps.take(show.beeps);
  log.note("go", clock.nowMs());
  $("paused").close();
  put("go", "Pause");
  figure?.play();
  try { wake = await navigator.wakeLock?.request("screen"); } catch { wake = null; }
  requestAnimationFrame(draw);
}
function pause({ card = true } = {}) {
  if (!clock.playing) return;
  clock.pause();
  beeps.take([]);
  log.note("pause", clock.nowMs());
  log.send();
  keep();
  figure?.pause();
  put("go", "Go on");
  wake?.release?.();
  if (card && !$("paused").open) $("paused").showModal();
  draw();
}
function jump(ms, what) {
  log.note(what, clock.nowMs(), show.cellOf(show.spanAt(Math.min(clock.nowMs(), show.totalMs - 1)))?.ref ?? "");
  clock.seek(Math.min(ms, show.totalMs));
  if (clock.playing) beeps.take(show.beeps);
  shown.span = null;
  keep();
  draw();
}
function skip() {
  const ms = clock.nowMs(), next = show.nextSet(ms);
  jump(next ? next.at : show.totalMs, "skip");
}
function less() {
  const ms = clock.nowMs(), { wonMs, names } = show.cut(ms, LESS_MS);
  if (!names.length) return say("Nothing of the cut order is left that has not begun.");
  log.note("cut", ms, names.join(", "));
  if (clock.playing) beeps.take(show.beeps);
  shown.system = null;
  keep();
  say(`${clockWords(wonMs)} less: ${names.join(", ")} ${names.length === 1 ? "goes" : "go"}.`);
  draw();
}
function card() {
  pause({ card: false });
  if (!$("emergency").open) $("emergency").showModal();
}
function end() {
  clock.pause();
  clock.seek(show.totalMs);
  log.note("end", show.totalMs);
  log.send();
  sessionStorage.removeItem(KEPT);
  put("name", "Done. Well done, everyone.");
  for (const id of ["count", "of", "side", "next", "kit", "cue"]) put(id, "");
  put("go", "Done");
  $("go").disabled = true;
  told = "";
  tell(show.totalMs, show.spans.at(-1), null, { seconds: 0 });
}
function say(words) { put("line", words); }

const orders = { pause, go, toggle: () => (clock.playing ? pause() : go()), back: () => jump(show.startOf(clock.nowMs(), 2000 * speed), "back"), skip, less, card, rest: () => { pause({ card: false }); say("Another screen leads now."); } };
const keys = { " ": "toggle", k: "toggle", b: "toggle", ".": "toggle", ArrowRight: "skip", PageDown: "skip", ArrowLeft: "back", PageUp: "back", t: "less", e: "card" };
document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
  if (key === " " && event.target.closest?.("button") && event.target.id !== "go") return;
  if (orders[keys[key]]) { event.preventDefault(); orders[keys[key]](); }
  else if (key === "m") $("sound").click();
  else if (key === "f") $("full").click();
});
$("go").addEventListener("click", orders.toggle);
$("go").addEventListener("keydown", (event) => { if (event.key === " ") event.preventDefault(); });
$("on").addEventListener("click", go);
$("close").addEventListener("click", () => $("emergency").close());
for (const id of ["back", "skip", "less", "card"]) $(id).addEventListener("click", () => orders[id]());
$("sound").addEventListener("click", () => {
  const on = $("sound").getAttribute("aria-pressed") !== "true";
  $("sound").setAttribute("aria-pressed", on);
  put("sound", on ? "Beeps on" : "Beeps off");
  if (beeps) beeps.on = on;
});
$("full").addEventListener("click", () => (document.fullscreenElement ? document.exitFullscreen() : document.documentElement.requestFullscreen().catch(() => {})));
document.addEventListener("visibilitychange", async () => {
  if (document.visibilityState === "visible" && clock.playing) { try { wake = await navigator.wakeLock?.request("screen"); } catch { wake = null; } draw(); }
});
$("stop").append(...sheet.stop.map((words) => Object.assign(document.createElement("p"), { textContent: words })));

// ---- The other screens.
const line = makeLine(session, "stage", (message) => orders[message.do]?.(), {
  changed(what) {
    if (what === "lost") say(LOST);
    else if ($("line").textContent === LOST) say("");
  },
});
function tell(ms, span, cell, count) {
  const state = {
    is: "state", ms: Math.round(ms / 1000) * 1000, playing: clock.playing, name: nameOf(span, cell), side: span.side ?? "", moves: span.moves ?? "",
    left: clockWords(show.totalMs - ms), count: count.rep ? `${count.rep} of ${count.of}` : `${count.seconds} s`, cue: show.cueAt(track, ms)?.[3] ?? "",
    coming: show.cuesFrom(track, ms, 4).map(([at, , , text]) => [Math.round((at - ms) / 1000), text]),
  };
  const words = JSON.stringify(state);
  if (words === told) return;
  told = words;
  line.send(state);
}
setInterval(() => { if (clock.playing) keep(); }, 1000);

// ---- Back to where it was, standing still.
const kept = JSON.parse(sessionStorage.getItem(KEPT) ?? "null");
if (kept) {
  show.gone = kept.gone;
  clock.seek(kept.ms);
  put("go", "Go on");
  say(`Picked up at ${clockWords(kept.ms)}.`);
}
draw();
window.stage = { clock: () => clock, show, go, pause };
