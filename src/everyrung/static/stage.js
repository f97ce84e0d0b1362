// @ts-check
// The stage: figure, count, side, load, ladder, words and place, by one clock; keys, a presenter's remote and a phone steer.
import { makeBeeper } from "./show/beeper.js";
import { makeClock, wakeSound } from "./show/clock.js";
import { $, put } from "./show/page.js";
import { makeShow } from "./show/show.js";
import { makeSides } from "./show/sides.js";
import { clockWords, lessWords, makeWords } from "./show/words.js";
import { makeKept } from "./stage/kept.js";
import { makeLine } from "./stage/line.js";
import { makeLiveCard } from "./stage/live.js";
import { makeLog } from "./stage/log.js";
import { makeMachine } from "./stage/machine.js";
import { makePictures } from "./stage/pictures.js";
import { makeStrip } from "./stage/strip.js";
import { makeView } from "./stage/view.js";

/** @typedef {import("./show/show.js").Fork} Fork */
/** @typedef {import("./show/state.js").State} State */

const { session = "", revision = "", setting = "", track = "", token = "", speed: asked = "1" } = document.body.dataset;
const speed = Number(asked);
const LOST = "Other screens can't be reached; the stage goes on.";
const OTHER = "Another version of this session is being led; it is not shown here.", OPEN = "Open that version here";
const LOOKING = "Another screen is leading; this one just shows it.";
const ASKED_MS = 10_000; // a question waits so long; chosen, because it takes some four seconds to read
const BEAT_MS = 2000; // so often the other screens hear that the stage is there; chosen, because one who waits counts so
const KEEP_MS = 1000; // a stage that breaks off loses no more than this
const APART_MS = 400; // a screen that looks on is set right when it is so far off; chosen, because nobody sees less
const SILENT_MS = 6000; // chosen, because a stage that is there has then missed three of its beats
const WAIT_MS = 1500; // for the studio to say who leads; chosen, because a line on a slow net is open by then

/** @param {string} name */
const read = async (name) => (await fetch(`/session/${session}/stage/${name}.json?of=${setting}`)).json();
const [sheet, looks] = await Promise.all(["run-sheet", "looks"].map(read));
const show = makeShow(sheet), sides = makeSides(show), said = makeWords(show, sides);
const log = makeLog(session, revision, token, () => (clock.playing ? nowMs() : null)), kept = makeKept(session, setting);
const pictures = makePictures(looks, (kind, name) => `/session/${session}/stage/${kind}/${name}?of=${setting}`, arrived);
const view = makeView({ show, said, pictures, looks, track, speed, strip: makeStrip($("strip"), show) });
const live = makeLiveCard(show, () => nowMs());
const ticks = new Worker(new URL("show/tick.js", import.meta.url), { type: "module" }); // with the page: Start needs no studio
const stage = makeMachine(entered);
/** @type {AudioContext | null} */
let audio = null;
let silent = false; // no sound card ever gave a time: the page's own is gone by
let clock = makeClock(null, speed);
/** @type {ReturnType<typeof makeBeeper> | null} */
let beeper = null;
/** @type {WakeLockSentinel | null} */
let wake = null;
let frame = 0, told = ""; // the frame that was asked for; what the other screens were told last
let coming = $("line").textContent; // what was said of what is still to come
let brokenOff = 0; // when on the wall the stage before this one was there last
/** @type {Fork | null} */
let question = null; // what "three minutes less" would take, while that is asked
let asking = 0, cutWords = "";
let hand = "stage"; // the screen that steered last

// ---- Drawing what is true now; one loop, however often it is woken.
const nowMs = () => Math.min(clock.nowMs(), show.totalMs);
function loop() {
  frame = 0;
  draw();
  wakeLoop();
}
function wakeLoop() { if (clock.playing && !frame) frame = requestAnimationFrame(loop); }
function draw() {
  const ms = nowMs();
  note(sides.upTo(ms));
  if (ms >= show.totalMs) {
    if (stage.looksOn) view.end();
    else if (!stage.step("end")) tell();
    return;
  }
  view.moment(ms, clock.playing);
  live.moment(ms);
  steps(ms);
  tell();
}
/** What the leader may still do: take less, undo a cut, dismiss a side that is owed. @param {number} ms */
function steps(ms) {
  put("less", lessWords(show.fork(ms)));
  document.body.classList.toggle("asking", Boolean(question));
  $("undo").hidden = !show.undoable(ms);
  if ($("undo").hidden && cutWords && $("line").textContent === cutWords) say("");
  $("waive").hidden = !said.owed(ms < show.totalMs ? show.spanAt(ms) : null);
}
/** @param {string} words */
function say(words) { put("line", words); }

