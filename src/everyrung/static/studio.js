// @ts-check
// The studio's own script: keys on the grid, dragging moves, fields that keep what is typed, and a server that is away.

/** @param {string} query @param {ParentNode} root @returns {any} */
const $ = (query, root = document) => root.querySelector(query);
/** @param {string} query @param {ParentNode} root @returns {any[]} */
const all = (query, root = document) => [...root.querySelectorAll(query)];
/** Whether an event is about such an element. @param {EventTarget | null} target @param {string} query */
const is = (target, query) => target instanceof Element && target.matches(query);
/**
 * The nearest such element from the target of an event on upwards.
 * @param {EventTarget | null} target
 * @param {string} query
 * @returns {any}
 */
const near = (target, query) => (target instanceof Element ? target.closest(query) : null);
/** Whether what htmx asks the server for is an edit. @param {any} request */
const isEdit = (request) => request?.path?.endsWith("/edit");
/** What htmx tells. @param {string} name @param {(detail: any) => void} act */
const onHtmx = (name, act) => document.addEventListener(name, (event) => act(/** @type {CustomEvent} */ (event).detail));

// ---- Light or dark, and other selects that send their form.
document.addEventListener("change", ({ target }) => {
  if (target instanceof HTMLSelectElement && target.matches("[data-submits]")) target.form?.submit();
});

// ---- A slider says its number.
document.addEventListener("input", ({ target }) => {
  if (!(target instanceof HTMLInputElement && target.type === "range")) return;
  if (target.nextElementSibling instanceof HTMLOutputElement) target.nextElementSibling.value = target.value;
});

// ---- A limit's boxes, among the others and as the answer to a question, are one.
document.addEventListener("change", ({ target }) => {
  if (!(target instanceof HTMLInputElement && target.matches("fieldset [type=checkbox]"))) return;
  for (const each of all("[type=checkbox]", near(target, "fieldset"))) if (each.name === target.name) each.checked = target.checked;
}, true);

// ---- Buttons that close a notice, or lead back to the grid.
document.addEventListener("click", (event) => {
  const closes = near(event.target, "[data-closes]");
  if (closes) {
    const box = $(closes.dataset.closes);
    if (box.id === "trouble") box.replaceChildren();
    else Object.assign(box, { hidden: true }).removeAttribute("data-digest");
  }
  if (near(event.target, "[data-prints]")) print();
  const back = near(event.target, "[data-back]");
  if (back) document.getElementById(back.dataset.back)?.focus();
  const opens = near(event.target, "[data-opens]");
  const cell = opens && document.getElementById(opens.dataset.opens);
  if (cell?.dataset.ref) {
    event.preventDefault();
    cell.scrollIntoView({ block: "center", behavior: "instant" });
    enter(cell);
    cell.click();
  }
});

// ---- The grid: one stop for the Tab key, arrows within.
/** By row. @param {Element} grid @returns {HTMLElement[][]} */
function cells(grid) {
  return all("tbody tr", grid).map((row) => all("button.cell", row));
}
/** The grid's one stop for the Tab key. @param {HTMLElement} cell */
function stopAt(cell) {
  for (const each of all("button.cell", near(cell, ".grid"))) each.tabIndex = each === cell ? 0 : -1;
}
/** @param {HTMLElement} cell */
function enter(cell) {
  stopAt(cell);
  cell.focus();
}
function ready() {
  showFigures();
  for (const grid of all(".grid")) {
    const focused = all("button.cell", grid).find((cell) => cell === document.activeElement);
    const first = focused ?? $("button.cell[aria-current]", grid) ?? $("button.cell", grid);
    if (first) stopAt(first);
  }
  for (const time of all("time[data-ms]")) {
    const date = new Date(Number(time.dataset.ms));
    time.dateTime = date.toISOString();
    time.textContent = date.toLocaleString("en-GB", { dateStyle: "medium", timeStyle: "short" });
  }
}
/** @type {Record<string, [down: number, across: number]>} */
const STEPS = { ArrowLeft: [0, -1], ArrowRight: [0, 1], ArrowUp: [-1, 0], ArrowDown: [1, 0] };
document.addEventListener("keydown", (event) => {
  const cell = near(event.target, "button.cell");
  if (!cell || event.altKey || event.ctrlKey || event.metaKey) return;
  const grids = all(".grid");
  const rows = grids.flatMap(cells);
  const row = rows.findIndex((each) => each.includes(cell));
  const column = rows[row].indexOf(cell);
  let to;
  const step = STEPS[event.key];
  if (step) to = step[0] ? (rows[row + step[0]]?.[column] ?? rows[row + step[0]]?.at(-1)) : rows[row][column + step[1]];
  else if (event.key === "Home") to = rows[row][0];
  else if (event.key === "End") to = rows[row].at(-1);
  else return;
  event.preventDefault();
  if (to) enter(to);
});
document.addEventListener("focusin", ({ target }) => {
  const cell = near(target, "button.cell");
  if (cell) stopAt(cell);
});

