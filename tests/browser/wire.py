"""A wire between a browser and a studio that can be cut: all that goes over it breaks off at once."""

import contextlib
import socket
import threading
from typing import Self


class Wire:
    """Listens on a port of its own and passes on to the studio's; `cut` ends every line, `down` lets no new one in."""

    def __init__(self, port: int) -> None:
        self._to, self.down = port, False
        self._lines: list[socket.socket] = []
        self._door = socket.create_server(("127.0.0.1", 0))
        self.address = f"http://localhost:{self._door.getsockname()[1]}"
        threading.Thread(target=self._listen, daemon=True).start()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._door.shutdown(socket.SHUT_RDWR)
        self._door.close()
        self.cut()

    def cut(self) -> None:
        """Ends every line that there is."""
        lines, self._lines = self._lines, []
        for line in lines:
            with contextlib.suppress(OSError):
                line.shutdown(socket.SHUT_RDWR)

    def _listen(self) -> None:
        while True:
            try:
                here, _ = self._door.accept()
            except OSError:
                return
            threading.Thread(target=self._line, args=(here,), daemon=True).start()

    def _line(self, here: socket.socket) -> None:
        with here, contextlib.suppress(OSError):
            if self.down:
                return
            with socket.create_connection(("127.0.0.1", self._to)) as there:
                self._lines += [here, there]
                back = threading.Thread(target=_pass_on, args=(there, here), daemon=True)
                back.start()
                _pass_on(here, there)
                back.join()


def _pass_on(one: socket.socket, other: socket.socket) -> None:
    with contextlib.suppress(OSError):
        while data := one.recv(65_536):
            other.sendall(data)
    for each in (one, other):
        with contextlib.suppress(OSError):
            each.shutdown(socket.SHUT_RDWR)
