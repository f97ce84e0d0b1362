"""The studio as an ASGI app: which address leads where, and what is said when something goes wrong."""

import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from sqlalchemy.exc import OperationalError
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.middleware.sessions import SessionMiddleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route
from starlette.types import ExceptionHandler

from everyrung.store.sessions import NotThere
from everyrung.terms.fault import Faults, Invalid
from everyrung.web.guard import Guard
from everyrung.web.pages import in_words, is_part, page
from everyrung.web.routes import (
    cards,
    entry,
    files,
    lead,
    moves,
    own_cues,
    people,
    publish,
    rehearse,
    sessions,
    versions,
    write,
)
from everyrung.web.studio import Studio

TWO_WEEKS_S = 14 * 24 * 3600
ROUTES: list[Route] = [
    *entry.ROUTES,
    *files.ROUTES,
    *sessions.ROUTES,
    *write.ROUTES,
    *rehearse.ROUTES,
    *lead.ROUTES,
    *publish.ROUTES,
    *people.ROUTES,
    *cards.ROUTES,
    *moves.ROUTES,
    *own_cues.ROUTES,
    *versions.ROUTES,
]


def app(studio: Studio) -> Starlette:
    """The app of one studio; ending it ends the studio."""

    @asynccontextmanager
    async def life(_: Starlette) -> AsyncIterator[None]:
        yield
        studio.close()

    handlers: dict[int | type[Exception], ExceptionHandler] = {
        Invalid: _refused,
        Faults: _refused,
        NotThere: _missing,
        TimeoutError: _busy,
        OperationalError: _disk,
        OSError: _disk,
        HTTPException: _http,
        Exception: _broken,
    }
    made = Starlette(
        routes=[*ROUTES, *lead.LIVE],
        lifespan=life,
        exception_handlers=handlers,
        middleware=[
            Middleware(Guard, settings=studio.settings),
            Middleware(
                SessionMiddleware,
                secret_key=studio.settings.cookie_key,
                session_cookie="everyrung",
                max_age=TWO_WEEKS_S,
                same_site="strict",
            ),
            Middleware(entry.Door, settings=studio.settings),
        ],
    )
    made.state.studio = studio
    return made


def _said(request: Request, status: int, title: str, lines: list[str]) -> Response:
    """A plain sentence or some: on the page that asked, or as a page of its own."""
    if not is_part(request):
        return page(request, "trouble.html", status, title=title, lines=lines)
    answer = page(request, "_trouble.html", status, title=title, lines=lines)
    answer.headers["HX-Retarget"], answer.headers["HX-Reswap"] = "#trouble", "innerHTML"
    return answer


async def _refused(request: Request, problem: Exception) -> Response:
    assert isinstance(problem, Invalid | Faults)
    title = "That can't be shown" if request.method == "GET" else "That was not changed"
    return _said(request, 422, title, in_words(problem))


async def _missing(request: Request, problem: Exception) -> Response:
    return _said(request, 404, "Not here", [f"{problem} It may have been typed wrong, or belong to another studio."])


async def _busy(request: Request, _: Exception) -> Response:
    return _said(request, 503, "Not saved yet", ["Many people save at this moment. Do it once more."])


async def _disk(request: Request, problem: Exception) -> Response:
    print(f"studio: {problem}", file=sys.stderr)
    why = "The disk is full or can't be written" if _is_full(problem) else "The database can't be reached"
    then = "What was saved before is safe. Make room, or look at the place, then do it once more."
    return _said(request, 503, "Not saved", [f"{why}, so this was not saved. {then}"])


def _is_full(problem: Exception) -> bool:
    words = str(problem).casefold()
    return isinstance(problem, OSError) or any(sign in words for sign in ("full", "readonly", "disk i/o", "unable"))


async def _http(request: Request, problem: Exception) -> Response:
    assert isinstance(problem, HTTPException)
    words = {"Not Found": "There is no such page.", "Method Not Allowed": "That can't be done here."}
    return _said(request, problem.status_code, "Not done", [words.get(problem.detail, problem.detail)])


async def _broken(request: Request, problem: Exception) -> Response:
    print(f"studio: {request.method} {request.url.path}: {type(problem).__name__}: {problem}", file=sys.stderr)
    return _said(request, 500, "Something of ours broke", [
        "Nothing that was saved is lost. The window in which the studio runs says what it was. Load the page anew."
    ])  # fmt: skip
