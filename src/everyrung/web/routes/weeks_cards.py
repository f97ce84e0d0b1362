"""Cards for all evenings of a week of a block, in one go."""

from datetime import date
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from everyrung.blocks.block_file import block_from_text
from everyrung.store.blocks import BlockRow, EveningRow
from everyrung.web.block_planning import FILE
from everyrung.web.pages import page
from everyrung.web.routes.cards import cards_content
from everyrung.web.routes.weeks import PATH, block_row, session_of
from everyrung.web.security import read_form
from everyrung.web.studio import Studio, studio_of


async def show(request: Request) -> Response:
    """How far the cards of each evening of a week are, then the cards, one evening after the other."""

    def render() -> Response:
        studio, row = studio_of(request), block_row(request)
        week, in_room = request.query_params.get("week", ""), request.query_params.get("kit") != "own"
        evenings = _evenings(studio, row, week)
        if not evenings or not all(each.session for each in evenings):
            raise HTTPException(404, "The evenings of this week are not open. Make their cards from the block's page.")
        parts = [cards_content(studio, studio.sessions.head(each.session), in_room=in_room) for each in evenings]
        return page(request, "weeks_cards.html", row=row, week=week, parts_of_week=parts)

    return await run_in_threadpool(render)


async def ask(request: Request) -> Response:
    """Opens every evening of a week as a session, and asks for the cards of each."""
    form = await read_form(request)

    def to_cards() -> Response:
        studio, row = studio_of(request), block_row(request)
        for each in _evenings(studio, row, form.get("week", "")):
            session_of(studio, row, each)
        query = urlencode({"week": form.get("week", ""), "kit": form.get("kit", "room")})
        return RedirectResponse(f"/weeks/{row.id}/cards?{query}", 303)

    return await run_in_threadpool(to_cards)


def _evenings(studio: Studio, row: BlockRow, week: str) -> list[EveningRow]:
    """Those of a week, by its number in words."""
    first = block_from_text(row.text, FILE, studio.library).brief.first
    return [each for each in studio.blocks.evenings(row.id) if str(_week(each, first)) == week]


def _week(evening: EveningRow, first: date) -> int:
    return (date.fromisoformat(evening.day) - first).days // 7 + 1


ROUTES = [Route(f"{PATH}/cards", show), Route(f"{PATH}/cards", ask, methods=["POST"])]
