// The stage: figure, count, side, next, kit, ladder and score, by one clock; keys, a presenter's remote and a phone steer.
import { mountFigure } from "./figure.js";
import { makeBeeps } from "./stage/beeps.js";
import { makeClock } from "./stage/clock.js";
import { makeKept } from "./stage/kept.js";
import { makeLine } from "./stage/line.js";
import { makeLog } from "./stage/log.js";
import { makeShow } from "./stage/show.js";
import { makeSides } from "./stage/sides.js";

const $ = (id) => document.getElementById(id);
const { session, revision, setting, track, token } = document.body.dataset;
const speed = Number(document.body.dataset.speed);
const LOST = "Other screens can't be reached; the stage goes on.";
const DONE = "Done. Well done, everyone.";
const STRIP = 76; // of the score, in its own units: down to the names; what is below them is too small on a screen
const EARLY_MS = 12_000, LESS_MS = 180_000; // the next move is shown so early; "three minutes less"
const ASKED_MS = 10_000; // a question waits so long; chosen, because it takes some four seconds to read
const BEAT_MS = 2000; // so often the other screens hear that the stage is there; chosen, because one who waits counts so
const KEEP_MS = 1000; // a stage that breaks off loses no more than this
const SMALLEST = 0.6, STEP = 0.05; // of the letters, where words are long; chosen, because that is still twice of print
const FITTED = ["name", "side", "soon", "cue"];
const sheet = await (await fetch(`/session/${session}/stage/run.json?of=${setting}`)).json();
const show = makeShow(sheet);
const log = makeLog(session, revision, token);
const sides = makeSides(show);
const kept = makeKept(session, setting);
const motions = new Map();
const cuts = []; // the sets of each cut, the last one to be undone first
let audio = null, clock = makeClock(null, speed), beeps = null, figure = null, wake = null;
let shown = { cell: null, side: "", system: null }, told = "", frame = 0, ended = false;
let brokenOff = 0; // when on the wall the stage before this one was there last
let asked = null, asking = 0, cutWords = ""; // what "three minutes less" would take, and how long that is still asked

const clockWords = (ms) => { const s = Math.max(0, Math.ceil(ms / 1000)); return `${Math.floor(s / 60)}:${String(s % 60).padStart(2, "0")}`; };
const put = (id, words) => { if ($(id).textContent !== words) { $(id).textContent = words; return true; } return false; };

// ---- Drawing what is true now; one loop, however often it is woken.
function loop() {
  frame = 0;
  draw();
  wakeLoop();
}
function wakeLoop() { if (clock.playing && !frame) frame = requestAnimationFrame(loop); }
function draw() {
  const ms = Math.min(clock.nowMs(), show.totalMs);
  note(sides.upTo(ms));
  if (ms >= show.totalMs) return end();
  const span = show.spanAt(ms), cell = show.cellOf(span), count = show.count(ms);
  put("block", cell ? [cell.block, cell.round].filter(Boolean).join(", ") : span.block);
  put("left", `${clockWords(show.totalMs - ms)} left`);
  put("count", String(count.rep ?? count.seconds));
  put("of", count.rep ? `of ${count.of}` : span.kind === "work" ? "seconds left" : "seconds");
  words({ name: nameOf(span, cell), side: sideWords(span, cell), next: nextWords(ms, span), kit: kitWords(ms, span, cell), cue: show.cueAt(track, ms)?.[3] ?? "" });
  picture(cell, show.sideAt(ms));
  score(ms);
  steps(ms, span);
  tell();
}
// Long words are made smaller; their places keep their size, so that nothing beside them moves.
function words(found) {
  const changed = Object.entries(found).filter(([id, each]) => put(id, each));
  if (changed.length) FITTED.forEach((id) => fit($(id)));
}
function fit(box) {
  box.style.fontSize = "";
  const whole = parseFloat(getComputedStyle(box).fontSize);
  const over = () => box.scrollHeight > box.clientHeight + 1 || box.scrollWidth > box.clientWidth + 1;
  for (let share = 1 - STEP; share >= SMALLEST && over(); share -= STEP) box.style.fontSize = `${whole * share}px`;
}
// What the leader may still do: undo a cut, dismiss a side that is owed.
function steps(ms, span) {
  $("undo").hidden = !undoable(ms);
  if ($("undo").hidden && cutWords && $("line").textContent === cutWords) say("");
  put("owed", owedWords(span));
  $("waive").hidden = !$("owed").textContent;
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
  const soon = cell && (next.at - ms < EARLY_MS || !show.cellOf(span)); // while one set is got ready for, no other is named
  return soon ? `Next: ${cell.name}${cell.load ? `, ${cell.load}` : ""}.` : "";
}
function owedWords(span) {
  const found = sides.owed(span.cell).map(([cell, side]) => `${sheet.cells[cell].move}: the ${side} side is still owed.`);
  return found.join(" ");
}
function kitWords(ms, span, cell) {
  if (span.kit?.length) return `Fetch: ${span.kit.join(", ")}`;
  return cell?.load && span.kind !== "work" ? `With ${cell.load}` : "";
}

