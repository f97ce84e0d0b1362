"""Moves of the coach's own: made on the Moves screen from one that there is, seen, checked, kept, taken away."""

import asyncio
from typing import Any

from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from everyrung.body.reference_grid import reference_grid
from everyrung.checks.move_check import ladder_notes, rung_notes
from everyrung.moves.own_moves import keep_move, remove_move
from everyrung.terms.enums import Severity
from everyrung.terms.errors import Faults, Invalid
from everyrung.web import render_tasks
from everyrung.web.field_words import refusals
from everyrung.web.lever_choices import lever_choices
from everyrung.web.move_copy import (
    RUNGS_ALONE,
    CopyForm,
    MoveCopy,
    copy_form,
    copy_of,
    copy_sliders,
    phrase,
    require_name,
)
from everyrung.web.move_library_view import step
from everyrung.web.pages import page, say
from everyrung.web.security import read_form
from everyrung.web.studio import Studio, studio_of


async def show(request: Request) -> Response:
    """The form, with what was asked for so far."""
    return await run_in_threadpool(_show, request, copy_form(request.query_params), ())


def _show(request: Request, form: CopyForm, problems: tuple[str, ...]) -> Response:
    studio, key = studio_of(request), request.path_params["move"]
    move = studio.library.move(key)
    return page(
        request, "move_copy.html", 422 if problems else 200, move=move, form=form, problems=problems,
        sliders=copy_sliders(studio.library, key), chosen=[(table, phrase(table)) for table in form.tables],
        levers=[each for each in lever_choices(move.base) if each[0] not in RUNGS_ALONE],
    )  # fmt: skip


async def draw_copy(request: Request) -> Response:
    """The copy as it is now: its figure, whether a body can do it, its cautions; or what keeps it from being drawn."""
    studio, form = studio_of(request), copy_form(request.query_params)
    try:
        copy = await run_in_threadpool(copy_of, studio.library, request.path_params["move"], form)
    except (Invalid, Faults) as problem:
        return page(request, "_copy_drawn.html", problems=refusals(problem))
    svg, demand, shortfalls = await _look(studio, copy)
    return page(
        request, "_copy_drawn.html", problems=[], copied=copy, figure=Markup(svg or ""),  # our own drawing
        step=step(copy.rung, "", demand), missed=shortfalls,
    )  # fmt: skip


async def _look(studio: Studio, copy: MoveCopy) -> tuple[str | None, Any, str]:
    return await asyncio.wrap_future(studio.drawing.submit(render_tasks.draft, copy.key, copy.text))


async def keep(request: Request) -> Response:
    """The copy among the moves; what cannot be kept comes back as it was written, with what to do."""
    fields, studio, key = await read_form(request), studio_of(request), request.path_params["move"]
    form = copy_form(fields)
    try:
        copy = await run_in_threadpool(_check_copy, studio, key, form)
        _, _, shortfalls = await _look(studio, copy)
        if shortfalls:
            raise Invalid(
                "pose", "one that a body can be put into and hold", shortfalls, remedy="Change an angle back."
            )
        await run_in_threadpool(keep_move, copy.key, copy.text, studio.library.standard_keys)
    except (Invalid, Faults) as problem:
        return await run_in_threadpool(_show, request, form, tuple(refusals(problem)))
    except OSError as error:
        words = f"It could not be written: {error.strerror or error}. Nothing of it is lost: try again."
        return await run_in_threadpool(_show, request, form, (words,))
    say(request, f"{form.name} is among the moves: choose it in any session")
    return RedirectResponse(f"/moves/{copy.key}", 303)


def _check_copy(studio: Studio, move: str, form: CopyForm) -> MoveCopy:
    require_name(studio.library, form)
    copy = copy_of(studio.library, move, form)
    errors = [note for note in ladder_notes(copy.library, copy.key) if note.severity is Severity.ERROR]
    if errors:
        raise Invalid("levers", "a move whose rungs all have a pose", f"{errors[0].rung}: {errors[0].words}")
    return copy


async def check_bodies(request: Request) -> Response:
    """What the twelve reference bodies say of a move's own form; by the drawing process, which draws between two."""
    studio, key = studio_of(request), request.path_params["move"]
    rung = await run_in_threadpool(studio.library.rung, key, "base")
    answers = []
    for size in reference_grid():
        if await request.is_disconnected():
            return Response(status_code=204)  # nobody waits for it any more
        answers += await asyncio.wrap_future(studio.drawing.submit(render_tasks.demands_of, [rung], size))
    return page(request, "_move_held.html", notes=rung_notes(rung, reference_grid(), answers))


async def remove(request: Request) -> Response:
    """One of the coach's own moves less; its text stays in her folder."""
    await read_form(request)
    path = await run_in_threadpool(remove_move, request.path_params["move"])
    say(request, f"It is no longer among the moves; its text is kept as {path.name}")
    return RedirectResponse("/moves", 303)


PATH = "/moves/{move}"
ROUTES = [
    Route(f"{PATH}/copy", show),
    Route(f"{PATH}/copy", keep, methods=["POST"]),
    Route(f"{PATH}/copy/drawn", draw_copy),
    Route(f"{PATH}/held", check_bodies),
    Route(f"{PATH}/remove", remove, methods=["POST"]),
]