// ---- What was done.
/** @param {import("./show/show.js").Span[]} bouts */
function note(bouts) {
  if (!stage.looksOn) for (const span of bouts) log.note("set", span.end_ms, show.cellOf(span)?.ref ?? "");
}
function keep() {
  if (!log.begun || stage.looksOn || stage.state === "ended") return;
  kept.state = { ms: clock.nowMs(), taken: show.taken, sides: sides.kept, log: log.kept };
}
/** The time that no stage was open is none that the session took. @param {number} ms */
function noteAgain(ms) {
  log.note("left", ms, "", { wallMs: brokenOff });
  log.note("again", ms);
}

// ---- The states: what is true once one is come to, whatever led there.
/** @param {import("./stage/machine.js").StageState} now @param {import("./stage/machine.js").StageState} before */
function entered(now, before) {
  if (before === "running" || now === "ended") still();
  if (before === "ended") { $("go").disabled = false; put("go", "Go on"); }
  if (now === "running") run();
  if (now === "ended") end();
  if (now === "standing" && before === "running") paused();
  if (before === "waiting") sayPictures();
  markPause();
}
function run() {
  if (!beeper) begin();
  clock.go();
  beeper?.take(show.beeps);
  log.note("go", clock.nowMs(), "", { by: hand });
  sayPictures();
  put("go", "Pause");
  view.play(true);
  stayAwake();
  wakeLoop();
}
function begin() {
  const from = clock.nowMs();
  if (audio) {
    const heard = makeClock(audio, speed); // stands still where there is no sound, and no beep with it
    clock = silent ? makeClock(null, speed) : heard;
    clock.seek(from);
    beeper = makeBeeper(audio, heard, looks.tones, { speed, tick: (fill) => { ticks.onmessage = fill; } });
    beeper.loud = $("sound").getAttribute("aria-pressed") === "true";
  }
  if (log.begun) noteAgain(from);
  else log.begin(from);
}
/** Nothing moves or sounds any more. */
function still() {
  clock.pause();
  beeper?.take([]);
  view.play(false);
  wake?.release?.();
}
function paused() {
  log.note("pause", clock.nowMs(), "", { by: hand });
  keep();
  put("go", "Go on");
  draw();
}
function end() {
  clock.seek(show.totalMs);
  leave();
  view.end();
  steps(show.totalMs);
  put("go", "Done");
  $("go").disabled = true;
  if (log.kept.events.at(-1)?.what !== "end") log.note("end", show.totalMs);
  log.send();
  kept.clear();
  tell();
}
/** Whatever else was on the screen: while a show that has begun stands still, the mark with the way to go on is there. */
function markPause() {
  const marked = stage.state === "standing" && log.begun && !$("emergency").open;
  if (marked && !$("paused").open) $("paused").show();
  else if (!marked) $("paused").close();
}
async function stayAwake() { try { wake = await navigator.wakeLock?.request("screen"); } catch { wake = null; } }