// The figures with the side working that the words name: one that was solved on the other side is turned.
async function picture(cell, side) {
  if (shown.cell === cell && shown.side === side) return;
  if (shown.cell !== cell) ladder(cell);
  Object.assign(shown, { cell, side });
  $("ladder").querySelectorAll("img").forEach((each) => each.classList.toggle("turned", each.dataset.turned === side));
  figure?.destroy();
  figure = null;
  $("figure").classList.toggle("gone", !cell || cell.motion < 0);
  if (!cell || cell.motion < 0) return;
  if (!motions.has(cell.motion)) motions.set(cell.motion, fetch(`/session/${session}/stage/motion/${cell.motion}?of=${setting}`).then((answer) => answer.json()));
  try {
    const motion = await motions.get(cell.motion);
    if (shown.cell !== cell || shown.side !== side) return;
    figure = mountFigure($("figure"), motion, { playing: clock.playing, speed: Math.min(speed, 4), mirrored: cell.turned === side });
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
      picture.dataset.turned = rung.turned;
      item.append(picture);
    }
    item.append(words);
    return item;
  }));
  fit($("ladder"));
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
function note(bouts) {
  for (const span of bouts) log.note("set", span.end, show.cellOf(span)?.ref ?? "");
}
function keep() {
  if (!log.resting && !ended) kept.state = { ms: clock.nowMs(), cuts, sides: sides.kept, log: log.kept };
}
function takeUp(state) {
  show.uncut(show.gone);
  show.cut(state.cuts.flat());
  cuts.splice(0, cuts.length, ...state.cuts);
  sides.kept = state.sides;
  log.kept = state.log;
  clock.seek(state.ms);
}

// ---- Steering.
function start() {
  audio = new AudioContext();
  audio.resume();
  const from = clock.nowMs();
  clock = makeClock(audio, speed);
  clock.seek(from);
  beeps = makeBeeps(audio, clock, sheet.tones, speed);
  beeps.on = $("sound").getAttribute("aria-pressed") === "true";
  if (log.begun) again(from);
  else log.begin(from);
}
// The time that no stage was open is none that the session took.
function again(from) {
  log.note("left", from, "", brokenOff);
  log.note("again", from);
}
function wakeUp() {
  const state = kept.state;
  if (state?.log.id === log.kept.id) takeUp(state);
  log.wake();
}
async function go() {
  if (ended || $("emergency").open) return;
  if (log.resting) { wakeUp(); say(""); }
  $("resume").close();
  if (!audio) start();
  await audio.resume();
  if ($("emergency").open || clock.playing) return; // the card came while the sound was woken
  clock.go();
  beeps.take(show.beeps);
  log.note("go", clock.nowMs());
  $("paused").close();
  put("go", "Pause");
  figure?.play();
  try { wake = await navigator.wakeLock?.request("screen"); } catch { wake = null; }
  wakeLoop();
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
  const from = Math.min(clock.nowMs(), show.totalMs), to = Math.min(ms, show.totalMs);
  note(sides.jumped(from, to));
  log.note(what, from, show.cellOf(show.spanAt(Math.min(from, show.totalMs - 1)))?.ref ?? "");
  clock.seek(to);
  if (ended && to < show.totalMs) unend();
  if (clock.playing) beeps.take(show.beeps);
  keep();
  draw();
}
function skip() {
  const ms = clock.nowMs(), next = show.nextSet(ms);
  if (!ended) jump(next ? next.at : show.totalMs, "skip");
}

// ---- Three minutes less: asked first, done at the second press, undone while nothing of it has passed.
function less() {
  const ms = clock.nowMs(), found = show.planned(ms, LESS_MS);
  if (!found.cells.length) { leave(); return say("Nothing of the cut order is left that has not begun."); }
  if (asked && String(asked.cells) === String(found.cells)) return cut(ms, found);
  asked = found;
  clearTimeout(asking);
  asking = setTimeout(leave, ASKED_MS);
  say(`${clockWords(found.wonMs)} less? ${show.words(found.cells)} would go. T or the button again does it, Escape leaves it.`);
  draw();
}
function leave() {
  clearTimeout(asking);
  if (asked) say("");
  asked = null;
  tell();
}
function cut(ms, { wonMs, cells }) {
  leave();
  show.cut(cells);
  cuts.push(cells);
  log.note("cut", ms, refs(cells));
  cutWords = `${clockWords(wonMs)} less: ${show.words(cells)} ${cells.length === 1 ? "goes" : "go"}. U on the stage undoes it.`;
  changed(cutWords);
}
const refs = (cells) => cells.map((cell) => sheet.cells[cell].ref).join(", ");
const undoable = (ms) => cuts.length > 0 && cuts.at(-1).every((cell) => ms < show.placeOf(cell));
function undo() {
  const ms = clock.nowMs();
  if (!undoable(ms)) return;
  leave();
  const cells = cuts.pop();
  show.uncut(cells);
  log.note("undo", ms, refs(cells));
  changed(`Undone: ${show.words(cells)} ${cells.length === 1 ? "comes" : "come"} after all.`);
}
function changed(words) {
  if (clock.playing) beeps.take(show.beeps);
  shown.system = null;
  keep();
  say(words);
  draw();
}
function waive() {
  sides.waive(sides.owed().map(([cell]) => cell));
  keep();
  draw();
}
function card() {
  pause({ card: false });
  leave();
  if ($("emergency").open) return;
  $("emergency").showModal();
  $("emergency").scrollTop = 0;
  tell();
}

