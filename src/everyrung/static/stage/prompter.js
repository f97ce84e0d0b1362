// @ts-check
// The leader's own view and the phone: the same show from the same run sheet, where the stage says it is, and orders back.
import { makeClock } from "../show/clock.js";
import { $, put } from "../show/page.js";
import { makeShow } from "../show/show.js";
import { makeSides } from "../show/sides.js";
import { clockWords, countWords, lessWords, makeWords } from "../show/words.js";
import { makeLine } from "./line.js";
import { makeLiveCard } from "./live.js";
import { readWho, showWho } from "./who.js";

/** @typedef {import("../show/state.js").State} State */

const { session = "", as = "", token = "", paired = "" } = document.body.dataset;
const WAITING = "Waiting for the stage …";
/** @type {Record<string, string>} */
const LINE = {
  lost: "The studio can't be reached; the stage goes on by itself. Trying again …", open: WAITING,
  refused: as === "remote" ? "This phone is not paired. Type the code that the Lead screen shows now." : "Open this again from Lead.",
};
/** @type {Record<string, string>} what the leader does while a cue is on */
const EYES = { look: "Eyes on the screen", "thumb check": "Eyes on the screen: thumbs" };
const FACE = "Face up, to the room", TURN_MS = 2000; // chosen, because one turns round in so long
const UNREAD = "The run sheet can't be read here. Trying again …";
const SILENT_MS = 6000; // chosen, because a stage that is there has then missed three of its beats
const DRAW_MS = 200; // chosen, because seconds are counted
const APART_MS = 250; // it is set right when it is so far off; chosen, because nobody sees less
const COMING = 2; // cues that are shown beforehand; chosen, because more is not read

/** @type {ReturnType<typeof makeLine> | null} */
let line = null;
/** @type {State | null} */
let state = null;
/** @typedef {import("./who.js").Who} Who */
/** @type {{setting: string, show: import("../show/show.js").Show, words: ReturnType<typeof makeWords>, sides: import("../show/sides.js").Sides, who: Who, live: ReturnType<typeof makeLiveCard>} | null} */
let led = null; // the show that the stage leads, once its run sheet is here
let clock = makeClock(null), states = 0, silentSince = 0, unread = false; // states since the line was open; when the last one came

/** @param {any} message */
function heard(message) {
  if (message.is !== "state") return;
  state = /** @type {State} */ (message);
  states += 1;
  silentSince = Date.now();
  follow(state);
  if (led?.setting !== state.setting) read(state.setting);
  draw();
}
/** @param {State} told */
function follow(told) {
  if (led?.setting === told.setting) {
    if (String(told.taken) !== String(led.show.taken)) led.show.taken = told.taken;
    led.sides.kept = told.sides;
  }
  if (Math.abs(clock.nowMs() - told.ms) > APART_MS * told.speed) clock.seek(told.ms);
  if (told.playing) clock.go(); else clock.pause();
}
let reading = "";
/** @param {string} setting */
async function read(setting) {
  if (reading === setting) return;
  reading = setting;
  try {
    const answer = await fetch(`/session/${session}/stage/run-sheet.json?of=${setting}`);
    if (!answer.ok) throw new Error(String(answer.status));
    const show = makeShow(await answer.json()), sides = makeSides(show);
    const who = as === "prompter" ? await readWho(`/session/${session}/who.json?of=${setting}`) : {};
    led = { setting, show, sides, words: makeWords(show, sides), who, live: makeLiveCard(show, () => clock.nowMs()) };
    clock = makeClock(null, state?.speed);
    unread = false;
    if (state) follow(state);
  } catch { unread = true; } // the next state of the stage has it asked for again
  reading = "";
  draw();
}

