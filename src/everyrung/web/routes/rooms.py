"""Rooms: kept, typed or drawn; and a session in its room: places, sight, waves, the door, what the room forbids."""

from collections.abc import Mapping
from pathlib import PurePath
from typing import Any

from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from everyrung.pipeline import AudienceSpec
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.room import HELP, MAX_PEOPLE, FloorKind, Light, Room
from everyrung.web.in_room import room_says
from everyrung.web.pages import is_part, page, say, unreadable
from everyrung.web.plan_templates import room_start, room_starts
from everyrung.web.room_form import (
    WHAT,
    WORDS,
    RoomForm,
    form_of,
    form_of_text,
    room_refusals,
    room_text,
)
from everyrung.web.room_view import read_text
from everyrung.web.security import decode_text, read_form, read_form_and_file
from everyrung.web.studio import studio_of


def _drawing(room: Room) -> Markup:
    from everyrung.room.draw import floor_svg

    return Markup(floor_svg(room))  # our own drawing, every name in it escaped


async def index(request: Request) -> Response:
    """All rooms."""
    return await run_in_threadpool(_index, request, "")


def _index(request: Request, problem: str) -> Response:
    rows = [(row, read_text(row.text)) for row in studio_of(request).rooms.all()]
    return page(request, "rooms.html", 422 if problem else 200, rows=rows, starts=room_starts(), problem=problem)


async def new(request: Request) -> Response:
    """A room from a start."""
    form = await read_form(request)
    return await run_in_threadpool(_add, request, room_start(form.get("from", "")))


async def bring(request: Request) -> Response:
    """A room file."""
    _, file = await read_form_and_file(request)
    if file is None:
        raise HTTPException(422, "Choose a room file first.")
    if not PurePath(file[0]).name.casefold().endswith(".toml"):
        raise HTTPException(422, "A room file ends in .toml; the docs page The room says what goes in one.")
    return await run_in_threadpool(_add, request, decode_text(file[1]).replace("\r\n", "\n"))


def _add(request: Request, text: str) -> Response:
    studio = studio_of(request)
    try:
        name = read_text(text).name
        names = {row.name for row in studio.rooms.all()}
        free = next(each for each in (name, *(f"{name} {at}" for at in range(2, 1000))) if each not in names)
        key = studio.rooms.add(free, text if free == name else _with_name(text, free))
    except (Faults, Invalid) as problem:
        return _index(request, " ".join(room_refusals(problem)))
    return RedirectResponse(f"/rooms/{key}", 303)


def _with_name(text: str, name: str) -> str:
    form = form_of_text(text)
    return room_text(RoomForm(plain={**form.plain, "name": name}, rows=form.rows, emergency=form.emergency))


async def show(request: Request) -> Response:
    """One room's form, with its drawing."""
    return await run_in_threadpool(_show, request, None, ())


def _show(request: Request, form: RoomForm | None, problems: tuple[str, ...]) -> Response:
    row = studio_of(request).rooms.get(request.path_params["room"])
    return page(
        request, "room.html", 422 if problems else 200, row=row, form=form or form_of_text(row.text),
        drawing=_drawing(read_text(row.text)), problems=problems, what=WHAT, words=WORDS, labels=HELP,
        lights=list(Light), kinds=list(FloorKind),
    )  # fmt: skip


async def save(request: Request) -> Response:
    """The room as the form has it; what can't be kept comes back as it was written, with what to do."""
    return await run_in_threadpool(_save, request, form_of(await read_form(request)))


def _save(request: Request, form: RoomForm) -> Response:
    studio, key = studio_of(request), request.path_params["room"]
    studio.rooms.get(key)
    try:
        text = room_text(form)
        studio.rooms.change(key, read_text(text).name, text)
    except (Faults, Invalid) as problem:
        return _show(request, form, tuple(room_refusals(problem)))
    say(request, "The room is kept")
    return RedirectResponse(f"/rooms/{key}", 303)


async def remove(request: Request) -> Response:
    """One room less."""
    await read_form(request)
    await run_in_threadpool(studio_of(request).rooms.remove, request.path_params["room"])
    say(request, "The room is deleted; sessions held in it have no room now")
    return RedirectResponse("/rooms", 303)


async def file(request: Request) -> Response:
    """The room file."""
    row = await run_in_threadpool(studio_of(request).rooms.get, request.path_params["room"])
    headers = {"Content-Disposition": f'attachment; filename="room-{row.id}.toml"'}
    return Response(row.text.encode(), media_type="application/toml", headers=headers)


