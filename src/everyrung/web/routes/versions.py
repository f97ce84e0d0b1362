"""The versions of a session: what was done when, what differs between two, and going back to one."""

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from everyrung.moves.library import standard_library
from everyrung.terms.errors import Faults
from everyrung.web.difference import between
from everyrung.web.pages import page
from everyrung.web.save import FILE, Clash, replace_text
from everyrung.web.security import read_form
from everyrung.web.studio import studio_of

PATH = "/session/{session}/versions"


async def index(request: Request) -> Response:
    """All versions, the latest first."""
    store, session = studio_of(request).sessions, request.path_params["session"]
    return page(request, "versions.html", head=store.head(session), rows=store.revisions(session))


async def compare(request: Request) -> Response:
    """Two versions in a coach's words: sets, doses, people, kit."""
    store, session = studio_of(request).sessions, request.path_params["session"]
    numbers = [_number(request.query_params.get(name, "")) for name in ("from", "to")]
    one, two = (store.revision(session, number) for number in numbers)
    try:
        places, problem = between(one.text, two.text, standard_library(), FILE), ""
    except Faults:
        places, problem = (), "One of the two can't be read as a plan yet, so they can't be compared set by set."
    same = one.text == two.text
    return page(
        request, "compare.html", head=store.head(session), one=one, two=two, places=places, same=same, problem=problem
    )


async def back(request: Request) -> Response:
    """An older version once more, as a new one on top: nothing of what came after is lost."""
    form, studio = await read_form(request), studio_of(request)
    session = request.path_params["session"]
    old = studio.sessions.revision(session, _number(form.get("number", "")))
    base = _number(form.get("base", ""))
    version = replace_text(studio.sessions, session, base, old.text, f"Back to version {old.number}")
    if isinstance(version, Clash):
        return page(request, "text_clash.html", 409, clash=version, mine=old.text)
    return RedirectResponse(f"/session/{session}", 303)


def _number(text: str) -> int:
    return int(text) if text.isdecimal() and len(text) < 10 else 0


ROUTES = [
    Route(PATH, index),
    Route(f"{PATH}/compare", compare),
    Route(f"{PATH}/back", back, methods=["POST"]),
]
