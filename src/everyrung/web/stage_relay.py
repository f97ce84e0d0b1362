"""Shows of several studios on one database: one studio holds each, and the others pass on what their screens say.

So a show is led in one place as ever (stage_hub.py), whichever studio a screen is at. When the studio that holds it
ends, its screens come back to another one by themselves, and the stage that led goes on leading there.
"""

import asyncio
import json
import secrets
import sys
from collections.abc import Awaitable, Callable
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any

from starlette.concurrency import run_in_threadpool

from everyrung.store.stages import Letter, Post, Stages
from everyrung.store.studios import BEAT_S, Studios
from everyrung.web.log import log_line
from everyrung.web.stage_hub import MOST_SCREENS, Role, Show, Shows, Socket, Standing

AGAIN = 1012  # the websocket code of a service that is begun anew (IANA's registry): whoever hears it comes back
FULL = 1013  # of one that has no room now
WAIT_S = 0.5  # for a letter, before it is looked whether the studio ends; chosen, because nobody waits longer for that


@dataclass(slots=True, eq=False)
class FarScreen:
    """A screen at another studio, as the show that is held here sees it."""

    studio: str
    name: str
    write: Callable[[str, dict[str, Any]], None]

    async def send_text(self, data: str) -> None:
        """It goes by post."""
        self.write(self.studio, {"screen": self.name, "text": data})

    async def close(self, code: int = 1000) -> None:
        """As well."""
        self.write(self.studio, {"screen": self.name, "close": code})


@dataclass(slots=True)
class FarShow:
    """A show that another studio holds, as the screens at this one see it: a Show of the same methods."""

    session: str
    holder: str
    write: Callable[[str, dict[str, Any]], None]
    screens: dict[Socket, str] = field(default_factory=dict)

    async def join(self, socket: Socket, role: Role, stands: Standing = Standing.NEW) -> None:
        """As Show."""
        self.screens[socket] = secrets.token_urlsafe(9)
        self._say(socket, {"do": "join", "role": role, "stands": stands})

    async def leave(self, socket: Socket) -> None:
        """As Show."""
        if socket in self.screens:
            self._say(socket, {"do": "leave"})
            del self.screens[socket]

    async def hear(self, socket: Socket, text: str) -> None:
        """As Show."""
        if socket in self.screens:
            self._say(socket, {"do": "hear", "text": text})

    async def unpair(self, code: int) -> None:
        """As Show: phones at other studios too."""
        self.write(self.holder, {"session": self.session, "do": "unpair", "code": code})

    def _say(self, socket: Socket, message: dict[str, Any]) -> None:
        self.write(self.holder, {"session": self.session, "screen": self.screens[socket], **message})


class SharedShows(Shows):
    """All shows that screens at this studio see: held here, or at another one."""

    def __init__(self, studios: Studios, stages: Stages, post: Post) -> None:
        super().__init__()
        self._studios, self._stages, self._post = studios, stages, post
        self._far: dict[str, FarShow] = {}
        self._guests: dict[tuple[str, str], tuple[str, FarScreen]] = {}  # by studio and screen: their session
        self._letters: list[Letter] = []
        self._has_letters, self._over = asyncio.Event(), asyncio.Event()
        self._tasks: list[asyncio.Task[None]] = []

    async def find(self, session: str) -> Show | FarShow:
        """The show of a session, wherever it is held. It is held here from now on if no studio that runs does."""
        holder = await run_in_threadpool(self._stages.holder, session)
        far = self._far.get(session)
        if far and far.holder != holder:
            del self._far[session]
            await _send_back(far)
        if holder == self._studios.name:
            return self.of(session)
        return self._far.setdefault(session, FarShow(session, holder, self._write))

    async def begin(self) -> None:
        """From now on letters are written and read."""
        self._tasks = [asyncio.create_task(self._always(each)) for each in (self._send, self._read, self._look)]

    async def end(self) -> None:
        """No more of it. Nothing is cancelled, for a thread that speaks with the database would go on by itself."""
        self._over.set()
        self._has_letters.set()
        await asyncio.gather(*self._tasks)
        await run_in_threadpool(self._post.close)

    def _write(self, to: str, message: dict[str, Any]) -> None:
        self._letters.append(Letter(to, json.dumps(message | {"from": self._studios.name}, separators=(",", ":"))))
        self._has_letters.set()

    async def _always(self, work: Callable[[], Awaitable[None]]) -> None:
        while not self._over.is_set():
            try:
                await work()
            except Exception as problem:  # the database is away for a while, say: the next letter may come through
                print(f"studio: stages at other studios can't be reached: {log_line(problem)}", file=sys.stderr)
                await asyncio.sleep(1.0)

    async def _send(self) -> None:
        await self._has_letters.wait()
        self._has_letters.clear()
        some, self._letters = self._letters, []
        await run_in_threadpool(self._post.send, some)

    async def _read(self) -> None:
        for body in await run_in_threadpool(self._next_letters):
            await self._deliver(json.loads(body))

    def _next_letters(self) -> list[str]:
        self._post.wait(WAIT_S)
        return self._post.take()

    async def _deliver(self, letter: dict[str, Any]) -> None:
        if "session" in letter:
            await self._to_show(letter)
            return
        for show in self._far.values():
            for socket, name in list(show.screens.items()):
                if name == letter["screen"] and show.holder == letter["from"]:
                    await (socket.close(letter["close"]) if "close" in letter else socket.send_text(letter["text"]))

    async def _to_show(self, letter: dict[str, Any]) -> None:
        """What a screen at another studio says to a show that is held here."""
        show, at = self.of(letter["session"]), (letter["from"], letter.get("screen", ""))
        if letter["do"] == "unpair":
            await show.unpair(letter["code"])
        elif letter["do"] == "join":
            guest = FarScreen(*at, self._write)
            if len(show.screens) >= MOST_SCREENS:
                await guest.close(FULL)
                return
            self._guests[at] = (letter["session"], guest)
            await show.join(guest, Role(letter["role"]), Standing(letter["stands"]))
        elif at in self._guests:
            _, guest = self._guests[at]
            if letter["do"] == "leave":
                del self._guests[at]
                await show.leave(guest)
            else:
                await show.hear(guest, letter["text"])

    async def _look(self) -> None:
        """Every BEAT_S: screens of studios that ended leave; those here whose show is held elsewhere now come back."""
        with suppress(TimeoutError):
            await asyncio.wait_for(self._over.wait(), BEAT_S)
        shows, fars = self.all(), list(self._far.values())  # before what the database says, or it would miss new ones
        guests = list(self._guests.items())
        there = await run_in_threadpool(self._studios.running)
        own = await run_in_threadpool(self._stages.own)
        await run_in_threadpool(self._post.tidy)
        for at, (session, guest) in guests:
            if guest.studio not in there and at in self._guests:
                del self._guests[at]
                await self.of(session).leave(guest)
        for session, show in shows.items():
            if session not in own:
                await _send_back(show)
        for far in fars:
            if far.holder not in there:
                await _send_back(far)


async def _send_back(show: Show | FarShow) -> None:
    """Its screens come back by themselves, to wherever the show is held now."""
    await asyncio.gather(*(socket.close(AGAIN) for socket in list(show.screens)), return_exceptions=True)