async def within(request: Request) -> Response:
    """A session in its room, or, for its own script, how far that is."""
    return await run_in_threadpool(_within, request, "")


def _within(request: Request, problem: str) -> Response:
    studio = studio_of(request)
    head = studio.sessions.head(request.path_params["session"])
    try:
        run = studio.on_clock(head.text)
    except Faults as faults:
        return unreadable(request, head, faults)
    venue = studio.rooms.venue(head.session)
    content: dict[str, Any] = {
        "head": head, "run": run, "venue": venue, "rooms": studio.rooms.all(), "problem": problem, "pending": False,
        "most": MAX_PEOPLE,
    }  # fmt: skip
    if venue:
        job = studio.job(head.text, AudienceSpec(), **studio.in_room(head.session))
        studio.jobs.submit(f"room/{head.session}", job)
        result = studio.jobs.result(job.key)
        content |= {
            "computed": result, "progress": studio.jobs.progress(job.key), "pending": not (result and result.finished),
            "drawing": Markup(result.room.drawing) if result and result.room else "",  # our own drawing
        }  # fmt: skip
    return page(request, "_room.html" if is_part(request) else "session_room.html", 422 if problem else 200, **content)


async def says(request: Request) -> Response:
    """What the room says against a session, for screens that show more than the room."""
    return await run_in_threadpool(_says, request)


def _says(request: Request) -> Response:
    studio = studio_of(request)
    head = studio.sessions.head(request.path_params["session"])
    return page(request, "_room_says.html", head=head, room=room_says(studio, head))


async def hold(request: Request) -> Response:
    """Which room, and for how many."""
    return await run_in_threadpool(_hold, request, await read_form(request))


def _hold(request: Request, form: Mapping[str, str]) -> Response:
    studio, session = studio_of(request), request.path_params["session"]
    studio.sessions.head(session)
    room, people = form.get("room", ""), form.get("people", "").strip()
    if people and not (people.isdecimal() and len(people) < 7 and 1 <= int(people) <= MAX_PEOPLE):
        return _within(request, f"How many come: expected 1 to {MAX_PEOPLE:,} people, or nothing; got {people[:20]}.")
    key = int(room) if room.isdecimal() and len(room) < 10 else 0
    studio.rooms.hold(session, key, int(people or 0))
    return RedirectResponse(f"/session/{session}/room", 303)


async def stop(request: Request) -> Response:
    """Gives up what is computed for this screen."""
    await read_form(request)
    studio_of(request).jobs.cancel(f"room/{request.path_params['session']}")
    return page(request, "_stopped.html", place="in-room")


async def door(request: Request) -> Response:
    """The door of the session: a page of ticks, or a card to print, with help in its room."""
    return await run_in_threadpool(_door, request)


def _door(request: Request) -> Response:
    from everyrung.publish.door import door, door_html, door_pdf

    studio = studio_of(request)
    head = studio.sessions.head(request.path_params["session"])
    venue = studio.rooms.venue(head.session)
    content = door(
        studio.on_clock(head.text).session, studio.library, read_text(venue.room.text).emergency if venue else None
    )
    name = request.path_params["file"]
    if name == "door.html":
        return Response(door_html(content).encode(), media_type="text/html", headers=_download(name))
    if name == "door.pdf":
        return Response(door_pdf(content), media_type="application/pdf", headers=_download(name))
    raise HTTPException(404, "There are door.html and door.pdf.")


def _download(name: str) -> dict[str, str]:
    return {"Content-Disposition": f'attachment; filename="{name}"'}


PATH = "/session/{session}/room"
ROUTES = [
    Route("/rooms", index),
    Route("/rooms/new", new, methods=["POST"]),
    Route("/rooms/bring", bring, methods=["POST"]),
    Route("/rooms/{room:int}", show),
    Route("/rooms/{room:int}", save, methods=["POST"]),
    Route("/rooms/{room:int}/remove", remove, methods=["POST"]),
    Route("/rooms/{room:int}/room.toml", file),
    Route(PATH, within),
    Route(PATH, hold, methods=["POST"]),
    Route(f"{PATH}/stop", stop, methods=["POST"]),
    Route(f"{PATH}/says", says),
    Route("/session/{session}/door/{file}", door),
]