// ---- Undo and redo by their usual keys, but where words are being typed.
document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey || near(event.target, "input, textarea, select")) return;
  const key = event.key.toLowerCase();
  const button = key === "z" ? $(event.shiftKey ? "#redo" : "#undo") : key === "y" ? $("#redo") : null;
  if (!button) return;
  event.preventDefault();
  button.click();
});

// ---- A list gone through by keys sends what it ends on, not every entry on the way.
/** @type {EventTarget | null} */
let waiting = null;
let keyed = false;
document.addEventListener("keydown", (event) => {
  keyed = is(event.target, "select[hx-post]");
  if (keyed && event.key === "Enter" && waiting === event.target) sendChosen();
}, true);
document.addEventListener("pointerdown", () => { keyed = false; }, true);
document.addEventListener("change", (event) => {
  if (!keyed || !is(event.target, "select[hx-post]")) return;
  event.stopPropagation();
  event.preventDefault();
  waiting = event.target;
}, true);
document.addEventListener("focusout", (event) => { if (waiting === event.target) sendChosen(); }, true);
function sendChosen() {
  const list = waiting;
  waiting = null;
  keyed = false;
  list?.dispatchEvent(new Event("change", { bubbles: true }));
}

// ---- Dragging a move by its head to another place.
/** @type {HTMLElement | null} */
let dragged = null;
document.addEventListener("dragstart", (event) => {
  dragged = near(event.target, "th[draggable]");
  if (dragged) event.dataTransfer?.setData("text/plain", dragged.dataset.cell ?? "");
});
document.addEventListener("dragover", (event) => {
  const head = near(event.target, "th[draggable]");
  for (const each of all(".over-me")) each.classList.remove("over-me");
  if (dragged && head && head.closest(".grid") === dragged.closest(".grid")) {
    event.preventDefault();
    head.classList.add("over-me");
  }
});
document.addEventListener("drop", (event) => {
  const head = near(event.target, "th[draggable]");
  if (!dragged || !head) return;
  event.preventDefault();
  const { block } = head.closest(".grid").dataset;
  if (head !== dragged) send({ edit: "shift-move", block, cell: dragged.dataset.cell, to: head.dataset.at });
  dragged = null;
});
document.addEventListener("dragend", () => {
  dragged = null;
  for (const each of all(".over-me")) each.classList.remove("over-me");
});
/** An edit as the desk's own fields would send it. @param {object} values */
function send(values) {
  ask("edit", values).catch(() => { /* away, or a later edit took its place: what is seen says so */ });
}
/** @param {"edit" | "parts"} what @param {object} values */
const ask = (what, values) => post(`/session/${$("#desk").dataset.session}/${what}`, $("#work"), values);
/**
 * From the desk, whose own fields, the version among them, are read when the request's turn comes.
 * @param {string} path @param {Element} target @param {object} values @returns {Promise<void>}
 */
const post = (path, target, values) =>
  /** @type {any} */ (window).htmx.ajax("POST", path, { source: $("#desk"), target, swap: "outerHTML", values });

// ---- A press is the desk's at once: when its turn comes, an answer may have replaced the button, and htmx would drop it.
// What was tried for one version is done once, however often it is pressed.
document.addEventListener("htmx:confirm", (event) => {
  const { elt: button, path, verb, target } = /** @type {CustomEvent} */ (event).detail;
  if (!button.matches("[hx-sync='#desk:queue all'] button") || verb !== "post") return;
  event.preventDefault();
  if (button.ariaDisabled) return;
  if (near(button, "#offers, #findings")) button.ariaDisabled = "true";
  post(path, target, JSON.parse(button.getAttribute("hx-vals") ?? "{}"))
    .catch(() => { /* away: what is seen says so */ }).finally(() => { button.ariaDisabled = null; });
});

