"""Coming in: the passphrase where the studio is on a network; and the choice of light or dark."""

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp, Receive, Scope, Send

from everyrung.web.pages import THEMES, page
from everyrung.web.passphrase import Logins
from everyrung.web.security import read_form
from everyrung.web.settings import Settings, kept_passphrase
from everyrung.web.studio import studio_of

OPEN = ("/enter", "/static/")  # what is shown to whoever has not said the passphrase
YEAR_S = 365 * 24 * 3600


class LoginMiddleware:
    """ASGI middleware: without the passphrase there is nothing but the question for it."""

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self._app, self._settings = app, settings

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        shut = scope["type"] == "http" and not scope["path"].startswith(OPEN) and not let_in(self._settings, scope)
        if shut:
            answer: Response = RedirectResponse("/enter", 303)
            if scope["method"] != "GET":
                answer = Response("Enter the passphrase first.", 401)
            await answer(scope, receive, send)
            return
        await self._app(scope, receive, send)


def let_in(settings: Settings, scope: Scope) -> bool:
    """Whether whoever asks may see the studio: there is no passphrase, or they said it and their login still holds."""
    return not settings.needs_passphrase or scope["session"].get("in") == Logins(settings.folder).word()


async def ask(request: Request) -> Response:
    """The question."""
    return page(request, "enter.html", problem="")


async def enter(request: Request) -> Response:
    """The answer."""
    form, studio = await read_form(request), studio_of(request)
    settings, address = studio.settings, request.client.host if request.client else ""
    hash_ = kept_passphrase(settings.folder) or settings.passphrase_hash  # a new one holds without a restart
    is_right = await studio.tries.check(address, form.get("passphrase", ""), hash_)
    if is_right:
        request.session.clear()  # a fresh session for whoever is in
        request.session["in"] = Logins(settings.folder).word()
        return RedirectResponse("/", 303)
    problem = "That is not the passphrase." if is_right is False else "Too many tries. Wait a minute."
    return page(request, "enter.html", 401 if is_right is False else 429, problem=problem)


async def leave(request: Request) -> Response:
    """Out again, on every device: a login that was copied ends with the others."""
    await read_form(request)
    Logins(studio_of(request).settings.folder).end_all()
    request.session.clear()
    return RedirectResponse("/", 303)


async def theme(request: Request) -> Response:
    """Light, dark, or as the machine has it; back to the page."""
    form = await read_form(request)
    answer = RedirectResponse(_own(form.get("back", "/")), 303)
    choice = form.get("theme", "")
    answer.set_cookie("theme", choice if choice in THEMES else "", max_age=YEAR_S, samesite="strict")
    return answer


def _own(path: str) -> str:
    """Only back to a page of ours."""
    return path if path.startswith("/") and not path.startswith(("//", "/\\")) and path.isprintable() else "/"


ROUTES = [
    Route("/enter", ask),
    Route("/enter", enter, methods=["POST"]),
    Route("/leave", leave, methods=["POST"]),
    Route("/theme", theme, methods=["POST"]),
]
