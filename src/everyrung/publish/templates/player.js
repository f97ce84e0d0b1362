// One page for one participant: what they said, where the session is, and what they press.
const data = JSON.parse(byId("data").textContent);
const clock = new SessionClock(data), choices = new Choices(data.sets);
const stops = data.spans.map((span, at) => [span, at])
  .filter(([span, at]) => !at || span.set !== data.spans[at - 1].set)
  .map(([span]) => (span.set < 0 ? { at: span.at_ms, again: span.at_ms } : { at: span.at_ms, again: data.sets[span.set].again_ms }));
let balls = null, shownSet = null, shownBout = null, lock = null;

function track() {
  const chosen = document.querySelector('input[name="track"]:checked');
  return (chosen && data.said[chosen.value]) || [];
}

function changed(set, at) {
  choices.choose(set, at);
  listSets();
  shownSet = null;
  show();
}

// The list before the start: every set with the rung that suits, open to change.
function listSets() {
  const held = document.activeElement && document.activeElement.dataset.set;
  const rows = [];
  let group = "";
  data.sets.forEach((set, at) => {
    const name = set.round ? `${set.block}, round ${set.round}` : set.block;
    if (name !== group) rows.push(made("h3", "", name));
    group = name;
    rows.push(row(set, at));
  });
  byId("sets").replaceChildren(...rows);
  if (held) document.querySelector(`#sets [data-set="${held}"]`)?.focus();
}

// What speaks against the rung that is shown: kit that isn't there, and a round that first-timers rest through.
function warned(at) {
  const rung = choices.rung(at), missing = rung ? choices.missing(rung) : [];
  const late = choices.late(at) ? "First time here? Rest or stretch through this round." : "";
  return [missing.length ? `Needs ${missing.join(" and ")}.` : "", late].filter(Boolean).join(" ");
}

// Why a set is rested through.
function unled(at) {
  if (choices.own.has(at)) return "You chose to rest.";
  return choices.late(at) ? "Take any rung if you have plenty left." : "None of its rungs goes with what you have.";
}

function row(set, at) {
  const node = byId("a-set").content.cloneNode(true), rung = choices.rung(at), part = (kind) => node.querySelector(kind);
  part(".set").dataset.kinds = rung ? rung.kinds.join(", ") : "rest";
  if (rung && rung.figure) part(".shown").append(picture(rung));
  write(part(".name"), rung ? `${set.number}. ${rung.name}` : `${set.number}. Rest`);
  write(part(".how"), rung ? `${rung.dose}; ${kitWords(rung, balls) || "empty hands"}` : unled(at));
  write(part(".test"), rung ? rung.test : "");
  write(part(".missing"), warned(at));
  for (const kind of [".test", ".missing"]) if (!part(kind).textContent) part(kind).remove();
  write(part(".label"), `Rung for set ${set.number}`);
  const select = chooser(at, choices, changed);
  select.dataset.set = String(at);
  part("select").replaceWith(select);
  return node;
}

function showBalls() {
  const input = byId("stature");
  if (!input) return;
  const cm = statureCm(input.value);
  balls = ballFor(data, cm);
  const [low, high] = data.stature_cm;
  const words = balls ? Object.values(balls).map((found) => found.words) : [input.value.trim() ? `Write it as 165 cm or 5 ft 5; the chart goes from ${low} to ${high} cm.` : "For the size of your ball."];
  byId("ball-words").replaceChildren(...words.map((each) => made("p", balls ? "" : "soft hint", each)));
}

function answered() {
  choices.level = document.querySelector('input[name="level"]:checked').value;
  choices.pieces = {};
  for (const box of document.querySelectorAll("input[data-item]:checked")) {
    choices.pieces[box.dataset.item] = Math.max(choices.pieces[box.dataset.item] || 0, Number(box.dataset.pieces));
  }
  showBalls();
  listSets();
  shownSet = null;
}

// What changes with the set: its name, both rungs, what to check.
function showSet(at, span) {
  const set = data.sets[at], own = set && choices.rung(at), led = set && set.rungs[0];
  write(byId("move"), set ? led.name : "Listen");
  write(byId("place"), set ? `${set.block}${set.round ? `, round ${set.round}` : ""}, set ${set.number} of ${data.sets.length}` : "To everyone");
  const mine = document.querySelector(".own"), theirs = document.querySelector(".led");
  if (!set) { mine.replaceChildren(); theirs.replaceChildren(); return; }
  const same = own === led;
  const parts = own ? card(same ? "Yours and the leader’s" : `Yours: ${own.kinds.join(", ")}`, own, balls) : [made("p", "whose", "Yours"), made("p", "name", "Rest this set")];
  if (own) parts.push(made("p", "test", own.test), ...own.looks.map((each) => made("p", "look", each)));
  if (warned(at)) parts.splice(parts.findIndex((part) => part.className === "name") + 1, 0, made("p", "missing", warned(at)));
  mine.toggleAttribute("data-alone", same);
  const label = made("label", "swap");
  label.append(made("span", "", "Change"), chooser(at, choices, changed));
  mine.replaceChildren(...parts, label);
  theirs.replaceChildren(...(same ? [] : card("The leader’s", led, balls)));
}

