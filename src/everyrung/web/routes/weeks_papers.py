"""What a block of weeks is sent out as: on paper, as a page and in words without anybody's name, as a calendar."""

from collections.abc import Awaitable, Callable

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from everyrung.blocks.block_view import BlockView
from everyrung.publish.block_sheet import block_html, block_pdf, block_words
from everyrung.web.routes.weeks import PATH, kept_view
from everyrung.web.studio import studio_of

Content = Callable[[BlockView], bytes]


def _paper(name: str, media_type: str, content: Content, *, with_people: bool) -> Callable[..., Awaitable[Response]]:
    async def send(request: Request) -> Response:
        view = await kept_view(request, with_people=with_people)
        if isinstance(view, str):
            raise HTTPException(422, view)
        how = "inline" if name.endswith(".pdf") else "attachment"  # a page has styles of its own, which we forbid
        headers = {"Content-Disposition": f'{how}; filename="{name}"'}
        return Response(await run_in_threadpool(content, view), media_type=media_type, headers=headers)

    return send


async def calendar(request: Request) -> Response:
    """Its evenings for calendars, as they were sent last and changed since."""

    def text() -> str:
        return studio_of(request).blocks.block(request.path_params["block"]).calendar

    content = await run_in_threadpool(text)
    if not content:
        raise HTTPException(404, "There is no calendar: plan the block with a zone, such as Europe/Helsinki.")
    headers = {"Content-Disposition": 'attachment; filename="block.ics"'}
    return Response(content.encode(), media_type="text/calendar", headers=headers)


ROUTES = [
    Route(f"{PATH}/block.ics", calendar),
    Route(f"{PATH}/block.pdf", _paper("block.pdf", "application/pdf", block_pdf, with_people=True)),
    Route(
        f"{PATH}/members.html",
        _paper("members.html", "text/html", lambda view: block_html(view).encode(), with_people=False),
    ),
    Route(
        f"{PATH}/members.txt",
        _paper("members.txt", "text/plain", lambda view: block_words(view).encode(), with_people=False),
    ),
]
