// The studio's own script: keys on the grid, dragging moves, fields that keep what is typed, and a server that is away.
const $ = (query, root = document) => root.querySelector(query);
const all = (query, root = document) => [...root.querySelectorAll(query)];

// ---- Light or dark, and other selects that send their form.
document.addEventListener("change", (event) => {
  if (event.target.matches("[data-submits]")) event.target.form.submit();
});

// ---- A limit's boxes, among the others and as the answer to a question, are one.
document.addEventListener("change", ({ target }) => {
  if (!target.matches("fieldset [type=checkbox]")) return;
  for (const each of all("[type=checkbox]", target.closest("fieldset"))) if (each.name === target.name) each.checked = target.checked;
}, true);

// ---- Buttons that close a notice, or lead back to the grid.
document.addEventListener("click", (event) => {
  const closes = event.target.closest("[data-closes]");
  if (closes) {
    const box = $(closes.dataset.closes);
    if (box.id === "trouble") box.replaceChildren();
    else box.remove();
  }
  const back = event.target.closest("[data-back]");
  if (back) document.getElementById(back.dataset.back)?.focus();
  const opens = event.target.closest("[data-opens]");
  const cell = opens && document.getElementById(opens.dataset.opens);
  if (cell?.dataset.ref) {
    event.preventDefault();
    cell.scrollIntoView({ block: "center", behavior: "instant" });
    enter(cell);
    cell.click();
  }
});

// ---- The grid: one stop for the Tab key, arrows within.
function cells(grid) {
  return all("tbody tr", grid).map((row) => all("button.cell", row));
}
function enter(cell) {
  const grid = cell.closest(".grid");
  for (const each of all("button.cell", grid)) each.tabIndex = each === cell ? 0 : -1;
  cell.focus();
}
function ready(root = document) {
  for (const grid of all(".grid", root)) {
    const focused = all("button.cell", grid).find((cell) => cell === document.activeElement);
    const first = focused ?? $("button.cell[aria-current]", grid) ?? $("button.cell", grid);
    if (first) first.tabIndex = 0;
  }
  for (const time of all("time[data-ms]", root)) {
    const date = new Date(Number(time.dataset.ms));
    time.dateTime = date.toISOString();
    time.textContent = date.toLocaleString("en-GB", { dateStyle: "medium", timeStyle: "short" });
  }
}
const STEPS = { ArrowLeft: [0, -1], ArrowRight: [0, 1], ArrowUp: [-1, 0], ArrowDown: [1, 0] };
document.addEventListener("keydown", (event) => {
  const cell = event.target.closest?.("button.cell");
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
document.addEventListener("focusin", (event) => {
  const cell = event.target.closest?.("button.cell");
  if (cell) for (const each of all("button.cell", cell.closest(".grid"))) each.tabIndex = each === cell ? 0 : -1;
});

// ---- Undo and redo by their usual keys, but where words are being typed.
document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey || event.target.closest?.("input, textarea, select")) return;
  const key = event.key.toLowerCase();
  const button = key === "z" ? $(event.shiftKey ? "#redo" : "#undo") : key === "y" ? $("#redo") : null;
  if (!button) return;
  event.preventDefault();
  button.click();
});

// ---- A list gone through by keys sends what it ends on, not every entry on the way.
let waiting = null;
let keyed = false;
document.addEventListener("keydown", (event) => {
  keyed = event.target.matches?.("select[hx-post]");
  if (keyed && event.key === "Enter" && waiting === event.target) sendChosen();
}, true);
document.addEventListener("pointerdown", () => { keyed = false; }, true);
document.addEventListener("change", (event) => {
  if (!keyed || !event.target.matches("select[hx-post]")) return;
  event.stopPropagation();
  event.preventDefault();
  waiting = event.target;
}, true);
document.addEventListener("focusout", (event) => { if (waiting === event.target) sendChosen(); }, true);
function sendChosen() {
  const list = waiting;
  waiting = null;
  keyed = false;
  list.dispatchEvent(new Event("change", { bubbles: true }));
}

// ---- Dragging a move by its head to another place.
let dragged = null;
document.addEventListener("dragstart", (event) => {
  dragged = event.target.closest?.("th[draggable]");
  if (dragged) event.dataTransfer.setData("text/plain", dragged.dataset.cell);
});
document.addEventListener("dragover", (event) => {
  const head = event.target.closest?.("th[draggable]");
  for (const each of all(".over-me")) each.classList.remove("over-me");
  if (dragged && head && head.closest(".grid") === dragged.closest(".grid")) {
    event.preventDefault();
    head.classList.add("over-me");
  }
});
document.addEventListener("drop", (event) => {
  const head = event.target.closest?.("th[draggable]");
  if (!dragged || !head) return;
  event.preventDefault();
  if (head !== dragged) send({ edit: "shift-move", block: head.closest(".grid").dataset.block, cell: dragged.dataset.cell, to: head.dataset.at });
  dragged = null;
});
document.addEventListener("dragend", () => {
  dragged = null;
  for (const each of all(".over-me")) each.classList.remove("over-me");
});
function send(values) {
  const desk = $("#desk");
  htmx.ajax("POST", `/session/${desk.dataset.session}/edit`, {
    source: desk, target: "#work", swap: "outerHTML",
    values: { ...values, base: $("#base").value, open: $("#open-cell")?.value ?? "" },
  });
}

