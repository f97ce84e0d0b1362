"""Static files and pictures of rungs. A name from outside is looked up in a list and never becomes a path."""

import asyncio
import gzip
import json
from concurrent.futures import Future

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from everyrung.web import render_tasks
from everyrung.web.static_files import GZIP_LEVEL, TEXTS, content, gzip_of
from everyrung.web.studio import Studio, studio_of

FOR_EVER = "public, max-age=31536000, immutable"
SOON_S = 2.0  # chosen, because all that were drawn before come in one answer, and who waits for new ones sees them come
MOST_FIGURES = 60  # of one answer; chosen, because their names are an address of 1,300 signs
EMPTY = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10" width="10" height="10"></svg>'


async def static(request: Request) -> Response:
    """One static file."""
    file = content(request.path_params["name"])
    if file is None:
        return Response("There is no such file.", 404, media_type="text/plain")
    body, kind = file
    if kind in TEXTS and takes_gzip(request):
        return _gzip_answer(gzip_of(request.path_params["name"]), kind, FOR_EVER)
    return Response(body, media_type=kind, headers={"Cache-Control": FOR_EVER, "Vary": "Accept-Encoding"})


def takes_gzip(request: Request) -> bool:
    """Whether the browser unpacks an answer."""
    return "gzip" in request.headers.get("accept-encoding", "")


def _gzip_answer(body: bytes, kind: str, keeping: str) -> Response:
    headers = {"Cache-Control": keeping, "Content-Encoding": "gzip", "Vary": "Accept-Encoding"}
    return Response(body, media_type=kind, headers=headers)


async def figure(request: Request) -> Response:
    """A rung's picture, drawn when it is first asked for; a rung without one has an empty picture."""
    drawing = await run_in_threadpool(studio_of(request).picture, request.path_params["name"])
    if drawing is None:
        return Response("Reload the page.", 404, media_type="text/plain")
    svg = await asyncio.wrap_future(drawing)
    headers = {"Cache-Control": FOR_EVER} if svg else {}
    return Response(svg or EMPTY, media_type="image/svg+xml", headers=headers)


async def figures(request: Request) -> Response:
    """Several pictures by name, in one answer: those that are drawn soon. A page asks again for the others."""
    names = request.query_params.get("names", "").split(".")[:MOST_FIGURES]
    drawings = await run_in_threadpool(_drawings, studio_of(request), names)
    if drawings:
        await asyncio.wait([asyncio.wrap_future(each) for each in drawings.values()], timeout=SOON_S)
    ready = {name: each for name, each in drawings.items() if each.done()}
    sound = {name: each.result() or EMPTY for name, each in ready.items() if not each.exception()}
    whole = len(sound) == len(names) and all(each.result() for each in ready.values())
    body, keeping = json.dumps(sound, ensure_ascii=False).encode(), FOR_EVER if whole else "no-store"
    if takes_gzip(request):
        return _gzip_answer(await run_in_threadpool(gzip.compress, body, GZIP_LEVEL), "application/json", keeping)
    return Response(body, media_type="application/json", headers={"Cache-Control": keeping})


def _drawings(studio: Studio, names: list[str]) -> dict[str, "Future[str | None]"]:
    return {name: drawing for name in names if (drawing := studio.picture(name))}


async def motion(request: Request) -> Response:
    """A rung in motion, for the scripts that draw it."""
    studio = studio_of(request)
    picture = await run_in_threadpool(studio.asked_picture, request.path_params["name"])
    frames = await asyncio.wrap_future(studio.drawing.submit(render_tasks.motion, *picture)) if picture else None
    if frames is None:
        return Response("There is no such motion.", 404, media_type="text/plain")
    return Response(frames, media_type="application/json", headers={"Cache-Control": FOR_EVER})


ROUTES = [
    Route("/static/{stamp}/{name:path}", static),
    Route("/figure/{name}.svg", figure),
    Route("/figures", figures),
    Route("/motion/{name}.json", motion),
]
