"""Moves chosen from their pictures, in the panel of the Write screen: for a part, or in a set's place."""

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from everyrung.compose.case import PlanRun
from everyrung.terms.enums import MoveKind
from everyrung.web.move_choice import move_choices, read_wish
from everyrung.web.pages import news
from everyrung.web.studio import studio_of


async def show(request: Request) -> Response:
    """The moves that fit what is looked for, the nearest first."""
    studio = studio_of(request)
    head = studio.sessions.head(request.path_params["session"])

    def render() -> Response:
        start = PlanRun(run=studio.run(head.text), library=studio.library)
        choices = move_choices(studio, start, read_wish(request.query_params, start))
        return news(request, "_choose_move.html", "panel", {}, head=head, choices=choices, kinds=list(MoveKind))

    return await run_in_threadpool(render)


ROUTES = [Route("/session/{session}/choose", show)]