// ---- Two editors: "take mine" sends the same edit again, on top of theirs.
let last = null;
document.addEventListener("htmx:configRequest", (event) => {
  if (event.detail.verb === "post" && event.detail.path.endsWith("/edit")) last = { ...Object.fromEntries(event.detail.formData ?? Object.entries(event.detail.parameters)) };
});
document.addEventListener("click", (event) => {
  if (event.target.id === "mine" && last) send(last);
});

// ---- What is being typed is never written to: an answer that brings its field anew leaves the field that is there.
const TYPED = "input:not([type=hidden], [type=checkbox], [type=radio], [type=file]), textarea";
const unsaved = (field) => field?.matches?.(TYPED) && field.value !== field.defaultValue;
const sentBy = (detail, field) => field === detail.requestConfig?.elt && detail.requestConfig.formData?.get(field.name);
document.addEventListener("htmx:beforeSwap", ({ detail }) => {
  if (typeof detail.serverResponse !== "string") return;
  for (const field of all(`:is(${TYPED})[id]`)) {
    const answered = field !== document.activeElement && sentBy(detail, field) === field.value;
    if (field !== document.activeElement && (answered || !unsaved(field))) continue;
    detail.serverResponse = detail.serverResponse.replaceAll(` id="${field.id}"`, ` id="${field.id}" hx-preserve`);
  }
});
document.addEventListener("htmx:afterRequest", ({ detail }) => {
  const { elt, successful } = detail;
  if (!successful) return;
  if (elt.matches(`:is(${TYPED}):not([data-clears])`)) elt.defaultValue = sentBy(detail, elt) ?? elt.defaultValue;
  for (const field of elt.matches("[data-clears]") ? (elt.matches("form") ? all(TYPED, elt) : [elt]) : [])
    if (field !== document.activeElement && detail.requestConfig.formData.get(field.name) === field.value) field.value = field.defaultValue;
});
// A field that was put back has forgotten that it changed, and would not say so when it is left.
const announced = new WeakMap();
document.addEventListener("change", (event) => announced.set(event.target, event.target.value), true);
document.addEventListener("focusout", ({ target }) => {
  if (unsaved(target) && target.matches("[hx-post]") && announced.get(target) !== target.value) target.dispatchEvent(new Event("change", { bubbles: true }));
});

// ---- An open menu outlives an answer, and closes when one goes elsewhere.
let open = [];
const named = (details) => details.closest("[id]")?.id + "|" + ($("summary", details)?.textContent ?? "");
document.addEventListener("htmx:beforeSwap", () => { open = all("details[open]").map(named); });
document.addEventListener("htmx:afterSwap", () => {
  for (const each of all("details:not([open])")) if (open.includes(named(each))) each.open = true;
  handOn(); // at once, for the next key may be on its way
});
const closeMenus = (but) => { for (const each of all("details.menu[open]")) if (!each.contains(but)) each.open = false; };
// Not while a button is down: what is below would move up from under the pointer, and the click be lost.
let down = false;
document.addEventListener("pointerdown", () => { down = true; }, true);
for (const each of ["pointerup", "pointercancel"]) document.addEventListener(each, () => { down = false; }, true);
document.addEventListener("click", (event) => closeMenus(event.target));
document.addEventListener("focusin", (event) => { if (!down) closeMenus(event.target); });
document.addEventListener("keydown", (event) => {
  const menu = event.key === "Escape" && event.target.closest?.("details.menu[open]");
  if (!menu) return;
  menu.open = false;
  $("summary", menu).focus();
});

// ---- What had the focus and is gone hands it on; a refused word is marked where it was typed.
let had = null;
document.addEventListener("htmx:beforeSwap", () => { had = document.activeElement?.closest?.("[id]"); });
function handOn() {
  if (document.activeElement !== document.body || !had) return;
  const next = { undo: "redo", redo: "undo" }[had.id];
  const place = (next && $(`#${next}:not(:disabled)`)) || (had.closest("#findings") && $("#findings-head")) || document.getElementById(had.id) || $("button.cell[aria-current]") || $("#findings-head");
  place?.focus({ preventScroll: had.id !== "" });
}
document.addEventListener("htmx:responseError", (event) => {
  const field = event.detail.elt;
  if (!field.matches?.("input, select, textarea")) return;
  for (const each of field.matches("select") ? field.options : []) each.selected = each.defaultSelected;
  field.setAttribute("aria-invalid", "true");
  field.setAttribute("aria-describedby", "trouble");
  if (!unsaved(document.activeElement)) field.focus();
});
document.addEventListener("htmx:afterSettle", (event) => {
  ready();
  if (unsaved(document.activeElement)) return;
  const clash = $("#clash");
  if (clash && event.detail.target?.id === "work") clash.focus();
  const asked = event.detail.requestConfig;
  if (asked?.verb === "get" && asked.path.endsWith("/cell")) $("#panel-head[tabindex]")?.focus();
});
document.addEventListener("htmx:beforeRequest", (event) => { if (event.detail.requestConfig?.verb === "post") $("#trouble")?.replaceChildren(); });

// ---- The server is away.
const away = $("#offline");
document.addEventListener("htmx:sendError", () => { away.hidden = false; });
document.addEventListener("htmx:afterRequest", (event) => { if (event.detail.xhr?.status) away.hidden = true; });
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
