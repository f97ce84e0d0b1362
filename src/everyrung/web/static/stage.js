// The stage: figure, count, side, next, kit, ladder and score, by one clock; keys, a presenter's remote and a phone steer.
import { mountFigure } from "./figure.js";
import { makeBeeps } from "./stage/beeps.js";
import { makeClock } from "./stage/clock.js";
import { fit } from "./stage/fit.js";
import { makeKept } from "./stage/kept.js";
import { showLadder, turnLadder } from "./stage/ladder.js";
import { makeLine } from "./stage/line.js";
import { makeLog } from "./stage/log.js";
import { makePictures } from "./stage/pictures.js";
import { makeScore } from "./stage/score.js";
import { makeShow } from "./stage/show.js";
import { makeSides } from "./stage/sides.js";
import { clockWords, makeWords } from "./stage/words.js";

const $ = (id) => document.getElementById(id);
const { session, revision, setting, track, token } = document.body.dataset;
const speed = Number(document.body.dataset.speed);
const LOST = "Other screens can't be reached; the stage goes on.";
const OTHER = "Another version of this session is led; it is not shown here.", OPEN = "Open that version here";
const LOOKING = "Another screen leads; this one looks on.";
const DONE = "Done. Well done, everyone.";
const ASKED_MS = 10_000; // a question waits so long; chosen, because it takes some four seconds to read
const BEAT_MS = 2000; // so often the other screens hear that the stage is there; chosen, because one who waits counts so
const KEEP_MS = 1000; // a stage that breaks off loses no more than this
const APART_MS = 400; // a screen that looks on is set right when it is so far off; chosen, because nobody sees less
const SILENT_MS = 6000; // chosen, because a stage that is there has then missed three of its beats
const WAIT_MS = 1500; // for the studio to say who leads; chosen, because a line on a slow net is open by then
const FITTED = ["name", "side", "soon", "cue"];
const read = async (name) => (await fetch(`/session/${session}/stage/${name}.json?of=${setting}`)).json();
const [sheet, looks] = await Promise.all(["run-sheet", "looks"].map(read));
const show = makeShow(sheet);
const log = makeLog(session, revision, token);
const sides = makeSides(show);
const said = makeWords(show, sides);
const kept = makeKept(session, setting);
const pictures = makePictures(looks, (kind, name) => `/session/${session}/stage/${kind}/${name}?of=${setting}`, arrived);
const score = makeScore($("score"), looks.systems, pictures.score);
let audio = null, clock = makeClock(null, speed), beeps = null, figure = null, wake = null;
let shown = { cell: null, side: "", motion: null, came: 0 }, told = "", frame = 0, ended = false, begun = false;
let waits = false, withoutPictures = false, coming = ""; // Start was pressed before all were there; what was said of them
let stands = "new", booted = false, leader = null, gone = false; // whether this screen leads or looks on; what the one that leads said
let brokenOff = 0; // when on the wall the stage before this one was there last
let asked = null, asking = 0, cutWords = ""; // what "three minutes less" would take, and how long that is still asked

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
  words({ name: said.name(span, cell), side: said.side(span, cell), next: said.next(ms, span), kit: said.kit(ms, span, cell), cue: show.cueAt(track, ms) });
  picture(cell, show.sideAt(ms));
  score(show.number, ms);
  steps(ms, span);
  tell();
}
function words(found) {
  const changed = Object.entries(found).filter(([id, each]) => put(id, each));
  if (changed.length) FITTED.forEach((id) => fit($(id)));
}
// What the leader may still do: take less, undo a cut, dismiss a side that is owed.
function steps(ms, span) {
  put("less", lessWords(ms));
  $("undo").hidden = !show.undoable(ms);
  if ($("undo").hidden && cutWords && $("line").textContent === cutWords) say("");
  put("owed", said.owed(span));
  $("waive").hidden = !$("owed").textContent;
}
// The figures with the side working that the words name: one that was solved on the other side is turned. One that is
// not there leaves its place to the words, and nothing of the one before it.
function picture(cell, side) {
  const motion = cell ? pictures.motion(cell.figure) : null;
  const same = shown.cell === cell && shown.side === side;
  if (shown.cell !== cell || shown.came !== pictures.came) { showLadder($("ladder"), cell?.others ?? [], pictures, looks.stills); fit($("ladder")); }
  turnLadder($("ladder"), side);
  shown.came = pictures.came;
  if (same && shown.motion === motion) return;
  Object.assign(shown, { cell, side, motion });
  figure?.destroy();
  figure = null;
  $("figure").width = 0; // nothing of what was drawn stays
  $("figure").classList.toggle("gone", !motion);
  const bare = Boolean(cell) && !motion;
  if (document.body.classList.toggle("bare", bare) !== shown.bare) { shown.bare = bare; fitAll(); }
  if (motion) figure = mountFigure($("figure"), motion, { playing: clock.playing, speed: Math.min(speed, 4), mirrored: looks.motions[cell.figure] === side });
}

