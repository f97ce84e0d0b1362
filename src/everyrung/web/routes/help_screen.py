"""Help: the pages of docs/, and what they show. A name from outside is looked up in a list and never becomes a path."""

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from everyrung.web.help import PICTURES, help_files, help_pages
from everyrung.web.pages import page


async def listing(request: Request) -> Response:
    """All pages, and the examples."""
    pages = await run_in_threadpool(help_pages)
    names = [name for name in help_files() if name.startswith("examples/")]
    return page(request, "help.html", pages=pages.values(), examples=names)


async def one(request: Request) -> Response:
    """One page."""
    pages = await run_in_threadpool(help_pages)
    help_page = pages.get(request.path_params["name"])
    if help_page is None:
        raise HTTPException(404, "There is no such page of help.")
    names = list(pages)
    at = names.index(help_page.name)
    around = [pages[name] for name in (names[at - 1] if at else "", *names[at + 1 : at + 2]) if name]
    return page(request, "help_page.html", shown=help_page, around=around, before=bool(at))


async def file(request: Request) -> Response:
    """A picture, or a text as it is."""
    path = help_files().get(request.path_params["name"])
    if path is None:
        raise HTTPException(404, "There is no such file of help.")
    return FileResponse(path, media_type=PICTURES.get(path.suffix, "text/plain"))


ROUTES = [Route("/help", listing), Route("/help/{name}", one), Route("/help/file/{name:path}", file)]
