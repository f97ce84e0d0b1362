// @ts-check
// One page for one participant: what they said, where the session is, and what they press.
import { makeBeeper } from "../show/beeper.js";
import { makeClock, wakeSound } from "../show/clock.js";
import { $, put } from "../show/page.js";
import { makeShow } from "../show/show.js";
import { makeSides } from "../show/sides.js";
import { clockWords, countWords } from "../show/words.js";
import { backText } from "./back.js";
import { ballFor, Choices, statureCm } from "./choose.js";
import { makeMoving, readMotions } from "./motions.js";
import { card, chooser, kitWords, made, picture, sideWords } from "./page.js";
import { kindOf, setsOf } from "./sets.js";
import { markTwin } from "./twin.js";
import { makeVoice } from "./voice.js";

const TICK_MS = 60;

const { sheet, extras } = JSON.parse($("data").textContent);
const show = makeShow(sheet), sets = setsOf(show, extras.kit), choices = new Choices(sets), sides = makeSides(show);
const stops = show.spans.filter((span, at) => !at || span.cell !== show.spans[at - 1].cell);
/** @type {AudioContext | null} */
let audio = null;
let clock = makeClock(null);
/** @type {ReturnType<typeof makeBeeper> | null} */
let beeper = null;
/** @type {ReturnType<typeof ballFor>} */
let balls = null;
/** @type {number | null | undefined} */
let shownSet; // none is shown at first
/** @type {number | null} */
let shownBout = null;
let moving = makeMoving({}, extras.turned), shownSide = "";
/** @type {WakeLockSentinel | null} */
let lock = null;
/** @type {number | null} the set that was done last and may be asked about */
let asked = null;
const voice = makeVoice((there) => { $("speak-label").hidden = !there; });

/** @param {string} name */
const chosen = (name) => /** @type {HTMLInputElement | null} */ (document.querySelector(`input[name="${name}"]:checked`))?.value ?? "";

/** @param {number} set @param {number} at */
function changed(set, at) {
  choices.choose(set, at);
  listSets();
  markTwin(choices);
  shownSet = undefined;
  showNow();
}

// ---- Before the start: every set with the rung that suits, open to change.
function listSets() {
  const active = document.activeElement;
  const held = active instanceof HTMLElement ? active.dataset.set : undefined;
  /** @type {Node[]} */
  const rows = [];
  let group = "";
  sets.forEach((set, at) => {
    const name = set.round ? `${set.block}, round ${set.round}` : set.block;
    if (name !== group) rows.push(made("h3", "", name));
    group = name;
    rows.push(row(at));
  });
  $("sets").replaceChildren(...rows);
  const select = held && document.querySelector(`#sets [data-set="${held}"]`);
  if (select instanceof HTMLElement) select.focus();
}
/** What speaks against the rung that is shown: kit that isn't there, and a round that first-timers rest through. @param {number} at */
function warned(at) {
  const rung = choices.rung(at), missing = rung ? choices.missing(rung) : [];
  const late = choices.late(at) ? "First time here? Half as many will do, or walk on the spot." : "";
  return [missing.length ? `Needs ${missing.join(" and ")}.` : "", late].filter(Boolean).join(" ");
}
/** Why a set is rested through. @param {number} at */
function unled(at) {
  return choices.own.has(at) ? "You chose to rest." : "None of its versions goes with what you have.";
}
/** @param {number} at */
function row(at) {
  const node = $("a-set").content.cloneNode(true), set = sets[at], rung = choices.rung(at);
  const part = (/** @type {string} */ kind) => node.querySelector(kind);
  part(".set").dataset.kinds = rung ? rung.kinds.join(", ") : "rest";
  if (rung && extras.figures[rung.figure]) part(".shown").append(picture(rung, extras.figures[rung.figure]));
  part(".name").textContent = rung ? `${set.number}. ${rung.name}` : `${set.number}. Rest`;
  part(".how").textContent = rung ? `${rung.dose}; ${kitWords(rung, extras, balls) || "empty hands"}` : unled(at);
  part(".test").textContent = rung ? rung.entry_test : "";
  part(".missing").textContent = warned(at);
  for (const kind of [".test", ".missing"]) if (!part(kind).textContent) part(kind).remove();
  part(".label").textContent = `Version for set ${set.number}`;
  const select = chooser(at, choices, changed);
  select.dataset.set = String(at);
  part("select").replaceWith(select);
  return node;
}
function showBalls() {
  const input = /** @type {HTMLInputElement | null} */ (document.getElementById("stature"));
  if (!input) return;
  balls = ballFor(extras, statureCm(input.value));
  const [low, high] = extras.stature_cm;
  const hint = input.value.trim() ? `Write it as 165 cm or 5 ft 5; the chart goes from ${low} to ${high} cm.` : "For the size of your ball.";
  const words = balls ? Object.values(balls).map((entry) => entry.words) : [hint];
  $("ball-words").replaceChildren(...words.map((each) => made("p", balls ? "" : "soft hint", each)));
}
function answered() {
  choices.level = chosen("level");
  choices.pieces = {};
  for (const box of document.querySelectorAll("input[data-item]:checked")) {
    const { item = "", pieces } = /** @type {HTMLInputElement} */ (box).dataset;
    choices.pieces[item] = Math.max(choices.pieces[item] || 0, Number(pieces));
  }
  showBalls();
  listSets();
  markTwin(choices);
  shownSet = undefined;
}

