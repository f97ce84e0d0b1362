// What stands on the page. Only what changes is written, so that screen readers are left in peace.
const byId = (id) => document.getElementById(id);
const LINGER_MS = 1500; // chosen, because words are read a little longer than they are said

function write(node, text) { if (node && node.textContent !== text) node.textContent = text; }

function made(tag, kind, text) {
  const node = document.createElement(tag);
  if (kind) node.className = kind;
  if (text) node.textContent = text;
  return node;
}

function picture(rung) {
  const svg = byId("a-picture").content.firstElementChild.cloneNode(true);
  svg.setAttribute("aria-label", `How it looks: ${rung.name}`);
  svg.firstElementChild.setAttribute("href", `#figure-${rung.figure}`);
  return svg;
}

function clockText(ms) {
  const seconds = Math.ceil(ms / 1000);
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
}

// "two of 10 lb; ball of 45 to 55 cm, wall": what to have in reach for a rung.
function kitWords(rung, balls) {
  const size = rung.ball && balls ? `ball of ${balls[rung.ball].sizes}` : "ball";
  const things = rung.kit.split(", ").filter(Boolean).map((item) => (item === "ball" ? size : item));
  return [rung.load, things.join(", ")].filter(Boolean).join("; ");
}

// The place of the span that holds this time.
function spanAt(spans, ms) {
  let low = 0, high = spans.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (spans[middle].at_ms <= ms) low = middle; else high = middle - 1;
  }
  return low;
}

// The number that is shown large, and what it counts.
function counted(spans, at, ms) {
  const span = spans[at], { work } = span;
  if (work && !work.timed) {
    const done = Math.min(work.reps - 1, Math.floor((ms - span.at_ms) / work.rep_ms));
    return [work.reps - done, work.reps - done === 1 ? "repetition left" : "repetitions left"];
  }
  const next = work ? null : spans.slice(at).find((each) => each.work);
  const seconds = Math.max(0, Math.ceil(((next ? next.at_ms : span.end_ms) - ms) / 1000));
  const what = next ? "until the work starts" : "left";
  return [seconds, `${seconds === 1 ? "second" : "seconds"} ${what}`];
}

// The repetition's phase now, in the move's own word, and the side of an alternating one.
function phased(span, ms) {
  const { work } = span;
  if (!work || !work.phases.length) return ["", ""];
  const rep = Math.min(work.reps - 1, Math.floor((ms - span.at_ms) / work.rep_ms));
  const side = work.alternating ? (rep % 2 ? "right" : "left") : "";
  let into = ms - span.at_ms - rep * work.rep_ms;
  for (const [name, length] of work.phases) {
    if (into < length) return [name, side];
    into -= length;
  }
  return [work.phases[work.phases.length - 1][0], side];
}

// The participant's side: of their own rung, which may be done on both where the leader changes sides.
function sideWords(rung, work, alternate) {
  const side = alternate || (rung.sides.length > work.bout ? rung.sides[work.bout] : rung.sides[0]);
  return side ? `Your ${side} side` : "Both sides";
}

// A card with a rung: all there is to know while doing it.
function card(head, rung, balls) {
  const found = [made("p", "whose", head)];
  if (rung.figure) found.push(picture(rung));
  found.push(made("p", "name", rung.name), made("p", "how", rung.dose), made("p", "how", kitWords(rung, balls) || "empty hands"));
  return found;
}

function chooser(set, choices, changed) {
  const select = document.createElement("select");
  const suits = choices.suits(set), entries = choices.sets[set].rungs.map((rung, at) => [at, `${rung.kinds.join(", ")}: ${rung.name}`]);
  for (const [at, words] of [...entries, [REST, "rest this set"]]) {
    const option = made("option", "", words + (at === suits ? " (suits you)" : ""));
    option.value = String(at);
    option.selected = at === choices.of(set);
    select.append(option);
  }
  select.autocomplete = "off";
  select.addEventListener("change", () => changed(set, Number(select.value)));
  return select;
}