function draw() {
  if (state && led?.setting === state.setting) drawShow(state, led);
  stands();
}
/** @param {State} told @param {NonNullable<typeof led>} shown */
function drawShow(told, { show, words, who, live }) {
  const ms = Math.min(clock.nowMs(), show.totalMs), span = show.spanAt(ms), cell = told.ended ? null : show.cellOf(span);
  const [number, unit] = told.ended ? ["", ""] : countWords(show.count(ms));
  put("name", told.ended ? "" : words.name(span, cell));
  put("count", String(number));
  put("of", unit);
  put("side", cell ? words.side(span, cell) : "");
  put("limb", cell && span.side ? `you move your ${span.moves}` : "");
  put("load", cell ? words.kit(span, cell) : "");
  put("saying", told.ended ? "" : words.saying(told.track, ms, span, cell));
  const cue = show.cueAt(told.track, ms);
  $("saying").classList.toggle("soft", !cue);
  document.body.classList.toggle("to-lips", show.sheet.lip_readers ?? false);
  put("eyes", told.ended ? "" : EYES[cue?.kind ?? ""] ?? (speaksSoon(show, told.track, ms) ? FACE : ""));
  coming(show, told.track, ms);
  live.moment(ms);
  if (as === "prompter") showWho($("who"), cell ? who[cell.ref] ?? [] : []);
  const owed = words.owed(told.ended ? null : span);
  put("says", told.says);
  put("owed", owed);
  put("less", lessWords(show.fork(ms)));
  $("undo").disabled = !show.undoable(ms);
  $("waive").disabled = !owed;
}
/** Whether something is said now or soon that somebody reads from lips. @param {import("../show/show.js").Show} show @param {string} track @param {number} ms */
function speaksSoon(show, track, ms) {
  const next = show.sheet.lip_readers ? (show.cueAt(track, ms) ?? show.cuesFrom(track, ms, 1)[0]) : undefined;
  return next !== undefined && next.at_ms - ms <= TURN_MS;
}
/** @param {import("../show/show.js").Show} show @param {string} track @param {number} ms */
function coming(show, track, ms) {
  const lines = show.cuesFrom(track, ms, COMING).map((cue) => `in ${Math.round((cue.at_ms - ms) / 1000)} s: ${cue.words}`);
  if (lines.join("\n") === $("coming").dataset.words) return;
  $("coming").dataset.words = lines.join("\n");
  $("coming").replaceChildren(...lines.map((text) => Object.assign(document.createElement("li"), { textContent: text })));
}
/** @param {State} told */
function standWords(told) {
  if (told.ended) return "The end. 0:00 left.";
  if (!led || led.setting !== told.setting) return unread ? UNREAD : WAITING;
  const ms = Math.min(clock.nowMs(), led.show.totalMs), left = `${clockWords(led.show.totalMs - ms)} left.`;
  if (told.card) return `The emergency card is open on the stage; close it there. ${left}`;
  return `${told.playing ? "" : "Paused. "}${left}`;
}
/** The first state may be what was told last before the stage went; only one more shows that it is there. */
function stands() {
  if (!line?.open || !silentSince) return;
  const silent = Date.now() - silentSince >= SILENT_MS;
  document.body.classList.toggle("silent", silent);
  if (silent) clock.pause();
  put("line", silent ? silentWords() : states > 1 && state ? standWords(state) : WAITING);
}
function silentWords() {
  const place = state && led && !state.ended ? ` ${clockWords(led.show.totalMs - state.ms)} were left when it was last heard.` : "";
  return `The stage isn't answering. Open it again from Lead.${place}`;
}
setInterval(draw, DRAW_MS);

function open() {
  line?.close();
  line = makeLine(session, as, heard, { changed(/** @type {string} */ what) {
    put("line", LINE[what]);
    [states, silentSince] = [0, what === "open" ? Date.now() : 0];
    if (what === "open") ask(false);
    if (what === "refused") ask(true);
  } });
}
/** A phone either asks for the code or steers. @param {boolean} code */
function ask(code) {
  const controls = document.querySelector("footer.controls");
  if (controls instanceof HTMLElement) controls.hidden = code;
  if (as !== "remote") return;
  $("pair").hidden = !code;
  if (code) $("code").focus();
}
/** The code is looked at by the studio, which makes the phone wait after a wrong one. */
async function pair() {
  put("line", "Pairing …");
  const body = new URLSearchParams({ code: $("code").value });
  try {
    const answer = await fetch(`/session/${session}/remote`, { method: "POST", body, headers: { "X-Token": token } });
    if (answer.ok) return open();
    put("line", pairWords(answer.status, Number(answer.headers.get("Retry-After"))));
  } catch { put("line", "The studio can't be reached. Try again."); }
  $("code").select();
}
/** @param {number} status @param {number} waitS */
function pairWords(status, waitS) {
  const then = `In ${waitS} s you can try again.`;
  if (status === 429) return `Codes from this phone were wrong. ${then}`;
  if (status === 403 && waitS) return `That is not the code. Look at the Lead screen. ${then}`;
  return "The studio has been restarted. Reload this page.";
}
for (const button of document.querySelectorAll("[data-do]")) {
  if (button instanceof HTMLElement) button.addEventListener("click", () => line?.send({ do: button.dataset.do }));
}
if (as === "remote") {
  $("pair").addEventListener("submit", (/** @type {Event} */ event) => { event.preventDefault(); pair(); });
  if (!$("pair").hidden) $("code").focus();
}
if (as !== "remote" || paired) open();
