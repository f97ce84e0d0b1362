"""Static files and pictures of rungs. A name from outside is looked up in a list and never becomes a path."""

import asyncio

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from everyrung.web import render_tasks
from everyrung.web.static_files import content
from everyrung.web.studio import studio_of

FOR_EVER = "public, max-age=31536000, immutable"
EMPTY = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10" width="10" height="10"></svg>'


async def static(request: Request) -> Response:
    """One static file."""
    found = content(request.path_params["name"])
    if found is None:
        return Response("There is no such file.", 404, media_type="text/plain")
    return Response(found[0], media_type=found[1], headers={"Cache-Control": FOR_EVER})


async def figure(request: Request) -> Response:
    """A rung's picture, drawn when it is first asked for; a rung without one has an empty picture."""
    studio = studio_of(request)
    known = studio.figures.get(request.path_params["name"])
    if known is None:
        return Response("Load the page anew.", 404, media_type="text/plain")
    made = await asyncio.wrap_future(studio.drawing.submit(render_tasks.figure, *known))
    headers = {"Cache-Control": FOR_EVER} if made else {}
    return Response(made or EMPTY, media_type="image/svg+xml", headers=headers)


async def motion(request: Request) -> Response:
    """A rung in motion, for the scripts that draw it."""
    studio = studio_of(request)
    known = studio.figures.get(request.path_params["name"])
    made = await asyncio.wrap_future(studio.drawing.submit(render_tasks.motion, *known)) if known else None
    if made is None:
        return Response("There is no such motion.", 404, media_type="text/plain")
    return Response(made, media_type="application/json", headers={"Cache-Control": FOR_EVER})


ROUTES = [
    Route("/static/{stamp}/{name:path}", static),
    Route("/figure/{name}.svg", figure),
    Route("/motion/{name}.json", motion),
]
