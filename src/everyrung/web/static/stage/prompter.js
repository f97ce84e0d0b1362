// The leader's own view and the phone: what the stage tells, and orders back to it.
import { makeLine } from "./line.js";

const $ = (id) => document.getElementById(id);
const { session, as } = document.body.dataset;
const said = { lost: "The stage can't be reached; it goes on by itself. Trying again …", open: "", refused: "That code is not right. Look at the Lead screen again." };
let line = null;

function show(state) {
  if (state.is !== "state") return;
  $("name").textContent = state.name;
  $("limb").textContent = state.side ? `${state.side} side: you move your ${state.moves}` : "";
  $("saying").textContent = state.cue || "";
  $("coming").replaceChildren(...state.coming.map(([inS, text]) => {
    const item = document.createElement("li");
    item.textContent = `${inS} s  ${text}`;
    return item;
  }));
  $("line").textContent = `${state.playing ? "" : "Paused. "}${state.left} left. ${state.count}`;
}

function pair(code) {
  line?.close();
  line = makeLine(session, as, show, { code, changed(what) {
    $("line").textContent = said[what];
    const controls = document.querySelector("footer.controls");
    if (what === "open") { controls.hidden = false; if ($("pair")) $("pair").hidden = true; }
    if (what === "refused") { controls.hidden = true; if ($("pair")) { $("pair").hidden = false; $("code").focus(); } }
  } });
}
for (const button of document.querySelectorAll("[data-do]")) button.addEventListener("click", () => line?.send({ do: button.dataset.do }));
if (as === "remote") {
  $("pair").addEventListener("submit", (event) => { event.preventDefault(); pair($("code").value); });
} else pair("");