// ---- Steering.
async function go() {
  if (!stage.can("go") || $("emergency").open) return;
  $("resume").close();
  audio ??= new AudioContext(); // at the press of a key, or the browser would keep it silent
  audio.resume();
  if (!beeper && pictures.asking) { stage.step("wait"); return sayPictures(); }
  await start();
}
async function start() {
  if (audio && !silent && !(await wakeSound(audio)) && !audio.currentTime) {
    silent = true;
    put("sound", "No sound");
    $("sound").disabled = true;
  }
  if (!$("emergency").open) stage.step("go"); // the card may have come while the sound was woken
}
function pause() { stage.step("pause"); }
/** @param {number} ms @param {string} what */
function jump(ms, what) {
  const from = nowMs(), to = Math.min(ms, show.totalMs);
  note(sides.jumped(from, to));
  log.note(what, from, show.cellOf(show.spanAt(Math.min(from, show.totalMs - 1)))?.ref ?? "", { toMs: to, by: hand });
  clock.seek(to);
  told = ""; // the others can't know
  if (to < show.totalMs) stage.step("rewind");
  if (clock.playing) beeper?.take(show.beeps);
  keep();
  draw();
}
function skip() {
  if (stage.state !== "ended") jump(show.nextSet(clock.nowMs())?.at_ms ?? show.totalMs, "skip");
}
function back() { jump(show.startOf(nowMs(), 2000 * speed), "back"); }
function waive() {
  if (sides.owed().length) log.note("waive", nowMs(), "", { by: hand });
  sides.waive(sides.owed().map(([cell]) => cell));
  keep();
  draw();
}
function card() {
  if ($("emergency").open) return;
  $("live").close();
  $("emergency").showModal();
  $("emergency").scrollTop = 0;
  pause();
  markPause();
  leave();
}

// ---- The pictures: Start waits for them, or does without.
function arrived() {
  sayPictures();
  draw();
  if (stage.state !== "waiting" || pictures.asking) return;
  if (pictures.came === pictures.total) start();
  else stage.step("desist");
}
function sayPictures() {
  $("without").hidden = !(stage.state === "waiting" && pictures.asking);
  if (!["", coming].includes($("line").textContent)) return;
  coming = beeper ? "" : picturesWords();
  say(coming);
}
function picturesWords() {
  const { came, total } = pictures;
  if (pictures.asking) return `${stage.state === "waiting" ? "It starts once all the pictures have loaded" : "Pictures"}: ${came} of ${total}.`;
  const missing = total - came;
  const verb = missing === 1 ? "is" : "are";
  return missing ? `${missing} of ${total} pictures did not load and ${verb} asked for again. The stage goes on without.` : "";
}

// ---- Three minutes less, or as near to it as the cut order comes: asked first, done at the second press, undone while
// nothing of it has passed.
function less() {
  const ms = clock.nowMs(), fork = show.fork(ms);
  if (!fork) { leave(); return say("Everything left in the cut order has already begun."); }
  if (question === fork) return cut(ms, fork);
  question = fork;
  clearTimeout(asking);
  asking = setTimeout(leave, ASKED_MS);
  say(`${clockWords(fork.less_ms)} less? ${fork.words} would go. T or the button again does it, Escape leaves it.`);
  draw();
}
function leave() {
  clearTimeout(asking);
  if (question) say("");
  question = null;
  document.body.classList.remove("asking");
  tell();
}
/** @param {Fork} fork */
const refs = (fork) => fork.cells.map((cell) => show.cells[cell].ref).join(", ");
/** @param {Fork} fork @param {string} one @param {string} many */
const verb = (fork, one, many) => (fork.cells.length + fork.talks.length === 1 ? one : many);
/** @param {number} ms @param {Fork} fork */
function cut(ms, fork) {
  leave();
  show.take(fork);
  log.note("cut", ms, refs(fork), { by: hand });
  cutWords = `${clockWords(fork.less_ms)} less: ${fork.words} ${verb(fork, "goes", "go")}. U on the stage undoes it.`;
  changed(cutWords);
}
function undo() {
  const ms = clock.nowMs(), fork = show.undoable(ms);
  if (!fork) return;
  leave();
  show.undo();
  log.note("undo", ms, refs(fork), { by: hand });
  changed(`Undone: ${fork.words} ${verb(fork, "comes", "come")} after all.`);
}
/** @param {string} words */
function changed(words) {
  if (clock.playing) beeper?.take(show.beeps);
  keep();
  say(words);
  draw();
}

// ---- Keys, buttons, the phone.
/** @type {Record<string, () => unknown>} */
const orders = { pause, go, toggle: () => (stage.state === "running" ? pause() : go()), back, skip, less, undo, waive, card };
/** @type {Record<string, string>} */
const keys = {
  " ": "toggle", k: "toggle", b: "toggle", ".": "toggle", ArrowRight: "skip", PageDown: "skip", ArrowLeft: "back", PageUp: "back",
  t: "less", u: "undo", o: "waive", e: "card",
};
/**
 * Under the emergency card nothing steers, nor does a screen that looks on; before a show is taken up again, only what
 * takes it up.
 * @param {string} name @param {string} [by] which screen it was pressed on
 */
