// @ts-check
// What was really done, kept here and sent to the studio again and again, whole each time. One show is one log, whatever
// is reloaded or opened anew in its course.

const SEND_MS = 30_000; // chosen, because a studio that dies then loses no more of a show than half a minute
const BEACON_BYTES = 60_000; // a browser sends no more than 64 KiB for a page that is going

/** @typedef {{wall_ms: number, at_ms: number, what: string, cell: string}} LogEvent at_ms is the show's own time */
/** @typedef {{id: string, events: LogEvent[]}} LogKept */

/** @param {string} session @param {string} revision @param {string} token */
export function makeLog(session, revision, token) {
  /** @type {string} */
  let id = crypto.randomUUID?.() ?? `${Date.now()}-${Math.floor(Math.random() * 1e9)}`;
  /** @type {LogEvent[]} */
  let events = [];
  let resting = false;
  const begun = () => events.some((event) => event.what === "start"); // who only looks round has led nothing
  async function send() {
    if (resting || !begun()) return;
    const body = new URLSearchParams({ id, revision, log: JSON.stringify({ events }) });
    const keepalive = body.toString().length < BEACON_BYTES;
    try {
      await fetch(`/session/${session}/log`, { method: "POST", body, headers: { "X-Token": token }, keepalive });
    } catch { /* it is sent again */ }
  }
  setInterval(send, SEND_MS);
  addEventListener("pagehide", send);
  return {
    /** What was tried before is no part of the show. @param {number} atMs */
    begin(atMs) { events = []; this.note("start", atMs); },
    /** @param {string} what @param {number} atMs @param {string} cell @param {number} wallMs */
    note(what, atMs, cell = "", wallMs = Date.now()) { events.push({ wall_ms: wallMs, at_ms: Math.round(atMs), what, cell }); },
    send,
    get begun() { return begun(); },
    /** Another screen writes this log now; only what it has may be sent. */
    rest() { resting = true; },
    get resting() { return resting; },
    /** @returns {LogKept} */
    get kept() { return { id, events }; },
    set kept(found) { ({ id, events } = found); resting = false; },
    wake() { resting = false; },
  };
}
