"""The coach's own cues: added and removed on the Moves screen, and taken along as a file."""

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route

from everyrung.moves.own_cue_file import own_cues_text
from everyrung.terms.cue import WRITTEN_KINDS, OwnCue
from everyrung.terms.fault import Invalid, listed
from everyrung.terms.vocabulary import CueKind
from everyrung.web.guard import posted
from everyrung.web.pages import say
from everyrung.web.studio import studio_of


async def add(request: Request) -> Response:
    """One more, for every set, for a move or for one of its rungs."""
    form, studio = await posted(request), studio_of(request)
    move, rung, kind = (form.get(name, "") for name in ("move", "rung", "kind"))
    if kind not in WRITTEN_KINDS:
        raise Invalid("kind", listed(map(str, WRITTEN_KINDS)), kind)
    cue = OwnCue(move=move, rung=rung, kind=CueKind(kind), text=form.get("text", "").strip())
    if move:
        await run_in_threadpool(studio.library.rung, move, rung or "base")
    await run_in_threadpool(studio.own_cues.keep, cue)
    say(request, "Your words are kept: cues, captions and sheets have them from now on")
    return RedirectResponse(_back(move), 303)


async def remove(request: Request) -> Response:
    """One less."""
    form, studio = await posted(request), studio_of(request)
    said = form.get("own", "")
    await run_in_threadpool(studio.own_cues.remove, int(said) if said.isdecimal() and len(said) < 10 else 0)
    say(request, "These words are not said any more")
    return RedirectResponse(_back(form.get("move", "")), 303)


def _back(move: str) -> str:
    return f"/moves/{move}#words" if move and move.replace("-", "").isalnum() else "/moves#words"


async def file(request: Request) -> Response:
    """All of them, as `--own-cues` takes them."""
    own = await run_in_threadpool(studio_of(request).own_cues.all)
    headers = {"Content-Disposition": 'attachment; filename="own-cues.toml"'}
    return PlainTextResponse(own_cues_text(own), headers=headers)


ROUTES = [
    Route("/own-cues", add, methods=["POST"]),
    Route("/own-cues/remove", remove, methods=["POST"]),
    Route("/own-cues.toml", file),
]
