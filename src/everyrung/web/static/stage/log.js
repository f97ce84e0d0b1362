// What was really done, kept here and sent to the studio again and again, whole each time.

export function makeLog(session, revision, token) {
  const id = crypto.randomUUID?.() ?? `${Date.now()}-${Math.floor(Math.random() * 1e9)}`;
  const events = [];
  async function send() {
    if (!events.length) return;
    const body = new URLSearchParams({ id, revision, log: JSON.stringify({ events }) });
    try {
      await fetch(`/session/${session}/log`, { method: "POST", body, headers: { "X-Token": token }, keepalive: body.toString().length < 60000 });
    } catch { /* it is sent again */ }
  }
  setInterval(send, 30_000);
  addEventListener("pagehide", send);
  return {
    note(what, atMs, cell = "") { events.push({ wall_ms: Date.now(), at_ms: Math.round(atMs), what, cell }); },
    send,
  };
}