// ---- Pictures are asked for together, each once; those that are still being drawn are asked for again.
const FIGURES_AT_ONCE = 60, AGAIN_MS = 400;
/** By name; empty while it is asked for. @type {Map<string, string>} */
const figures = new Map();
function showFigures() {
  /** @type {Set<string>} */
  const missing = new Set();
  for (const image of all("img[data-figure]:not([src])")) {
    const name = image.dataset.figure;
    const known = figures.get(name);
    if (known) image.src = known;
    else if (known === undefined) missing.add(name);
  }
  const names = [...missing].slice(0, FIGURES_AT_ONCE);
  if (names.length) askFigures(names);
}
/** @param {string[]} names */
async function askFigures(names) {
  for (const name of names) figures.set(name, "");
  /** @type {Record<string, string>} */
  let come = {};
  try {
    const answer = await fetch(`/figures?names=${names.join(".")}`);
    if (answer.ok) come = await answer.json();
  } catch { /* away: they are asked for again */ }
  for (const [name, svg] of Object.entries(come)) figures.set(name, `data:image/svg+xml,${encodeURIComponent(svg)}`);
  const left = names.filter((name) => !figures.get(name));
  for (const name of left) figures.delete(name);
  if (left.length < names.length) showFigures();
  else setTimeout(showFigures, AGAIN_MS);
}

// ---- A figure to walk round needs a large script: it comes when it is opened.
document.addEventListener("toggle", ({ target }) => {
  const place = target instanceof HTMLDetailsElement && target.open && $("[data-script]", target);
  if (place) import(place.dataset.script).catch(() => { place.textContent = "It could not be loaded. Load the page again."; });
}, true);

// ---- An answer brings the parts that differ from those held here. One that was changed by hand is not what was sent.
for (const each of ["input", "change"])
  document.addEventListener(each, ({ target }) => near(target, "[data-digest]")?.removeAttribute("data-digest"), true);
const holds = () => all("[data-digest]").map((part) => `${part.id}=${part.dataset.digest}`).join(" ");

// ---- Two editors: "take mine" sends the same edit again, on top of theirs.
/** Without the version that it was sent for. @type {object | null} */
let last = null;
onHtmx("htmx:configRequest", ({ verb, path, formData, target }) => {
  if (verb !== "post" || target.id !== "work") return;
  if (path.endsWith("/edit")) {
    last = Object.fromEntries([...formData].filter(([name]) => name !== "base" && name !== "open"));
    if (formData.get("edit") === "cell") formData.set("first", "score");
  }
  formData.set("holds", holds());
});
document.addEventListener("click", ({ target }) => {
  if (is(target, "#mine") && last) send(last);
});
// An edit of a set is answered with time and score first; once they are painted, what the checks say of them comes too.
document.addEventListener("more-parts", () => requestAnimationFrame(() => setTimeout(() => {
  ask("parts", { scope: $("#scope")?.checked ? "column" : "" }).catch(() => { /* away: an edit says so */ });
})));

