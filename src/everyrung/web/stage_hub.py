"""Shows that are being led: who looks on, who steers, and where the stage is; sent over websockets."""

import asyncio
import json
import time
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, Protocol

MOST_BYTES = 20_000  # of one message; chosen, because a state has some 500
MOST_SCREENS = 50  # of one show; chosen, because nobody has more


class Role(StrEnum):
    """What a screen is: the stage leads, a prompter shows the leader her words, a remote steers."""

    STAGE = "stage"
    PROMPTER = "prompter"
    REMOTE = "remote"


class Standing(StrEnum):
    """How a stage stands to the lead when it comes: opened just now, leading since before, or looking on."""

    NEW = "new"
    LEADS = "leads"
    LOOKS = "looks"


ORDERS = ("pause", "go", "toggle", "back", "skip", "less", "undo", "waive", "card")  # a remote may ask for these


class Socket(Protocol):
    """A websocket, as far as a show needs it."""

    async def send_text(self, data: str) -> None: ...

    async def close(self, code: int = 1000) -> None: ...


@dataclass(slots=True, kw_only=True)
class Show:
    """One session on stage. One stage leads, `leader`; `state` is what it sent last, `has_begun` whether it began."""

    state: str = ""
    has_begun: bool = False
    told_s: float = 0.0
    leader: Socket | None = None
    screens: dict[Socket, Role] = field(default_factory=dict)

    async def join(self, socket: Socket, role: Role, stands: Standing = Standing.NEW) -> None:
        """A screen more: it is told whether it leads, and where the stage is.

        A stage that comes while another leads only looks on, until it asks for the lead; one whose socket was lost
        while it led goes on leading, unless another has begun meanwhile.
        """
        self.screens[socket] = role
        leads = role is Role.STAGE and self._leads(stands)
        if leads:
            before, self.leader, self.has_begun = self.leader, socket, stands is Standing.LEADS
            await self._tell([before] if before else [], {"do": "rest"})
        silent_ms = round(1000 * (time.monotonic() - self.told_s)) if self.state else 0
        await socket.send_text(json.dumps({"is": "here", "lead": leads, "silent_ms": silent_ms}))
        if self.state and not leads:
            await socket.send_text(self.state)

    def _leads(self, stands: Standing) -> bool:
        if stands is Standing.LOOKS:
            return False
        return self.leader is None or (stands is Standing.LEADS and not self.has_begun)

    async def leave(self, socket: Socket) -> None:
        """A screen less; when it led, those that look on hear that nobody does."""
        self.screens.pop(socket, None)
        if self.leader is socket:
            self.leader = None
            await self._tell(self._of(Role.STAGE), {"is": "free"})

    async def unpair(self, code: int) -> None:
        """Every phone is sent away, with a websocket code that says why."""
        await asyncio.gather(*(socket.close(code) for socket in self._of(Role.REMOTE)), return_exceptions=True)

    def _of(self, role: Role) -> list[Socket]:
        return [socket for socket, other in self.screens.items() if other is role]

    async def hear(self, socket: Socket, text: str) -> None:
        """A state of the stage that leads goes to all others; an order of a remote goes to it; a stage may ask for the
        lead; anything else is nothing.
        """
        message = _read(text)
        if socket is self.leader and message.get("is") == "state":
            self.state, self.has_begun = json.dumps(message, separators=(",", ":")), message.get("begun") is True
            self.told_s = time.monotonic()
            await self._tell([each for each in self.screens if each is not socket], message)
        elif message.get("do") == "lead" and self.screens.get(socket) is Role.STAGE and socket is not self.leader:
            before, self.leader = self.leader, socket
            await self._tell([before] if before else [], {"do": "rest"})
        elif message.get("do") in ORDERS and self.leader:
            await self._tell([self.leader], {"do": message["do"], "by": self.screens.get(socket, "")})

    async def _tell(self, sockets: list[Socket], message: dict[str, Any]) -> None:
        text = json.dumps(message, separators=(",", ":"))
        outcomes = await asyncio.gather(*(socket.send_text(text) for socket in sockets), return_exceptions=True)
        for socket, problem in zip(sockets, outcomes, strict=True):
            if isinstance(problem, BaseException):
                self.screens.pop(socket, None)  # what reads from it tells the rest


def _read(text: str) -> dict[str, Any]:
    try:
        message = json.loads(text[:MOST_BYTES])
    except (ValueError, RecursionError):
        return {}
    return message if isinstance(message, dict) else {}


class Shows:
    """All shows of one studio, by session."""

    def __init__(self) -> None:
        self._shows: dict[str, Show] = {}

    def of(self, session: str) -> Show:
        """The show that is held at this studio."""
        return self._shows.setdefault(session, Show())

    def all(self) -> dict[str, Show]:
        """Every show that is held at this studio."""
        return dict(self._shows)

    async def find(self, session: str) -> Show | Any:
        """The show of a session, wherever it is held."""
        return self.of(session)

    async def begin(self) -> None:
        """Once the studio is served."""

    async def end(self) -> None:
        """Once it is no more."""