function nextWords(at) {
  const span = data.spans[at], later = data.spans.slice(at + 1);
  const bout = later.find((each) => each.work && each.set === span.set);
  const own = span.set >= 0 && choices.rung(span.set);
  if (span.work && bout && own) return `Next: ${sideWords(own, bout.work, "").toLowerCase()}`;
  const turn = later.find((each) => each.set >= 0 && each.set !== span.set);
  if (!turn) return span.set >= 0 ? "Next: that was all" : "";
  const rung = choices.rung(turn.set);
  if (!rung) return `Next: ${data.sets[turn.set].rungs[0].name}; you rest`;
  const kit = kitWords(rung, balls);
  return `Next: ${rung.name}${kit ? `. Have ready: ${kit}` : ""}`;
}

function show() {
  const ms = clock.now(), at = spanAt(data.spans, ms), span = data.spans[at], over = ms >= data.total_ms;
  const work = data.spans.slice(at).find((each) => each.work && each.set === span.set)?.work;
  const own = span.set >= 0 ? choices.rung(span.set) : null;
  if (shownSet !== span.set) showSet(span.set, span);
  const [number, unit] = over ? [0, "over: well done"] : counted(data.spans, at, ms);
  const [phase, alternate] = phased(span, ms);
  const side = work && own && span.set >= 0 ? sideWords(own, work, alternate) : "";
  const led = span.set >= 0 ? data.sets[span.set].rungs[0] : null;
  const same = own === led; // the leader's kit is not everyone's
  const doing = span.work || !led ? "" : same && span.text && span.text !== led.name ? span.text : span.kind;
  write(byId("count"), String(number));
  write(byId("unit"), unit);
  write(byId("doing"), doing);
  write(byId("side"), side);
  write(byId("phase"), same ? phase : "");
  write(byId("left"), clockText(data.total_ms - ms));
  const line = track().filter(([from, to]) => from <= ms && ms < to + LINGER_MS).pop();
  const told = line ? data.words[line[2]] : "";
  write(byId("said"), told && led && !same ? `The leader: ${told}` : told); // it is about her rung, not theirs
  write(byId("next"), nextWords(at));
  write(byId("pause"), over ? "Start again" : clock.running ? "Pause" : "Go on");
  if (over && lock) awake(false);
  byId("way").value = Math.floor(ms / 1000) * 1000;
  byId("play").dataset.ms = String(Math.round(ms));
  const turn = work ? work.bout : null;
  if (shownSet !== span.set || shownBout !== turn) write(byId("told"), [byId("move").textContent, side].filter(Boolean).join(", "));
  shownSet = span.set;
  shownBout = turn;
}

function everyFrame() {
  if (!byId("play").hidden) show();
  requestAnimationFrame(everyFrame);
}

// A phone that goes dark in the middle of a set is no help; where it can't be kept awake, nothing else changes.
async function awake(on) {
  try {
    if (on && !lock) lock = await navigator.wakeLock.request("screen");
    else if (!on && lock) { await lock.release(); lock = null; }
  } catch { lock = null; }
}

async function play() { await clock.play(); show(); awake(true); }
async function pause() { await clock.pause(); show(); awake(false); }

function seen(playing) {
  byId("play").hidden = !playing;
  byId("before").hidden = playing;
  window.scrollTo(0, 0);
  (playing ? byId("pause") : byId("start")).focus({ preventScroll: true });
}

// The stop that holds this time: a set or an announcement.
const stopAt = (ms) => stops.findLastIndex((stop) => stop.at <= ms);

function jump(ms) { clock.seek(ms); show(); }

byId("start").addEventListener("click", () => { seen(true); play(); });
byId("stop").addEventListener("click", () => { pause(); write(byId("start"), "Go on"); seen(false); });
byId("pause").addEventListener("click", () => {
  if (clock.now() >= data.total_ms) clock.seek(0);
  else if (clock.running) return pause();
  return play();
});
byId("again").addEventListener("click", () => jump(stops[stopAt(clock.now())].again));
byId("back").addEventListener("click", () => jump(stops[Math.max(0, stopAt(clock.now()) - 1)].at));
byId("on").addEventListener("click", () => jump((stops[stopAt(clock.now()) + 1] || { at: data.total_ms }).at));
byId("beeps").addEventListener("change", (event) => clock.sound(event.target.checked));
byId("to-read").addEventListener("click", () => { byId("read").open = true; });
document.addEventListener("visibilitychange", () => { if (!document.hidden && clock.running) { lock = null; awake(true); } });
byId("before").addEventListener("input", (event) => { if (event.target.matches("input")) answered(); });
answered();
everyFrame();