// ---- What was done.
function note(bouts) {
  if (!log.resting) for (const span of bouts) log.note("set", span.end_ms, show.cellOf(span)?.ref ?? "");
}
function keep() {
  if (log.begun && !log.resting && !ended) kept.state = { ms: clock.nowMs(), taken: show.taken, sides: sides.kept, log: log.kept };
}
function takeUp(state) {
  show.taken = state.taken ?? [];
  sides.kept = state.sides;
  log.kept = state.log;
  clock.seek(state.ms);
}

// ---- Steering.
function start() {
  begun = true;
  const from = clock.nowMs();
  clock = makeClock(audio, speed);
  clock.seek(from);
  beeps = makeBeeps(audio, clock, looks.tones, speed);
  beeps.on = $("sound").getAttribute("aria-pressed") === "true";
  if (log.begun) again(from);
  else log.begin(from);
}
// The time that no stage was open is none that the session took.
function again(from) {
  log.note("left", from, "", brokenOff);
  log.note("again", from);
}
async function go() {
  if (ended || $("emergency").open) return;
  $("resume").close();
  audio ??= new AudioContext(); // at the press of a key, or the browser would keep it silent
  audio.resume();
  if (!begun && pictures.asking && !withoutPictures) { waits = true; return sayPictures(); }
  waits = false;
  if (!begun) start();
  await audio.resume();
  if ($("emergency").open || clock.playing || log.resting) return; // the card came while the sound was woken
  clock.go();
  beeps.take(show.beeps);
  log.note("go", clock.nowMs());
  sayPictures();
  markPause();
  put("go", "Pause");
  figure?.play();
  try { wake = await navigator.wakeLock?.request("screen"); } catch { wake = null; }
  wakeLoop();
}
function pause() {
  if (!clock.playing) return;
  clock.pause();
  beeps?.take([]);
  if (!log.resting) log.note("pause", clock.nowMs());
  log.send();
  keep();
  figure?.pause();
  put("go", "Go on");
  wake?.release?.();
  markPause();
  draw();
}
// Whatever else was on the screen: while a show that has begun stands still, the mark with the way to go on is there.
function markPause() {
  const still = log.begun && !clock.playing && !ended && !log.resting && !$("emergency").open && !$("resume").open;
  if (still && !$("paused").open) $("paused").show();
  else if (!still) $("paused").close();
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
  if (!ended) jump(next ? next.at_ms : show.totalMs, "skip");
}

// ---- The pictures: Start waits for them, or does without.
function arrived() {
  const waited = waits && !pictures.asking;
  sayPictures();
  draw();
  if (waited && pictures.came === pictures.total) go();
  if (waited) waits = false;
}
function sayPictures() {
  $("without").hidden = !(waits && pictures.asking);
  if (!["", coming].includes($("line").textContent)) return;
  coming = begun ? "" : picturesWords();
  say(coming);
}
function picturesWords() {
  const { came, total, asking } = pictures;
  if (asking) return `${waits ? "It starts when all pictures are here" : "Pictures"}: ${came} of ${total}.`;
  const missing = total - came;
  return missing ? `${missing} of ${total} pictures did not come and ${missing === 1 ? "is" : "are"} asked for again. It goes without.` : "";
}