function steer(name, by = "stage") {
  hand = by;
  const open = !$("emergency").open && (stage.state !== "interrupted" || ["go", "toggle", "card"].includes(name));
  if (open && (!stage.looksOn || name === "card")) orders[name]?.();
}
document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || $("emergency").open) return;
  const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
  if ($("elsewhere").open && key !== "e") return;
  const button = event.target instanceof Element ? event.target.closest("button") : null;
  if (key === " " && button && button.id !== "go") return;
  if (orders[keys[key]]) { event.preventDefault(); steer(keys[key]); }
  else if (key === "Escape") { $("live").close(); leave(); } // a busy browser has lost its own Escape of a dialog
  else if (key === "m") $("sound").click();
  else if (key === "f") $("full").click();
  else if (key === "l") live.open();
});
$("go").addEventListener("click", () => steer("toggle"));
$("go").addEventListener("keydown", (/** @type {KeyboardEvent} */ event) => { if (event.key === " ") event.preventDefault(); });
$("on").addEventListener("click", () => steer("go"));
$("without").addEventListener("click", start);
$("close").addEventListener("click", () => $("emergency").close());
$("emergency").addEventListener("close", () => { markPause(); tell(); });
for (const id of ["back", "skip", "less", "undo", "waive", "card"]) $(id).addEventListener("click", () => steer(id));
$("sound").addEventListener("click", () => {
  const on = $("sound").getAttribute("aria-pressed") !== "true";
  $("sound").setAttribute("aria-pressed", on);
  put("sound", on ? "Beeps on" : "Beeps off");
  if (beeper) beeper.loud = on;
});
$("full").addEventListener("click", () => {
  if (document.fullscreenElement) document.exitFullscreen();
  else document.documentElement.requestFullscreen().catch(() => {});
});
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible" && clock.playing) { stayAwake(); draw(); }
});
for (const [name, words] of sheet.room?.help ?? []) {
  $("help-here").append(...[["dt", name], ["dd", words]].map(([tag, text]) => Object.assign(document.createElement(tag), { textContent: text })));
  $("help-here").hidden = false;
}
for (const words of looks.stop) $("stop").append(Object.assign(document.createElement("p"), { textContent: words }));
addEventListener("resize", view.fitAll);
document.fonts.ready.then(view.fitAll, () => {});

