"""The versions of a session: what was done when, what differs between two, and going back to one."""

import difflib

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from everyrung.plan.changes import changes
from everyrung.plan.read import plan_from_text
from everyrung.terms.fault import Faults
from everyrung.web.changing import FILE, Clash, replace_text
from everyrung.web.guard import posted
from everyrung.web.pages import page
from everyrung.web.studio import studio_of

PATH = "/session/{session}/versions"


async def listed(request: Request) -> Response:
    """All versions, the latest first."""
    store, session = studio_of(request).sessions, request.path_params["session"]
    return page(request, "versions.html", head=store.head(session), rows=store.revisions(session))


async def compared(request: Request) -> Response:
    """Two versions: place by place where both can be read, and line by line."""
    store, session = studio_of(request).sessions, request.path_params["session"]
    numbers = [_number(request.query_params.get(name, "")) for name in ("from", "to")]
    one, two = (store.revision(session, number) for number in numbers)
    try:
        places = changes(plan_from_text(one.text, FILE), plan_from_text(two.text, FILE))
    except Faults:
        places = ()
    lines = list(difflib.unified_diff(one.text.splitlines(), two.text.splitlines(), lineterm="", n=2))[2:]
    return page(request, "compare.html", head=store.head(session), one=one, two=two, places=places, lines=lines)


async def back(request: Request) -> Response:
    """An older version once more, as a new one on top: nothing of what came after is lost."""
    form, studio = await posted(request), studio_of(request)
    session = request.path_params["session"]
    old = studio.sessions.revision(session, _number(form.get("number", "")))
    base = _number(form.get("base", ""))
    done = replace_text(studio.sessions, session, base, old.text, f"Back to version {old.number}")
    if isinstance(done, Clash):
        return page(request, "text_clash.html", 409, clash=done, mine=old.text)
    return RedirectResponse(f"/session/{session}", 303)


def _number(said: str) -> int:
    return int(said) if said.isdecimal() and len(said) < 10 else 0


ROUTES = [
    Route(PATH, listed),
    Route(f"{PATH}/compare", compared),
    Route(f"{PATH}/back", back, methods=["POST"]),
]
