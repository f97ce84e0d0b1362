// @ts-check
// What was really done, kept here and sent to the studio as it happens, whole each time. One show is one log, whatever
// is reloaded or opened anew in its course.

const SOON_MS = 300; // what happens together is sent together; chosen, because nothing is lost before anybody could look
const SEND_MS = 10_000; // chosen, because a machine that dies then loses no more of where the clock was than that
const BEACON_BYTES = 60_000; // a browser sends no more than 64 KiB for a page that is going

/**
 * at_ms is the show's own time, to_ms where a skip or a step back led to; by: which screen steered.
 * @typedef {{wall_ms: number, at_ms: number, what: string, cell: string, to_ms?: number, by?: string}} LogEvent
 */
/** @typedef {{id: string, events: LogEvent[]}} LogKept */

/**
 * @param {string} session @param {string} revision @param {string} token
 * @param {() => number | null} placeMs where the clock is while it goes
 */
export function makeLog(session, revision, token, placeMs = () => null) {
  /** @type {string} */
  let id = crypto.randomUUID?.() ?? `${Date.now()}-${Math.floor(Math.random() * 1e9)}`;
  /** @type {LogEvent[]} */
  let events = [];
  let resting = false, soon = 0;
  const begun = () => events.some((event) => event.what === "start"); // who only looks round has led nothing
  async function send() {
    clearTimeout(soon);
    soon = 0;
    if (resting || !begun()) return;
    const ms = placeMs();
    const here = ms === null ? [] : [{ wall_ms: Date.now(), at_ms: Math.round(ms), what: "here", cell: "" }];
    const body = new URLSearchParams({ id, revision, log: JSON.stringify({ events: [...events, ...here] }) });
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
    /**
     * @param {string} what @param {number} atMs @param {string} [cell]
     * @param {{wallMs?: number, toMs?: number, by?: string}} [more]
     */
    note(what, atMs, cell = "", { wallMs = Date.now(), toMs, by } = {}) {
      events.push({ wall_ms: wallMs, at_ms: Math.round(atMs), what, cell, to_ms: toMs && Math.round(toMs), by });
      soon ||= setTimeout(send, SOON_MS);
    },
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