// ---- The other screens. One stage leads; another one looks on, until it takes over.
let leads = false, booted = false; // whether the studio has said that this screen leads; whether a show to take up was looked for
/** @type {(State & {at: number}) | null} */
let leader = null; // what the one that leads said last, and when
/** @type {Record<string, (message: any) => void>} what the line says */
const heard = {
  here: ({ lead, silent_ms: silent }) => (lead ? granted() : stage.looksOn || giveWay(elsewhereWords(silent))),
  state: follow,
  rest: () => giveWay("Another screen has taken over and is leading now."),
  free: missed,
};
const line = makeLine(session, "stage", (message) => {
  if (message.do && message.do !== "rest") steer(message.do, message.by);
  else heard[message.is ?? message.do]?.(message);
}, {
  stands: () => (stage.looksOn ? "looks" : leads && (beeper || log.begun) ? "leads" : "new"),
  changed(what) {
    told = "";
    if (what === "lost") { boot(); say(LOST); }
    else if ($("line").textContent === LOST) say("");
  },
});
function granted() {
  if (stage.looksOn) return; // it was asked, and looks on
  leads = true;
  boot();
}
/** @param {number} silent */
function elsewhereWords(silent) {
  const since = silent > SILENT_MS ? ` Nothing heard from it for ${Math.round(silent / 1000)} s.` : "";
  return `This session is open on another screen, and that one leads.${since}`;
}
/** It looks on and says so; the leader is asked whether she wants the lead here. @param {string} why */
function giveWay(why) {
  pause();
  leads = false;
  log.rest();
  $("resume").close();
  stage.step("give way");
  document.body.classList.add("looking");
  put("elsewhere-words", why);
  put("take", "Take over here");
  say(LOOKING);
  if (!$("elsewhere").open) $("elsewhere").showModal();
}
/** @param {State} state */
function follow(state) {
  if (!stage.looksOn) return;
  leader = { ...state, at: Date.now() };
  if (stage.step("hear")) $("elsewhere").close(); // it was only its line
  if (state.setting !== setting) { put("take", OPEN); put("over", OPEN); return say(OTHER); }
  if (String(state.taken) !== String(show.taken)) show.taken = state.taken;
  sides.kept = state.sides;
  if (Math.abs(clock.nowMs() - state.ms) > APART_MS) clock.seek(state.ms);
  if (state.playing) clock.go(); else clock.pause();
  view.play(state.playing);
  if ($("line").textContent !== LOST) say(lookingWords(state));
  draw();
  wakeLoop();
}
/** @param {State} state */
function lookingWords(state) {
  if (state.card) return `${LOOKING} The emergency card is open there.`;
  return state.playing || state.ended ? LOOKING : `${LOOKING} It stands still there.`;
}
function missed() {
  if (!stage.looksOn) return;
  clock.pause();
  view.play(false);
  if (!leader) { $("elsewhere").close(); return take(); } // it was only the one before this that went
  stage.step("miss");
  put("elsewhere-words", `The screen that was leading has stopped answering; it had ${clockWords(show.totalMs - clock.nowMs())} left.`);
  say(LOOKING);
  if (!$("elsewhere").open) $("elsewhere").showModal();
  put("take", "Take it back here");
}
function take() {
  if (leader && leader.setting !== setting) return location.assign(`${location.pathname}?of=${leader.setting}&track=${track}`);
  const mine = kept.state, before = leader;
  $("elsewhere").close();
  document.body.classList.remove("looking");
  leader = null;
  leads = true;
  log.wake();
  clock.pause();
  if (mine && before?.begun) log.kept = mine.log;
  brokenOff = before?.at ?? 0;
  if (before?.begun && beeper) noteAgain(clock.nowMs());
  line.send({ do: "lead" });
  say("");
  told = "";
  put("go", before?.begun ? "Go on" : "Start");
  stage.step(before?.begun ? "take" : "open");
  if (!before) return boot();
  booted = true; // it goes on from where the other one was; nothing was broken off
  if (before.playing) return go();
  draw();
}
$("look").addEventListener("click", () => $("elsewhere").close());
$("take").addEventListener("click", take);
$("over").addEventListener("click", take);

function tell() {
  if (stage.looksOn) return; // another stage speaks
  /** @type {Omit<State, "ms">} */
  const state = {
    is: "state", setting, track, speed, begun: log.begun, taken: show.taken, sides: sides.kept, playing: clock.playing,
    ended: stage.state === "ended", card: $("emergency").open, says: $("line").textContent,
  };
  const words = JSON.stringify({ ...state, sides: sides.owed() });
  if (words === told) return;
  told = words;
  line.send({ ...state, ms: Math.round(nowMs()) });
}
setInterval(() => { if (beeper) keep(); }, KEEP_MS);
setInterval(() => {
  told = "";
  draw();
  if (leader && stage.state === "following" && Date.now() - leader.at > SILENT_MS) missed();
}, BEAT_MS);

// ---- A show that was broken off stands where it was, and is gone on with or begun anew; but not while another leads it.
function boot() {
  if (booted || stage.looksOn) return;
  booted = true;
  const state = kept.state;
  if (!state || !stage.step("find")) return;
  show.taken = state.taken ?? [];
  sides.kept = state.sides;
  log.kept = state.log;
  clock.seek(state.ms);
  brokenOff = state.wall_ms;
  put("go", "Go on");
  put("resume-on", `Go on at ${clockWords(state.ms)}`);
  $("resume").showModal();
  draw();
}
$("resume").addEventListener("close", () => stage.step("set aside"));
$("resume-on").addEventListener("click", go);
$("resume-anew").addEventListener("click", () => { kept.clear(); location.reload(); });
setTimeout(boot, WAIT_MS);
sayPictures();
draw();
$("line").closest("footer").inert = false; // until now a press would have been lost
Object.assign(window, { stage: { clock: () => clock, figure: () => view.figure, show, pictures, go, pause, draw, state: () => stage.state } });
