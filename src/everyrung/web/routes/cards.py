"""Cards for the people on the list: made in the background for one session, then printed or sent."""

import io
import zipfile
from datetime import date
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from everyrung.pipeline import AudienceSpec
from everyrung.store.sessions import Revision
from everyrung.web.history_rows import studio_history
from everyrung.web.jobs import Job, JobResult
from everyrung.web.pages import is_part, page
from everyrung.web.person_form import people_and_numbers
from everyrung.web.security import read_form
from everyrung.web.studio import Studio, studio_of

# Each kind of card: how its file's name ends, and what it is.
KINDS = {
    "pdf": (".pdf", "application/pdf"), "large.pdf": ("-large.pdf", "application/pdf"), "html": (".html", "text/html"),
    "txt": (".txt", "text/plain"),
}  # fmt: skip


def cards_job(studio: Studio, head: Revision, *, in_room: bool) -> Job:
    """The job that makes cards for everyone on the list, with the room's kit or their own, after what they did before
    the evening: that of its block, or today.
    """
    people, numbers = people_and_numbers(studio.people)
    days = [date.fromisoformat(day) for day in studio.blocks.days_of(head.session)] or [date.today()]
    coming = tuple(day for day in days[1:] if day.weekday() == days[0].weekday())
    who = AudienceSpec(people=people, in_room=in_room, history=studio_history(studio), on=days[0], coming=coming)
    return studio.job(head.text, who, numbers=numbers, cards_folder=_folder(studio, head, in_room=in_room))


def _folder(studio: Studio, head: Revision, *, in_room: bool) -> Path:
    return studio.settings.folder / "cards" / f"{head.session}-{'room' if in_room else 'own'}"


async def show(request: Request) -> Response:
    """How far the cards are, then each of them."""
    studio, session = studio_of(request), request.query_params.get("session", "")
    in_room = request.query_params.get("kit") == "room"
    return await run_in_threadpool(_show, request, studio, session, in_room)


def _show(request: Request, studio: Studio, session: str, in_room: bool) -> Response:
    content = cards_content(studio, studio.sessions.head(session), in_room=in_room, is_poll=is_part(request))
    return page(request, "_cards.html" if is_part(request) else "cards.html", **content)


def cards_content(studio: Studio, head: Revision, *, in_room: bool, is_poll: bool = False) -> dict[str, Any]:
    """How far the cards of a session are, which are begun if need be. A page that asks each
    second (`is_poll`) has the same job as before: all that people ever did is not read anew for it.

    Raises HTTPException where nobody is listed.
    """
    slot = f"cards/{head.session}"
    there = studio.jobs.job_of(slot) if is_poll else None
    same = there and (there.text, there.cards_folder) == (head.text, _folder(studio, head, in_room=in_room))
    job = there if there and same else cards_job(studio, head, in_room=in_room)
    if not job.audience.people:
        raise HTTPException(422, "Nobody is on your list yet. Put people there first.")
    studio.jobs.submit(slot, job)
    result = studio.jobs.result(job.key)
    return {
        "head": head, "kit": "room" if in_room else "own", "computed": result,
        "progress": studio.jobs.progress(job.key), "pending": not (result and result.finished),
    }  # fmt: skip


async def stop(request: Request) -> Response:
    """Gives them up."""
    form = await read_form(request)
    studio_of(request).jobs.cancel(f"cards/{form.get('session', '')}")
    return page(request, "_stopped.html", place=f"cards-{form.get('session', '')}")


async def one(request: Request) -> Response:
    """One card: to print, in large print too, to send (a page), or as plain text."""
    studio, at, kind = studio_of(request), request.path_params["at"], request.path_params["kind"]
    folder, result = await run_in_threadpool(_cards_now, studio, request)
    if kind not in KINDS or at >= len(result.cards):
        raise HTTPException(404, "There is no such card.")
    ending, media_type = KINDS[kind]
    path = folder / f"{result.cards[at]}{ending}"
    how = "attachment" if kind == "html" else "inline"  # its own style sheet is inside it, which the studio forbids
    return FileResponse(path, media_type=media_type, filename=path.name, content_disposition_type=how)


async def every(request: Request) -> Response:
    """All PDFs in one archive."""
    folder, result = await run_in_threadpool(_cards_now, studio_of(request), request)
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in result.cards:
            archive.write(folder / f"{name}.pdf", f"{name}.pdf")
    headers = {"Content-Disposition": 'attachment; filename="cards.zip"'}
    return Response(buffer.getvalue(), media_type="application/zip", headers=headers)


def _cards_now(studio: Studio, request: Request) -> tuple[Path, JobResult]:
    """The folder and the cards in it, while they are those of the session and the people as they are now."""
    head = studio.sessions.head(request.path_params["session"])
    job = cards_job(studio, head, in_room=request.path_params["kit"] == "room")
    result = studio.jobs.result(job.key)
    if not (result and result.folder and result.folder.is_dir() and result.cards):
        raise HTTPException(404, "These cards are not there any more. Make them again on the People screen.")
    return result.folder, result


ROUTES = [
    Route("/cards", show),
    Route("/cards/stop", stop, methods=["POST"]),
    Route("/cards/{session}/{kit}/all.zip", every),
    Route("/cards/{session}/{kit}/{at:int}.{kind}", one),
]
