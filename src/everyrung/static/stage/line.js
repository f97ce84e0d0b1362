// @ts-check
// The line to the other screens: it comes back by itself, and the stage goes on without it.

const FIRST_MS = 500, LONGEST_MS = 5000; // between two tries; chosen, because a coach who looks counts so far
const REFUSED = 4403; // the studio's own code

/**
 * @param {string} session
 * @param {string} role
 * @param {(message: any) => void} heard
 * @param {{stands?: () => string, changed?: (what: string) => void}} options `stands` says how a stage stands to the lead: "new",
 *   "leads" or "looks"; `changed` is told what became of the line: "open", "lost" or "refused"
 */
export function makeLine(session, role, heard, { stands = () => "", changed = () => {} } = {}) {
  /** @type {WebSocket | null} */
  let socket = null;
  let wait = FIRST_MS, closed = false, later = 0;
  function open() {
    later = 0;
    const scheme = location.protocol === "https:" ? "wss" : "ws";
    socket = new WebSocket(`${scheme}://${location.host}/session/${session}/live?as=${role}&stands=${stands()}`);
    socket.onopen = () => { wait = FIRST_MS; changed("open"); };
    socket.onmessage = (event) => heard(JSON.parse(event.data));
    socket.onclose = (event) => {
      if (closed) return;
      if (event.code === REFUSED) { changed("refused"); return; }
      changed("lost");
      later = setTimeout(open, wait);
      wait = Math.min(wait * 2, LONGEST_MS);
    };
  }
  /** Whoever looks at the screen again, or has a network again, does not wait. */
  const now = () => { if (socket?.readyState === WebSocket.CLOSED && !closed && later) { clearTimeout(later); later = 0; open(); } };
  addEventListener("online", now);
  document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") now(); });
  open();
  return {
    /** @param {object} message */
    send(message) { if (socket?.readyState === WebSocket.OPEN) socket.send(JSON.stringify(message)); },
    get open() { return socket?.readyState === WebSocket.OPEN; },
    close() { closed = true; socket?.close(); },
  };
}
