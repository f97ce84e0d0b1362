"""The studio as an ASGI app: which address leads where, and what stands before all of them."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.middleware.sessions import SessionMiddleware
from starlette.routing import Route

from everyrung.web.guard import Guard
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
from everyrung.web.trouble import HANDLERS, broken

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

    made = Starlette(
        routes=[*ROUTES, *lead.LIVE],
        lifespan=life,
        exception_handlers=HANDLERS,
        middleware=[
            Middleware(Guard, settings=studio.settings, broken=broken),
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
