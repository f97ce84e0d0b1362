"""The studio as an ASGI app: which address leads where, and what stands before all of them."""

import asyncio
import sqlite3
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.middleware.sessions import SessionMiddleware
from starlette.routing import Route

from everyrung.terms.errors import Faults
from everyrung.web.log import log_line
from everyrung.web.routes import (
    answers,
    cards,
    change,
    choose_move,
    entry,
    files,
    film,
    help_screen,
    lead,
    led_files,
    look_back,
    moves,
    own_cues,
    own_moves,
    people,
    propose,
    publish,
    rehearse,
    rooms,
    sessions,
    shows,
    versions,
    weeks,
    weeks_cards,
    weeks_papers,
    write,
)
from everyrung.web.security import SecurityMiddleware
from everyrung.web.studio import Studio
from everyrung.web.trouble import HANDLERS, server_error

TWO_WEEKS_S = 14 * 24 * 3600
BACKUP_EVERY_S = 600  # chosen, because ten minutes of typing are soon typed again
ROUTES: list[Route] = [
    *entry.ROUTES,
    *files.ROUTES,
    *sessions.ROUTES,
    *propose.ROUTES,
    *write.ROUTES,
    *change.ROUTES,
    *choose_move.ROUTES,
    *rehearse.ROUTES,
    *lead.ROUTES,
    *shows.ROUTES,
    *look_back.ROUTES,
    *led_files.ROUTES,
    *film.ROUTES,
    *publish.ROUTES,
    *people.ROUTES,
    *weeks_papers.ROUTES,
    *weeks_cards.ROUTES,
    *weeks.ROUTES,
    *rooms.ROUTES,
    *answers.ROUTES,
    *cards.ROUTES,
    *moves.ROUTES,
    *own_cues.ROUTES,
    *help_screen.ROUTES,
    *own_moves.ROUTES,
    *versions.ROUTES,
]


def app(studio: Studio) -> Starlette:
    """The app of one studio; ending it ends the studio."""

    @asynccontextmanager
    async def life(_: Starlette) -> AsyncIterator[None]:
        saving = asyncio.create_task(_back_up_regularly(studio))
        await studio.shows.begin()
        yield
        await studio.shows.end()
        saving.cancel()
        await run_in_threadpool(_save, studio)
        studio.close()

    application = Starlette(
        routes=[*ROUTES, *lead.LIVE],
        lifespan=life,
        exception_handlers=HANDLERS,
        middleware=[
            Middleware(SecurityMiddleware, settings=studio.settings, error_page=server_error),
            Middleware(
                SessionMiddleware,
                secret_key=studio.settings.cookie_key,
                session_cookie="everyrung",
                max_age=TWO_WEEKS_S,
                same_site="strict",
            ),
            Middleware(entry.LoginMiddleware, settings=studio.settings),
        ],
    )
    application.state.studio = studio
    return application


async def _back_up_regularly(studio: Studio) -> None:
    """A backup from time to time."""
    while True:
        await asyncio.sleep(BACKUP_EVERY_S)
        await run_in_threadpool(_save, studio)


def _save(studio: Studio) -> None:
    """A backup, if anything changed; the studio goes on without one, and says so in its window."""
    try:
        if studio.backups:
            studio.backups.take()
    except (Faults, OSError, sqlite3.Error) as problem:
        why = problem if isinstance(problem, Faults) else log_line(problem)
        print(f"studio: no backup was made: {why}", file=sys.stderr)