// ---- What is being typed is never written to: an answer that brings its field anew leaves the field that is there.
const TYPED = "input:not([type=hidden], [type=checkbox], [type=radio], [type=file]), textarea";
/** @param {any} field what may be one */
const unsaved = (field) => field?.matches?.(TYPED) && field.value !== field.defaultValue;
/** What a field sent with an answer's request. @param {any} detail @param {any} field */
const sentBy = (detail, field) => field === detail.requestConfig?.elt && detail.requestConfig.formData?.get(field.name);
onHtmx("htmx:beforeSwap", (detail) => {
  if (typeof detail.serverResponse !== "string") return;
  for (const field of all(`:is(${TYPED})[id]`)) {
    const answered = field !== document.activeElement && sentBy(detail, field) === field.value;
    if (field !== document.activeElement && (answered || !unsaved(field))) continue;
    detail.serverResponse = detail.serverResponse.replaceAll(` id="${field.id}"`, ` id="${field.id}" hx-preserve`);
  }
});
// ---- The score is drawn anew without htmx, which would go through each of its thousand old shapes to clean up after it.
const PICTURES = /<template><svg>(.*?)<\/svg><\/template>/gs;
onHtmx("htmx:beforeSwap", (detail) => {
  if (typeof detail.serverResponse !== "string" || !detail.shouldSwap) return;
  /** @type {string[]} */
  const drawn = [];
  detail.serverResponse = detail.serverResponse.replace(PICTURES, (/** @type {string} */ _, /** @type {string} */ markup) => {
    drawn.push(markup);
    return "";
  });
  const made = document.createElement("template");
  made.innerHTML = `<svg>${drawn.join("")}</svg>`;
  for (const part of all("svg > [id]", made.content)) {
    part.removeAttribute("hx-swap-oob");
    document.getElementById(part.id)?.replaceWith(part);
  }
});
onHtmx("htmx:afterRequest", (detail) => {
  const { elt, successful } = detail;
  if (!successful) return;
  if (elt.matches(`:is(${TYPED}):not([data-clears])`)) elt.defaultValue = sentBy(detail, elt) ?? elt.defaultValue;
  for (const field of elt.matches("[data-clears]") ? (elt.matches("form") ? all(TYPED, elt) : [elt]) : [])
    if (field !== document.activeElement && detail.requestConfig.formData.get(field.name) === field.value) field.value = field.defaultValue;
});
// An edit closes what was offered, for it was tried for the version before; if it was pressed there, undoing it is next.
onHtmx("htmx:afterRequest", ({ successful, requestConfig }) => {
  const offers = successful && isEdit(requestConfig) && $("#offers:not([hidden])");
  if (!offers) return;
  const pressed = offers.contains(document.activeElement);
  offers.replaceChildren();
  offers.hidden = true;
  if (pressed) $("#undo")?.focus();
});
// A field that was put back has forgotten that it changed, and would not say so when it is left.
// One that an answer takes out for a moment is not left: where nodes can't be moved, it loses the focus and has it again.
const announced = new WeakMap();
let swaps = false;
document.addEventListener("htmx:beforeSwap", () => {
  swaps = true;
  queueMicrotask(() => { swaps = false; }); // the answer is in the page by then, or was put off
});
document.addEventListener("change", (event) => { if (swaps) event.stopImmediatePropagation(); }, true);
document.addEventListener("change", (/** @type {any} */ { target }) => announced.set(target, target.value), true);
document.addEventListener("focusout", (/** @type {any} */ { target }) => {
  if (swaps || !unsaved(target) || !target.matches("[hx-post]") || announced.get(target) === target.value) return;
  target.dispatchEvent(new Event("change", { bubbles: true }));
});

// ---- An open menu outlives an answer, and closes when one goes elsewhere.
/** @type {string[]} */
let open = [];
/** @param {Element} details */
const named = (details) => details.closest("[id]")?.id + "|" + ($("summary", details)?.textContent ?? "");
document.addEventListener("htmx:beforeSwap", () => { open = all("details[open]").map(named); });
document.addEventListener("htmx:afterSwap", () => {
  for (const each of all("details:not([open])")) if (open.includes(named(each))) each.open = true;
  showFigures();
  handOn(); // at once, for the next key may be on its way
});
/** @param {any} but */
const closeMenus = (but) => { for (const each of all("details.menu[open]")) if (!each.contains(but)) each.open = false; };
// Not while a button is down: what is below would move up from under the pointer, and the click be lost.
let down = false;
document.addEventListener("pointerdown", () => { down = true; }, true);
for (const each of ["pointerup", "pointercancel"]) document.addEventListener(each, () => { down = false; }, true);
// A press that had waited is answered into the part that stands there now, if the background brought it anew meanwhile.
onHtmx("htmx:beforeRequest", (detail) => {
  const { target } = detail;
  if (target?.id && !target.isConnected) detail.target = document.getElementById(target.id) ?? target;
});
// Nor does what the background brings then take the button from under it: it is asked for again once the press is over.
onHtmx("htmx:beforeSwap", (detail) => {
  const poll = detail.requestConfig?.elt;
  if (!down || !poll?.matches("[hx-trigger*=again]")) return;
  detail.shouldSwap = false;
  setTimeout(() => /** @type {any} */ (window).htmx.trigger(poll, "again"), AGAIN_MS);
});
document.addEventListener("click", (event) => closeMenus(event.target));
document.addEventListener("focusin", (event) => { if (!down) closeMenus(event.target); });
document.addEventListener("keydown", (event) => {
  const menu = event.key === "Escape" && near(event.target, "details.menu[open]");
  if (!menu) return;
  menu.open = false;
  $("summary", menu).focus();
});