// ---- The end, and back from it.
function end() {
  if (ended) return tell();
  ended = true;
  clock.pause();
  clock.seek(show.totalMs);
  leave();
  wake?.release?.();
  $("paused").close();
  picture(null, "");
  score(show.totalMs);
  for (const id of ["block", "count", "of"]) put(id, "");
  put("left", `${clockWords(0)} left`);
  words({ name: DONE, side: "", next: "", kit: "", cue: "" });
  steps(show.totalMs, {});
  put("go", "Done");
  $("go").disabled = true;
  log.note("end", show.totalMs);
  log.send();
  kept.clear();
  tell();
}
function unend() {
  ended = false;
  $("go").disabled = false;
  put("go", "Go on");
}
function say(words) { put("line", words); }
function rest() {
  pause({ card: false });
  log.rest();
  say("Another screen leads now.");
}

const back = () => jump(show.startOf(Math.min(clock.nowMs(), show.totalMs), 2000 * speed), "back");
const orders = { pause, go, toggle: () => (clock.playing ? pause() : go()), back, skip, less, undo, waive, card, rest };
const keys = { " ": "toggle", k: "toggle", b: "toggle", ".": "toggle", ArrowRight: "skip", PageDown: "skip", ArrowLeft: "back", PageUp: "back", t: "less", u: "undo", o: "waive", e: "card" };
// Under the emergency card nothing steers; before a show is taken up again, only what takes it up.
function steer(name) {
  const open = name === "rest" || (!$("emergency").open && (!$("resume").open || ["go", "toggle", "card"].includes(name)));
  if (open) orders[name]?.();
}
document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || $("emergency").open) return;
  const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
  if (key === " " && event.target.closest?.("button") && event.target.id !== "go") return;
  if (orders[keys[key]]) { event.preventDefault(); steer(keys[key]); }
  else if (key === "Escape") leave();
  else if (key === "m") $("sound").click();
  else if (key === "f") $("full").click();
});
$("go").addEventListener("click", () => steer("toggle"));
$("go").addEventListener("keydown", (event) => { if (event.key === " ") event.preventDefault(); });
$("on").addEventListener("click", go);
$("close").addEventListener("click", () => $("emergency").close());
$("emergency").addEventListener("close", tell);
for (const id of ["back", "skip", "less", "undo", "waive", "card"]) $(id).addEventListener("click", () => steer(id));
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
const line = makeLine(session, "stage", (message) => steer(message.do), {
  changed(what) {
    told = "";
    if (what === "lost") say(LOST);
    else if ($("line").textContent === LOST) say("");
  },
});
function tell() {
  if (log.resting) return; // another stage speaks
  const ms = Math.min(clock.nowMs(), show.totalMs), span = show.spanAt(ms), count = show.count(ms);
  const state = {
    is: "state", ms: Math.round(ms / 1000) * 1000, playing: clock.playing, ended, card: $("emergency").open,
    name: $("name").textContent, side: ended ? "" : span.side ?? "", moves: ended ? "" : span.moves ?? "",
    left: clockWords(show.totalMs - ms), count: count.rep ? `${count.rep} of ${count.of}` : `${count.seconds} s`, cue: $("cue").textContent,
    coming: show.cuesFrom(track, ms, 4).map(([at, , , text]) => [Math.round((at - ms) / 1000), text]),
    says: [$("line").textContent, $("owed").textContent].filter(Boolean).join(" "),
  };
  const words = JSON.stringify(state);
  if (words === told) return;
  told = words;
  line.send(state);
}
setInterval(() => { if (audio) keep(); }, KEEP_MS);
setInterval(() => { told = ""; draw(); }, BEAT_MS);
const fitAll = () => [...FITTED, "ladder"].forEach((id) => fit($(id)));
addEventListener("resize", fitAll);
document.fonts.ready.then(fitAll);

// ---- A show that was broken off stands where it was, and is gone on with or begun anew.
function offer(state) {
  takeUp(state);
  brokenOff = state.wall_ms;
  put("go", "Go on");
  put("resume-on", `Go on at ${clockWords(state.ms)}`);
  $("resume").showModal();
}
$("resume-on").addEventListener("click", go);
$("resume-anew").addEventListener("click", () => { kept.clear(); location.reload(); });
if (kept.state) offer(kept.state);
draw();
window.stage = { clock: () => clock, show, go, pause, draw };
