"""The list of sessions: new, copied, brought in, taken out, put away."""

from pathlib import PurePath

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from everyrung.plan.read import plan_from_text
from everyrung.terms.errors import Faults
from everyrung.web.pages import page
from everyrung.web.plan_templates import DEMO, start, starts
from everyrung.web.save import FILE, draft
from everyrung.web.security import decode_text, read_form, read_form_and_file
from everyrung.web.studio import studio_of

LIKE = "like "  # before the number of a session of hers that a new one is to be like
MOST_ALIKE = 20  # of hers to start from, the latest; chosen, because older ones are copied from the list
A_PAGE = 50  # sessions; chosen, because a club's year fits a page, and twenty years are 40 of them


async def index(request: Request) -> Response:
    """A page of the sessions, or of those that were put away; the latest ones first."""
    store, away = studio_of(request).sessions, request.query_params.get("shown") == "away"
    pages = max(1, -(-store.count(in_archive=away) // A_PAGE))
    number = min(_page_number(request), pages)
    rows = store.all(in_archive=away, first=(number - 1) * A_PAGE, most=A_PAGE)
    titles = {name: plan_from_text(text, FILE).title for name, text in starts().items()}
    return page(
        request, "sessions.html", rows=rows, away=away, number=number, pages=pages, starts=titles, demo=DEMO,
        like=LIKE, most_alike=MOST_ALIKE,
    )  # fmt: skip


def _page_number(request: Request) -> int:
    """Which page is asked for, from 1; the first where that is no number."""
    number = request.query_params.get("page", "")
    return max(1, int(number)) if number.isdecimal() and len(number) < 7 else 1


async def new(request: Request) -> Response:
    """A session from a start, or like one of hers."""
    form = await read_form(request)
    name = form.get("from", "empty")
    if name.startswith(LIKE):
        return _to(studio_of(request).sessions.copy(name.removeprefix(LIKE)).id)
    text = start(name)
    session = studio_of(request).sessions.create(draft(text, "New" if name == "empty" else f"New from {name}"))
    return _to(session.id)


async def bring(request: Request) -> Response:
    """A plan file, or its text, as a session; one that can't be read yet is taken too, and said to be so."""
    form, file = await read_form_and_file(request)
    text = form.get("text", "")
    name = "pasted text"
    if file is not None:
        name = PurePath(file[0]).name[:100]
        if name.casefold().endswith(".csv"):
            raise HTTPException(422, "That looks like a list of people: bring it in on the People screen.")
        text = decode_text(file[1])
    if not text.strip():
        raise HTTPException(422, "Choose a plan file, or paste its text.")
    return _to(studio_of(request).sessions.create(draft(text.replace("\r\n", "\n"), f"Brought in from {name}")).id)


async def copy(request: Request) -> Response:
    """A session once more."""
    await read_form(request)
    return _to(studio_of(request).sessions.copy(request.path_params["session"]).id)


async def put_away(request: Request) -> Response:
    """Out of the list, or back into it."""
    form = await read_form(request)
    away = form.get("away") == "yes"
    studio_of(request).sessions.archive(request.path_params["session"], in_archive=away)
    return RedirectResponse("/" if away else "/?shown=away", 303)


async def export(request: Request) -> Response:
    """The plan file, letter for letter as it is kept."""
    head = studio_of(request).sessions.head(request.path_params["session"])
    try:
        name = plan_from_text(head.text, FILE).title
    except Faults:
        name = "plan"
    plain = "".join(sign if sign.isascii() and sign.isalnum() else "-" for sign in name.casefold())
    stem = "-".join(part for part in plain.split("-") if part)[:80] or "plan"
    headers = {"Content-Disposition": f'attachment; filename="{stem}.toml"'}
    return Response(head.text.encode(), media_type="application/toml", headers=headers)


def _to(session: str) -> Response:
    return RedirectResponse(f"/session/{session}", 303)


ROUTES = [
    Route("/", index),
    Route("/new", new, methods=["POST"]),
    Route("/bring", bring, methods=["POST"]),
    Route("/session/{session}/copy", copy, methods=["POST"]),
    Route("/session/{session}/away", put_away, methods=["POST"]),
    Route("/session/{session}/plan.toml", export),
]
