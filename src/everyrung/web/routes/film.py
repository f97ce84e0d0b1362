"""For the film of a show's recording: asked for on the Look back screen, made in the background, taken file by file."""

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, RedirectResponse, Response
from starlette.routing import Route

from everyrung.store.led_sources import SourceKind
from everyrung.store.session_log import SessionLog
from everyrung.web.pages import page
from everyrung.web.routes.shows import PATH, show_row
from everyrung.web.security import is_at_the_machine, read_form
from everyrung.web.show_film import latest_film
from everyrung.web.show_requests import film_job
from everyrung.web.studio import Studio, studio_of

OVERLAYS = ("none", "animation", "prores")
ELSEWHERE = "What is made of a recording is made and taken at the machine on which the studio runs."
GONE = "This file is not there any more. Make it again."


def film_values(request: Request, studio: Studio, log: SessionLog) -> dict[str, Any]:
    """For the part of the screen: whether there is a recording, how far it is, and what there is."""
    kinds = [each.kind for each in studio.led_sources.of(log.id)]
    overlay = request.query_params.get("film", "")
    values: dict[str, Any] = {
        "log": log, "has_recording": SourceKind.RECORDING in kinds and is_at_the_machine(request, studio.settings),
        "film": latest_film(studio.settings.folder, log.id), "film_overlay": overlay, "film_pending": False,
        "film_problem": "", "progress": None,
    }  # fmt: skip
    if overlay in OVERLAYS and values["has_recording"]:
        key = film_job(studio, log, _codec(overlay)).key
        result, values["progress"] = studio.jobs.result(key), studio.jobs.progress(key)
        values["film_problem"] = result.problem if result else ""
        values["film_pending"] = values["progress"] is not None and not (result and result.finished)
    return values


def _codec(overlay: str) -> str:
    return "" if overlay == "none" else overlay


def _slot(log: SessionLog) -> str:
    return f"film/{log.id}"


async def begin(request: Request) -> Response:
    """Makes it, anew if it was made before."""
    form = await read_form(request)

    def submit() -> Response:
        studio = studio_of(request)
        log = show_row(studio, request)
        overlay = form.get("overlay", "")
        if overlay not in OVERLAYS:
            raise HTTPException(422, f"There is no such overlay; there are: {', '.join(OVERLAYS)}.")
        if not is_at_the_machine(request, studio.settings):
            raise HTTPException(403, ELSEWHERE)
        if not film_values(request, studio, log)["has_recording"]:
            raise HTTPException(422, "Bring in the recording first: there is none to make it from.")
        job = film_job(studio, log, _codec(overlay))
        result = studio.jobs.result(job.key)
        if result and result.problem:
            studio.jobs.board.drop(job.key)  # what stood in the way may be gone
        studio.jobs.submit(_slot(log), job)
        return RedirectResponse(f"/session/{log.session}/led/{log.id}?film={overlay}#film", 303)

    return await run_in_threadpool(submit)


async def part(request: Request) -> Response:
    """How far it is, or the files."""

    def render() -> Response:
        studio = studio_of(request)
        return page(request, "_film.html", **film_values(request, studio, show_row(studio, request)))

    return await run_in_threadpool(render)


async def stop(request: Request) -> Response:
    """Gives it up; what was made before stays."""
    await read_form(request)
    studio = studio_of(request)
    log = await run_in_threadpool(show_row, studio, request)
    studio.jobs.cancel(_slot(log))
    return page(request, "_stopped.html", place="film-files", words="What was made before is still there: reload.")


async def one(request: Request) -> Response:
    """One of the files, by its name."""

    def render() -> Response:
        studio = studio_of(request)
        film = latest_film(studio.settings.folder, show_row(studio, request).id)
        name = request.path_params["name"]
        if not is_at_the_machine(request, studio.settings):
            raise HTTPException(403, ELSEWHERE)
        if film is None or name not in [each[0] for each in film.files]:
            raise HTTPException(404, GONE)
        return FileResponse(film.folder / name, filename=name)

    return await run_in_threadpool(render)


ROUTES = [
    Route(f"{PATH}/led/{{log}}/film", begin, methods=["POST"]),
    Route(f"{PATH}/led/{{log}}/film", part),
    Route(f"{PATH}/led/{{log}}/film/stop", stop, methods=["POST"]),
    Route(f"{PATH}/led/{{log}}/film/file/{{name}}", one),
]