// ---- While it plays.
/** What changes with the set: its name, both rungs, what to check. @param {number | null} at */
function showSet(at) {
  const set = at === null ? null : sets[at];
  put("move", set ? set.rungs[0].name : "Listen");
  put("place", set ? `${set.block}${set.round ? `, round ${set.round}` : ""}, set ${set.number} of ${sets.length}` : "To everyone");
  const mine = /** @type {HTMLElement} */ (document.querySelector(".own")), theirs = /** @type {HTMLElement} */ (document.querySelector(".led"));
  if (!set || at === null) { mine.replaceChildren(); theirs.replaceChildren(); return; }
  const own = choices.rung(at), led = set.rungs[0], same = own === led;
  /** @type {HTMLElement[]} */
  const parts = own
    ? card(same ? "Yours and the leader’s" : `Yours: ${own.kinds.join(", ")}`, own, extras, balls)
    : [made("p", "whose", "Yours"), made("p", "name", "Rest this set")];
  if (own) parts.push(made("p", "test", own.entry_test), ...own.looks.map((each) => made("p", "look", each)));
  if (warned(at)) parts.splice(parts.findIndex((part) => part.className === "name") + 1, 0, made("p", "missing", warned(at)));
  mine.toggleAttribute("data-alone", same);
  const label = made("label", "swap");
  label.append(made("span", "", "Change"), chooser(at, choices, changed));
  mine.replaceChildren(...parts, label);
  theirs.replaceChildren(...(same ? [] : card("The leader’s", led, extras, balls)));
}
/** @param {number} ms */
function nextWords(ms) {
  const at = show.indexAt(ms), span = show.spans[at], later = show.spans.slice(at + 1);
  const bout = later.find((each) => each.work && each.cell === span.cell);
  const own = span.cell === null ? null : choices.rung(span.cell);
  if (span.work && bout && own) return `Next: ${sideWords(own, bout.bout ?? 0, "").toLowerCase()}`;
  const turn = later.find((each) => each.cell !== null && each.cell !== span.cell);
  if (!turn || turn.cell === null) return span.cell === null ? "" : "That was the last set";
  const rung = choices.rung(turn.cell);
  if (!rung) return `Next: ${sets[turn.cell].rungs[0].name}; you rest`;
  const kit = kitWords(rung, extras, balls);
  return `Next: ${rung.name}${kit ? `. Have ready: ${kit}` : ""}`;
}
/** Whether a cue is for who does the version chosen here: nobody without a ball is told to take it. @param {import("../show/show.js").Cue} cue */
function isForMe({ cell, rungs }) {
  if (cell === null || !rungs.length) return true;
  const own = choices.rung(cell);
  return own !== null && rungs.some((place) => own.kinds.includes(kindOf(show.cells[cell].rungs[place])));
}
function showNow() {
  const ms = Math.min(clock.nowMs(), show.totalMs), over = ms >= show.totalMs;
  const span = show.spanAt(ms), bout = show.boutAt(ms), at = span.cell;
  const own = at === null ? null : choices.rung(at), led = at === null ? null : sets[at].rungs[0];
  if (over && clock.playing) pause();
  const newSet = shownSet !== at;
  if (newSet) showSet(at);
  const [number, unit] = over ? [0, "over: well done"] : countWords(show.count(ms));
  const { phase, side: alternate } = show.phaseAt(ms);
  const side = bout && own ? sideWords(own, bout.bout ?? 0, alternate) : "";
  const same = own === led; // the leader's kit is not everyone's
  put("count", String(number));
  put("unit", unit);
  put("doing", span.work || !led ? "" : same && span.text && span.text !== led.name ? span.text : span.kind);
  put("side", side);
  put("phase", same ? phase : "");
  put("left", clockWords(show.totalMs - ms));
  const cue = show.cueAt($("track")?.value ?? "", ms, isForMe), said = cue?.words ?? "";
  if (clock.runs && $("speak").checked) voice.say(cue);
  put("said", cue?.kind === "change" && led && !same ? `The leader: ${said}` : said); // it names her version, not theirs
  put("next", nextWords(ms));
  for (const { cell, bout: turn } of sides.upTo(ms)) if (cell !== null && turn === show.cells[cell].bouts.length - 1) asked = cell;
  ask(over || !span.work);
  put("pause", over ? "Start again" : clock.runs ? "Pause" : "Go on");
  $("way").value = Math.floor(ms / 1000) * 1000;
  $("play").dataset.ms = String(Math.round(ms));
  const turn = bout ? bout.bout : null;
  if (newSet || shownBout !== turn) put("told", [$("move").textContent, side].filter(Boolean).join(", "));
  const works = bout && own ? alternate || (own.bouts[bout.bout ?? 0] ?? own.bouts[0]).side : "";
  if (newSet || shownSide !== works) moving.show(document.querySelectorAll(".two .picture"), works, clock.runs);
  else moving.play(clock.runs);
  shownSet = at;
  shownBout = turn;
  shownSide = works;
}
/** Sets of the main part that were counted are asked about, while nobody works. @param {boolean} free */
function ask(free) {
  const rung = asked === null ? null : choices.rung(asked);
  const open = free && asked !== null && sets[asked].main && Boolean(rung?.bouts[0].reps) && !choices.answers.has(asked);
  if ($("ask").hidden === !open) return;
  $("ask").hidden = !open;
  if (open) put("asked", `${rung?.name}: how many more could you have done?`);
}
/** @param {number} left */
function answerLeft(left) {
  if (asked === null) return;
  choices.answer(asked, left);
  shownSet = undefined;
  listSets();
  markTwin(choices);
  giveBack();
  showNow();
}
function giveBack() {
  $("back-box").hidden = !choices.answers.size;
  $("back-text").value = backText(sheet.title, $("person").value.trim(), new Date(), choices);
}
function everyFrame() {
  if (!$("play").hidden) showNow();
  requestAnimationFrame(everyFrame);
}