// ---- What had the focus and is gone hands it on; a refused word is marked where it was typed.
/** @type {Element | null} */
let had = null;
document.addEventListener("htmx:beforeSwap", () => { had = near(document.activeElement, "[id]"); });
function handOn() {
  if (document.activeElement !== document.body || !had) return;
  const next = had.id === "undo" ? "redo" : had.id === "redo" ? "undo" : "";
  const place = (next && $(`#${next}:not(:disabled)`)) || (had.closest("#findings") && $("#findings-head"))
    || document.getElementById(had.id) || $("button.cell[aria-current]") || $("#findings-head");
  place?.focus({ preventScroll: had.id !== "" });
}
onHtmx("htmx:responseError", ({ elt: field }) => {
  if (!field.matches?.("input, select, textarea")) return;
  for (const each of field.matches("select") ? field.options : []) each.selected = each.defaultSelected;
  field.setAttribute("aria-invalid", "true");
  field.setAttribute("aria-describedby", "trouble");
  if (!document.activeElement?.matches(TYPED)) field.focus(); // else the letters to come would go into this one
});
onHtmx("htmx:afterSettle", ({ target, requestConfig: asked }) => {
  ready();
  if (unsaved(document.activeElement)) return;
  const clash = $("#clash:not([hidden])");
  if (clash && target?.id === "work") clash.focus();
  if (asked?.verb !== "get") return;
  const isCell = asked.path.endsWith("/cell");
  if (isCell || asked.path.endsWith("/choose") && !near(asked.elt, "#panel")) $("#panel-head[tabindex]")?.focus();
  if (isCell) showInScore(Number($("#open-cell")?.dataset.share));
  if (asked.path.endsWith("/offers") && !near(asked.elt, "#offers")) $("#offers-head")?.focus();
});
onHtmx("htmx:beforeRequest", ({ requestConfig: asked }) => {
  if (asked?.verb === "post" && !asked.path.endsWith("/parts")) $("#trouble")?.replaceChildren();
});

/** The score, where it stands in a low frame, shows the set that is open. @param {number} share of the session before it */
function showInScore(share) {
  const frame = $("#score .score-figure");
  if (frame && share >= 0) frame.scrollTop = share * frame.scrollHeight - frame.clientHeight / 2;
}

// ---- What others change in the same session comes here too: a number is asked for, and the parts when it is another.
const NEWS_MS = 3000; // chosen, because who writes together looks up about as often
let asks = false;
setInterval(async () => {
  const desk = $("#desk");
  if (!desk || asks || document.hidden || $(".htmx-request")) return;
  asks = true;
  try {
    const answer = await fetch(`/session/${desk.dataset.session}/head`);
    if (answer.ok && (await answer.text()) !== $("#base").value) await ask("parts", {});
  } catch { /* away: an edit says so */ } finally { asks = false; }
}, NEWS_MS);

// ---- The server is away. What could not be sent is not lost while this says so, whatever else comes through meanwhile.
const away = $("#offline");
let unsent = false;
onHtmx("htmx:sendError", ({ requestConfig }) => {
  away.hidden = false;
  if (isEdit(requestConfig)) unsent = true;
});
onHtmx("htmx:afterRequest", ({ xhr, requestConfig }) => {
  if (!xhr?.status) return;
  if (isEdit(requestConfig)) unsent = false;
  if (!unsent) away.hidden = true;
});
// htmx rejects the promise of a request that had waited for another one with nothing, and gives that promise to nobody.
window.addEventListener("unhandledrejection", (event) => { if (event.reason === undefined) event.preventDefault(); });
$("#again")?.addEventListener("click", async () => {
  try {
    await fetch(location.pathname, { method: "HEAD" });
    away.hidden = true;
    if (last && $("#desk")) send(last);
    else location.reload();
  } catch { away.hidden = false; }
});

// ---- A narrow screen has a narrow score: the server is told which.
const narrow = matchMedia("(max-width: 50rem)").matches ? "narrow" : "wide";
if (!document.cookie.includes(`paper=${narrow}`)) {
  const had = document.cookie.includes("paper=") || narrow === "narrow";
  document.cookie = `paper=${narrow}; path=/; max-age=31536000; samesite=strict`;
  if (had && $("#desk")) location.reload();
}
ready();