// ---- Three minutes less, or as near to it as the cut order comes: asked first, done at the second press, undone while
// nothing of it has passed.
const lessWords = (ms) => { const fork = show.fork(ms); return fork ? `${clockWords(fork.less_ms)} less` : "3 minutes less"; };
function less() {
  const ms = clock.nowMs(), fork = show.fork(ms);
  if (!fork) { leave(); return say("Nothing of the cut order is left that has not begun."); }
  if (asked === fork) return cut(ms, fork);
  asked = fork;
  clearTimeout(asking);
  asking = setTimeout(leave, ASKED_MS);
  say(`${clockWords(fork.less_ms)} less? ${fork.words} would go. T or the button again does it, Escape leaves it.`);
  draw();
}
function leave() {
  clearTimeout(asking);
  if (asked) say("");
  asked = null;
  tell();
}
function cut(ms, fork) {
  leave();
  show.take(fork);
  log.note("cut", ms, refs(fork));
  cutWords = `${clockWords(fork.less_ms)} less: ${fork.words} ${single(fork) ? "goes" : "go"}. U on the stage undoes it.`;
  changed(cutWords);
}
const refs = (fork) => fork.cells.map((cell) => show.cells[cell].ref).join(", ");
const single = (fork) => fork.cells.length + fork.talks.length === 1;
function undo() {
  const ms = clock.nowMs(), fork = show.undoable(ms);
  if (!fork) return;
  leave();
  show.undo();
  log.note("undo", ms, refs(fork));
  changed(`Undone: ${fork.words} ${single(fork) ? "comes" : "come"} after all.`);
}
function changed(words) {
  if (clock.playing) beeps.take(show.beeps);
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
  if ($("emergency").open) return;
  $("emergency").showModal();
  $("emergency").scrollTop = 0;
  if (!log.resting) pause();
  markPause();
  leave();
}

// ---- The end, and back from it.
function end() {
  if (ended) return tell();
  ended = true;
  clock.pause();
  clock.seek(show.totalMs);
  leave();
  wake?.release?.();
  markPause();
  picture(null, "");
  score(show.number, show.totalMs);
  for (const id of ["block", "count", "of"]) put(id, "");
  put("left", `${clockWords(0)} left`);
  words({ name: DONE, side: "", next: "", kit: "", cue: "" });
  steps(show.totalMs, {});
  put("go", "Done");
  $("go").disabled = true;
  if (log.resting) return;
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

const back = () => jump(show.startOf(Math.min(clock.nowMs(), show.totalMs), 2000 * speed), "back");
const orders = { pause, go, toggle: () => (clock.playing ? pause() : go()), back, skip, less, undo, waive, card };
const keys = { " ": "toggle", k: "toggle", b: "toggle", ".": "toggle", ArrowRight: "skip", PageDown: "skip", ArrowLeft: "back", PageUp: "back", t: "less", u: "undo", o: "waive", e: "card" };
// Under the emergency card nothing steers, nor does a screen that looks on; before a show is taken up again, only what
// takes it up.
function steer(name) {
  const open = !$("emergency").open && (!$("resume").open || ["go", "toggle", "card"].includes(name));
  if (open && (!log.resting || name === "card")) orders[name]?.();
}
document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || $("emergency").open ) return;
  const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
  if ($("elsewhere").open && key !== "e") return;
  if (key === " " && event.target.closest?.("button") && event.target.id !== "go") return;
  if (orders[keys[key]]) { event.preventDefault(); steer(keys[key]); }
  else if (key === "Escape") leave();
  else if (key === "m") $("sound").click();
  else if (key === "f") $("full").click();
});
$("go").addEventListener("click", () => steer("toggle"));
$("go").addEventListener("keydown", (event) => { if (event.key === " ") event.preventDefault(); });
$("on").addEventListener("click", () => steer("go"));
$("without").addEventListener("click", () => { withoutPictures = true; go(); });
$("close").addEventListener("click", () => $("emergency").close());
$("emergency").addEventListener("close", () => { markPause(); tell(); });
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
$("stop").append(...looks.stop.map((words) => Object.assign(document.createElement("p"), { textContent: words })));
const fitAll = () => [...FITTED, "ladder"].forEach((id) => fit($(id)));
addEventListener("resize", fitAll);
document.fonts.ready.then(fitAll);