// ---- Steering.
/** A phone that goes dark in the middle of a set is no help; where it can't be kept awake, nothing else changes. @param {boolean} on */
async function awake(on) {
  try {
    if (on && !lock) lock = await navigator.wakeLock.request("screen");
    else if (!on && lock) { await lock.release(); lock = null; }
  } catch { lock = null; }
}
/** From a press only: browsers give no sound before one. Where there is none to be had it plays silently. */
function wake() {
  if (audio || !window.AudioContext) return;
  audio = new AudioContext();
  const from = clock.nowMs();
  clock = makeClock(audio);
  clock.seek(from);
  beeper = makeBeeper(audio, clock, extras.tones, { tick: (fill) => setInterval(fill, TICK_MS) });
  beeper.loud = $("beeps").checked;
}
/** The page's own time, where no sound card ever gave one. */
function goSilently() {
  const from = clock.nowMs();
  clock = makeClock(null);
  clock.seek(from);
  [$("beeps").checked, $("beeps").disabled] = [false, true];
}
async function play() {
  wake();
  if (audio && !$("beeps").disabled && !(await wakeSound(audio)) && !audio.currentTime) goSilently();
  clock.go();
  beeper?.take(show.beeps);
  showNow();
  awake(true);
}
function pause() {
  clock.pause();
  beeper?.take([]);
  voice.hush();
  awake(false);
  showNow();
}
/** @param {number} ms */
function jump(ms) {
  sides.jumped(clock.nowMs(), ms);
  clock.seek(ms);
  if (clock.playing) beeper?.take(show.beeps);
  showNow();
}
/** @param {boolean} playing */
function seen(playing) {
  $("play").hidden = !playing;
  $("before").hidden = playing;
  window.scrollTo(0, 0);
  $(playing ? "pause" : "start").focus({ preventScroll: true });
}
/** The stop that holds now: a set or an announcement. */
const stopNow = () => stops.findLastIndex((stop) => stop.at_ms <= clock.nowMs());

$("start").addEventListener("click", () => { seen(true); play(); });
$("stop").addEventListener("click", () => { pause(); put("start", "Go on"); seen(false); });
$("pause").addEventListener("click", () => {
  if (clock.nowMs() >= show.totalMs) jump(0);
  else if (clock.runs) return pause();
  return play();
});
$("again").addEventListener("click", () => jump(show.readyOf(clock.nowMs())));
$("back").addEventListener("click", () => jump(stops[Math.max(0, stopNow() - 1)].at_ms));
$("on").addEventListener("click", () => jump(stops[stopNow() + 1]?.at_ms ?? show.totalMs));
for (const button of $("ask").querySelectorAll("button")) button.addEventListener("click", () => answerLeft(Number(button.dataset.left)));
$("person").addEventListener("input", giveBack);
$("keep").addEventListener("click", () => {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([$("back-text").value], { type: "text/csv" }));
  link.download = "for-my-coach.csv";
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
});
$("speak").addEventListener("change", () => voice.hush());
$("beeps").addEventListener("change", () => { if (beeper) beeper.loud = $("beeps").checked; });
$("to-read").addEventListener("click", () => { $("read").open = true; });
document.addEventListener("visibilitychange", () => { if (!document.hidden && clock.runs) { lock = null; awake(true); } });
$("before").addEventListener("input", (/** @type {Event} */ event) => { if (event.target instanceof HTMLInputElement) answered(); });
answered();
everyFrame();
moving = makeMoving(await readMotions($("motions").textContent), extras.turned);
shownSet = undefined;
