"""The coach's own cues: added and removed on the Moves screen, and taken along as a file."""

from collections.abc import Mapping

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route

from everyrung.moves.own_cue_file import own_cues_text
from everyrung.terms.enums import CueKind
from everyrung.terms.errors import Invalid, or_list
from everyrung.terms.timeline import WRITTEN_KINDS, OwnCue
from everyrung.web.pages import say
from everyrung.web.security import read_form
from everyrung.web.studio import Studio, studio_of

MAX_BACK = 400  # letters that come back into the form; chosen, because what is kept by cookies must stay small


async def add(request: Request) -> Response:
    """One more, for every set, for a move or for one of its rungs; what cannot be kept comes back as it was written."""
    form, studio = await read_form(request), studio_of(request)
    fields = {name: form.get(name, "").strip()[:MAX_BACK] for name in ("move", "rung", "kind", "text")}
    try:
        await run_in_threadpool(_keep, studio, fields)
    except Invalid as problem:
        if problem.field != "text":  # nothing that the form could have sent
            raise
        request.session["own"] = fields | {
            "problem": f"Not kept: it takes {problem.expected}. {problem.remedy}".strip()
        }
        return RedirectResponse(_back(fields["move"]), 303)
    say(request, "Your words are kept: cues, captions and sheets have them from now on")
    return RedirectResponse(_back(fields["move"]), 303)


def _keep(studio: Studio, fields: Mapping[str, str]) -> None:
    if fields["kind"] not in WRITTEN_KINDS:
        raise Invalid("kind", or_list(map(str, WRITTEN_KINDS)), fields["kind"])
    cue = OwnCue(move=fields["move"], rung=fields["rung"], kind=CueKind(fields["kind"]), text=fields["text"])
    if cue.move:
        studio.library.rung(cue.move, cue.rung or "base")
    studio.own_cues.keep(cue)


async def remove(request: Request) -> Response:
    """One less."""
    form, studio = await read_form(request), studio_of(request)
    number = form.get("own", "")
    await run_in_threadpool(studio.own_cues.remove, int(number) if number.isdecimal() and len(number) < 10 else 0)
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
