// Where the session is by the clock of this telephone: nothing is stored, nothing is sent.
const { parts, total_ms: totalMs } = JSON.parse(document.getElementById("parts").textContent);
const start = document.getElementById("start"), now = document.getElementById("now"), then = document.getElementById("then");
const DAY_MS = 86_400_000, HALF_MS = DAY_MS / 2;

/** Since the start that stands in the field, -12 to 12 hours; null while there is none. */
function sinceMs() {
  const [hours, minutes] = start.value.split(":").map(Number);
  if (!start.value || Number.isNaN(hours) || Number.isNaN(minutes)) return null;
  const at = new Date();
  const ms = at - new Date(at.getFullYear(), at.getMonth(), at.getDate(), hours, minutes);
  return ((ms + HALF_MS) % DAY_MS + DAY_MS) % DAY_MS - HALF_MS;
}
const minutes = (ms) => { const s = Math.max(0, Math.ceil(ms / 1000)); return `${Math.floor(s / 60)}:${String(s % 60).padStart(2, "0")}`; };

function show() {
  const ms = sinceMs();
  const at = ms === null ? -1 : parts.findIndex((part) => part.at_ms <= ms && ms < part.end_ms);
  document.querySelectorAll("[data-part]").forEach((row) => row.toggleAttribute("aria-current", Number(row.dataset.part) === at));
  if (ms === null) { now.textContent = "When did it start? Then this says where we are."; then.textContent = ""; return; }
  if (ms < 0) { now.textContent = `It starts in ${minutes(-ms)}. You are in time.`; then.textContent = ""; return; }
  if (ms >= totalMs) { now.textContent = "It is over."; then.textContent = ""; return; }
  const part = parts[at], next = parts.flatMap((each) => each.sets).find(([begins]) => begins > ms);
  now.textContent = `${part.name}. ${part.come_in}`;
  then.textContent = next ? `Next set in ${minutes(next[0] - ms)}: ${next[1]}.` : `It ends in ${minutes(totalMs - ms)}.`;
}
start.addEventListener("input", show);
setInterval(show, 1000);
show();