// ---- The other screens. One stage leads; another one looks on, until it takes over.
const heard = { // what the line says
  here: ({ lead, silent_ms: silent }) => (lead ? leads() : stands === "looks" || ask(elsewhereWords(silent))),
  state: follow,
  rest: () => ask("Another screen has taken over, and leads now."),
  free: freed,
};
const line = makeLine(session, "stage", (message) => (message.do && message.do !== "rest" ? steer(message.do) : heard[message.is ?? message.do]?.(message)), {
  stands: () => (stands === "leads" && !begun && !log.begun ? "new" : stands),
  changed(what) {
    told = "";
    if (what === "lost") { boot(); say(LOST); }
    else if ($("line").textContent === LOST) say("");
  },
});
function leads() {
  if (stands === "looks") return; // it was asked, and looks on
  stands = "leads";
  boot();
}
function elsewhereWords(silent) {
  const since = silent > SILENT_MS ? ` It has said nothing for ${Math.round(silent / 1000)} s.` : "";
  return `This session is open on another screen, and that one leads.${since}`;
}
// It looks on and says so; the leader is asked whether she wants the lead here.
function ask(why) {
  if (stands !== "looks") { pause(); waits = false; }
  stands = "looks";
  log.rest();
  $("resume").close();
  markPause();
  document.body.classList.add("looking");
  put("elsewhere-words", why);
  put("take", "Take over here");
  say(LOOKING);
  if (!$("elsewhere").open) $("elsewhere").showModal();
}
function follow(state) {
  if (stands !== "looks") return;
  leader = { ...state, at: Date.now() };
  if (gone) { gone = false; $("elsewhere").close(); } // it was only its line
  if (state.setting !== setting) { put("take", OPEN); put("over", OPEN); return say(OTHER); }
  if (String(state.taken ?? []) !== String(show.taken)) show.taken = state.taken ?? [];
  sides.kept = state.sides;
  if (ended && !state.ended) unend();
  if (Math.abs(clock.nowMs() - state.ms) > APART_MS) clock.seek(state.ms);
  if (state.playing) clock.go(); else clock.pause();
  if (state.playing) figure?.play(); else figure?.pause();
  if ($("line").textContent !== LOST) say(state.card ? `${LOOKING} The emergency card is open there.` : state.playing || state.ended ? LOOKING : `${LOOKING} It stands still there.`);
  draw();
  wakeLoop();
}
function freed() {
  if (stands !== "looks") return;
  clock.pause();
  figure?.pause();
  if (!leader) { $("elsewhere").close(); return take(); } // it was only the one before this that went
  gone = true;
  ask(`The screen that led does not answer any more; at ${clockWords(show.totalMs - clock.nowMs())} left it was there.`);
  put("take", "Take it back here");
}
function take() {
  if (leader && leader.setting !== setting) return location.assign(`${location.pathname}?of=${leader.setting}&track=${track}`);
  const mine = kept.state, played = leader?.playing;
  $("elsewhere").close();
  document.body.classList.remove("looking");
  stands = "leads";
  log.wake();
  if (mine && leader?.begun) log.kept = mine.log;
  brokenOff = leader?.at ?? 0;
  if (leader?.begun && begun) again(clock.nowMs());
  line.send({ do: "lead" });
  say("");
  told = "";
  if (!leader) return boot();
  booted = true; // it goes on from where the other one was; nothing was broken off
  put("go", leader.begun ? "Go on" : "Start");
  leader = null;
  if (played) return go();
  markPause();
  draw();
}
$("look").addEventListener("click", () => $("elsewhere").close());
$("take").addEventListener("click", take);
$("over").addEventListener("click", take);

function tell() {
  if (log.resting) return; // another stage speaks
  const ms = Math.min(clock.nowMs(), show.totalMs), span = show.spanAt(ms), count = show.count(ms);
  const state = {
    is: "state", setting, begun: log.begun, taken: show.taken, sides: sides.kept, playing: clock.playing, ended, card: $("emergency").open,
    name: $("name").textContent, side: ended ? "" : span.side ?? "", moves: ended ? "" : span.moves ?? "",
    left: clockWords(show.totalMs - ms), count: count.rep ? `${count.rep} of ${count.of}` : `${count.seconds} s`, cue: $("cue").textContent,
    coming: show.cuesFrom(track, ms, 4).map((cue) => [Math.round((cue.at_ms - ms) / 1000), cue.words]),
    less: lessWords(ms),
    says: [$("line").textContent, $("owed").textContent].filter(Boolean).join(" "),
  };
  const words = JSON.stringify({ ...state, sides: 0 });
  if (words === told) return;
  told = words;
  line.send({ ...state, ms: Math.round(ms) });
}
setInterval(() => { if (begun) keep(); }, KEEP_MS);
setInterval(() => {
  told = "";
  draw();
  if (leader && !gone && Date.now() - leader.at > SILENT_MS) freed();
}, BEAT_MS);

// ---- A show that was broken off stands where it was, and is gone on with or begun anew; but not while another leads it.
function boot() {
  if (booted || stands === "looks") return;
  booted = true;
  if (kept.state) offer(kept.state);
}
function offer(state) {
  takeUp(state);
  brokenOff = state.wall_ms;
  put("go", "Go on");
  put("resume-on", `Go on at ${clockWords(state.ms)}`);
  $("resume").showModal();
  draw();
}
$("resume").addEventListener("close", markPause);
$("resume-on").addEventListener("click", go);
$("resume-anew").addEventListener("click", () => { kept.clear(); location.reload(); });
setTimeout(boot, WAIT_MS);
sayPictures();
draw();
window.stage = { clock: () => clock, figure: () => figure, show, pictures, go, pause, draw };
