"""Shows that are being led: who looks on, who steers, and where the stage is; told over websockets."""

import asyncio
import hmac
import json
import secrets
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, Protocol

MOST_BYTES = 20_000  # of one message; chosen, because a state has some 500
MOST_SCREENS = 50  # of one show; chosen, because nobody has more
MOST_TRIES = 10  # wrong codes of a show, then it gets another one; chosen, because a hand slips once or twice
CODE_DIGITS = 6


class Role(StrEnum):
    """What a screen is: the stage leads, a prompter shows the leader her words, a remote steers."""

    STAGE = "stage"
    PROMPTER = "prompter"
    REMOTE = "remote"


ORDERS = ("pause", "go", "toggle", "back", "skip", "less", "card")  # what a remote may ask of the stage


class Line(Protocol):
    """A websocket, as far as a show needs it."""

    async def send_text(self, data: str) -> None: ...


def _code() -> str:
    return f"{secrets.randbelow(10**CODE_DIGITS):0{CODE_DIGITS}}"


@dataclass(slots=True, kw_only=True)
class Show:
    """One session on stage. The stage that came last leads; `state` is what it told last."""

    code: str = field(default_factory=_code)
    state: str = ""
    wrong: int = 0
    screens: dict[Line, Role] = field(default_factory=dict)

    def knows(self, code: str) -> bool:
        """Whether this is the pairing code; after too many wrong ones there is another."""
        if hmac.compare_digest(code.encode(), self.code.encode()):
            return True
        self.wrong += 1
        if self.wrong >= MOST_TRIES:
            self.code, self.wrong = _code(), 0
        return False

    async def join(self, line: Line, role: Role) -> None:
        """A screen more: it is told where the stage is; a new stage sends the one before to rest."""
        if role is Role.STAGE:
            await self._tell([each for each, other in self.screens.items() if other is Role.STAGE], {"do": "rest"})
        self.screens[line] = role
        await line.send_text('{"is":"here"}')
        if self.state:
            await line.send_text(self.state)

    def leave(self, line: Line) -> None:
        """A screen less."""
        self.screens.pop(line, None)

    async def hear(self, line: Line, said: str) -> None:
        """A state of the stage goes to all others; an order of a remote goes to the stage; anything else is nothing."""
        message = _read(said)
        if self.screens.get(line) is Role.STAGE and message.get("is") == "state":
            self.state = json.dumps(message, separators=(",", ":"))
            await self._tell([each for each, role in self.screens.items() if role is not Role.STAGE], message)
        elif message.get("do") in ORDERS:
            stages = [each for each, role in self.screens.items() if role is Role.STAGE]
            await self._tell(stages[-1:], {"do": message["do"]})

    async def _tell(self, lines: list[Line], message: dict[str, Any]) -> None:
        text = json.dumps(message, separators=(",", ":"))
        told = await asyncio.gather(*(line.send_text(text) for line in lines), return_exceptions=True)
        for line, problem in zip(lines, told, strict=True):
            if isinstance(problem, BaseException):
                self.leave(line)


def _read(said: str) -> dict[str, Any]:
    try:
        found = json.loads(said[:MOST_BYTES])
    except (ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


class Shows:
    """All shows of one studio, by session."""

    def __init__(self) -> None:
        self._shows: dict[str, Show] = {}

    def of(self, session: str) -> Show:
        return self._shows.setdefault(session, Show())
