// The leader's own view and the phone: what the stage tells, and orders back to it.
import { makeLine } from "./line.js";

const $ = (id) => document.getElementById(id);
const { session, as, token, paired } = document.body.dataset;
const WAITING = "Waiting for the stage …";
const said = {
  lost: "The studio can't be reached; the stage goes on by itself. Trying again …", open: WAITING,
  refused: as === "remote" ? "This phone is not paired. Type the code that the Lead screen shows now." : "Open this again from Lead.",
};
const SILENT_MS = 6000; // chosen, because a stage that is there has then missed three of its beats
let line = null, last = null, heard = 0, silentSince = 0; // states since the line was open; the time of the last one

function show(state) {
  if (state.is !== "state") return;
  last = state;
  heard += 1;
  silentSince = Date.now();
  $("name").textContent = state.name;
  $("limb").textContent = state.side ? `${state.side} side: you move your ${state.moves}` : "";
  $("saying").textContent = state.cue || "";
  $("coming").replaceChildren(...state.coming.map(([inS, text]) => {
    const item = document.createElement("li");
    item.textContent = `${inS} s  ${text}`;
    return item;
  }));
  $("says").textContent = state.says ?? "";
  put("less", state.less ?? "3 minutes less");
  stands();
}
function standWords() {
  if (last.ended) return "The end. 0:00 left.";
  if (last.card) return `The emergency card is open on the stage; it is closed there. ${last.left} left.`;
  return `${last.playing ? "" : "Paused. "}${last.left} left. ${last.count}`;
}
// The first state may be what was told last before the stage went; only one more shows that it is there.
function stands() {
  if (!line?.open || !silentSince) return;
  const silent = Date.now() - silentSince >= SILENT_MS;
  document.body.classList.toggle("silent", silent);
  put("line", silent ? silentWords() : heard > 1 ? standWords() : WAITING);
}
function silentWords() {
  const place = last && !last.ended ? ` ${last.left} were left when it spoke last.` : "";
  return `The stage does not answer. Open it again from Lead.${place}`;
}
function put(id, words) { if ($(id).textContent !== words) $(id).textContent = words; }
setInterval(stands, 1000);

function open() {
  line?.close();
  line = makeLine(session, as, show, { changed(what) {
    put("line", said[what]);
    [heard, silentSince] = [0, what === "open" ? Date.now() : 0];
    if (what === "open") ask(false);
    if (what === "refused") ask(true);
  } });
}
// A phone either asks for the code or steers.
function ask(code) {
  document.querySelector("footer.controls").hidden = code;
  if (!$("pair")) return;
  $("pair").hidden = !code;
  if (code) $("code").focus();
}
// The code is looked at by the studio, which makes the phone wait after a wrong one.
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
function pairWords(status, waitS) {
  const then = `In ${waitS} s you can try again.`;
  if (status === 429) return `Codes from this phone were wrong. ${then}`;
  if (status === 403 && waitS) return `That is not the code. Look at the Lead screen. ${then}`;
  return "The studio has been started anew. Load this page again.";
}
for (const button of document.querySelectorAll("[data-do]")) button.addEventListener("click", () => line?.send({ do: button.dataset.do }));
if (as === "remote") {
  $("pair").addEventListener("submit", (event) => { event.preventDefault(); pair(); });
  if (!$("pair").hidden) $("code").focus();
}
if (as !== "remote" || paired) open();
