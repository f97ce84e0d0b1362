// The line to the other screens: it comes back by itself, and the stage goes on without it.

export function makeLine(session, role, heard, { code = "", changed = () => {} } = {}) {
  let socket = null, wait = 500, closed = false;
  function open() {
    const scheme = location.protocol === "https:" ? "wss" : "ws";
    socket = new WebSocket(`${scheme}://${location.host}/session/${session}/live?as=${role}&code=${code}`);
    socket.onopen = () => { wait = 500; changed("open"); };
    socket.onmessage = (event) => heard(JSON.parse(event.data));
    socket.onclose = (event) => {
      if (closed) return;
      if (event.code === 4403 || (event.code === 1006 && role === "remote" && wait === 500)) { changed("refused"); return; }
      changed("lost");
      setTimeout(open, wait);
      wait = Math.min(wait * 2, 5000);
    };
  }
  open();
  return {
    send(message) { if (socket?.readyState === WebSocket.OPEN) socket.send(JSON.stringify(message)); },
    get open() { return socket?.readyState === WebSocket.OPEN; },
    close() { closed = true; socket?.close(); },
  };
}
