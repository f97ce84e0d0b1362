"""The Propose screen: a brief, what was understood of it, sessions as they are found, and one put into the studio.

The address keeps the brief as fields; what was typed of anybody's health is read and then forgotten.
"""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from everyrung.pipeline import AudienceSpec
from everyrung.proposals.brief_text import Reading, unknown_words
from everyrung.score.layout import NARROW
from everyrung.terms.enums import Level
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.session_brief import LEAST_MINUTES, MOST_MINUTES, MOST_ROUNDS, SessionBrief, Style
from everyrung.web.brief_form import FOCUS, KIT, PATTERNS, PERSON, brief_fields, brief_words, read_form_brief
from everyrung.web.difference import stock_words
from everyrung.web.field_words import refusals
from everyrung.web.form_values import LIMIT_WORDS
from everyrung.web.jobs import Job
from everyrung.web.pages import page, paper, say
from everyrung.web.person_form import people_and_numbers
from everyrung.web.proposing import COUNT, ProposalCard
from everyrung.web.save import draft
from everyrung.web.security import read_form
from everyrung.web.studio import Studio, studio_of

_CHOICES = {
    "patterns": PATTERNS, "levels": list(Level), "styles": list(Style), "most_rounds": MOST_ROUNDS,
    "least_minutes": LEAST_MINUTES, "most_minutes": MOST_MINUTES, "words": LIMIT_WORDS, "focus": FOCUS, "kit": KIT,
}  # fmt: skip


async def show(request: Request) -> Response:
    """The form; and where the address says a brief, its proposals."""
    return await run_in_threadpool(_show, request)


def _show(request: Request) -> Response:
    studio, fields = studio_of(request), request.query_params
    brief = read_form_brief(fields, studio.library).brief
    content = _proposals(request, studio, brief, later=False) if fields else {"searching": False}
    return page(request, "propose.html", **_form(studio, brief, dict(fields)), **content)


def _form(
    studio: Studio, brief: SessionBrief, words: Mapping[str, str], faults: list[str] | None = None
) -> dict[str, Any]:
    names = [(f"{PERSON}{key}", name) for key, name in studio.people.names()]
    return {
        "brief": brief, "typed": words, "stocks": _stocks(brief), "names": names, "faults": faults or [], **_CHOICES,
    }  # fmt: skip


def _read(studio: Studio, form: Mapping[str, str]) -> Reading:
    """A brief for those of her list who are ticked too; what they may not do is in it, their names are not."""
    some = any(name.startswith(PERSON) for name in form)
    people, numbers = people_and_numbers(studio.people) if some else ((), {})
    return read_form_brief(form, studio.library, {f"{PERSON}{numbers[each.name]}": each for each in people})


def _stocks(brief: SessionBrief) -> list[tuple[str, str, str]]:
    """Each entry of kit as a box of the form: its name, what it sends, its words."""
    fields = brief_fields(brief)
    return [(f"{KIT}{at}", fields[f"{KIT}{at}"], stock_words(stock)) for at, stock in enumerate(brief.kit)]


async def ask(request: Request) -> Response:
    """A brief from the form: the address of its proposals; or the form again, with what is wrong."""
    form, studio = await read_form(request), studio_of(request)
    if earlier := form.get("instead"):
        studio.jobs.cancel(_slot(earlier))
    try:
        reading = await run_in_threadpool(_read, studio, form)
    except (Invalid, Faults) as problem:
        content = _form(studio, SessionBrief(), form, refusals(problem))
        return page(request, "propose.html", 422, searching=False, **content)
    if reading.unknown:
        say(request, f"Not understood, and left out: {unknown_words(reading)}")
    return RedirectResponse(f"/propose?{urlencode(brief_fields(reading.brief))}", 303)


async def read(request: Request) -> Response:
    """What was understood so far of the words that are being typed."""
    form, studio = await read_form(request), studio_of(request)
    try:
        reading = await run_in_threadpool(_read, studio, form)
    except (Invalid, Faults) as problem:
        return page(request, "_understood.html", reading=None, faults=refusals(problem))
    return page(request, "_understood.html", reading=reading, faults=[], unknown=_unknown(reading))


def _unknown(reading: Reading) -> str:
    return unknown_words(reading) if reading.unknown else ""


async def show_progress(request: Request) -> Response:
    """How far the search is, and the proposals that a page does not have yet."""

    def render() -> Response:
        studio = studio_of(request)
        fields = {name: value for name, value in request.query_params.items() if name != "seen"}
        brief = read_form_brief(fields, studio.library).brief
        return page(request, "_proposing.html", **_proposals(request, studio, brief, _count_there(request)))

    return await run_in_threadpool(render)


def _count_there(request: Request) -> int:
    number = request.query_params.get("seen", "")
    return min(COUNT, int(number)) if number.isdecimal() and len(number) < 4 else 0


def _proposals(
    request: Request, studio: Studio, brief: SessionBrief, first: int = 0, *, at_rest: bool = False, later: bool = True
) -> dict[str, Any]:
    """The proposals from place `first` on, each with its score, and how far the search is; it is begun if need be.

    `later`: for a page that is there already.
    """
    job = _job(studio, brief)
    if not at_rest:
        studio.jobs.submit(_slot(job.key), job, while_asked=True)
    result = studio.jobs.result(job.key)
    cards = result.proposals if result else ()
    best = max((card.worth for card in cards), default=0.0)
    return {
        "searching": True,
        "later": later,
        "key": job.key,
        "query": urlencode(brief_fields(brief)),
        "understood": brief_words(brief, studio.library),
        "cards": [_with_score(request, studio, at, cards[at]) for at in range(first, len(cards))],
        "count": len(cards),
        "best": best,
        "bound": max((best, *(card.bound for card in cards[:1]))),  # later ones may be worth more than the first could
        "result": result,
        "nearest_query": urlencode(brief_fields(result.nearest.brief)) if result and result.nearest else "",
        "progress": studio.jobs.progress(job.key),
        "pending": not at_rest and not (result and result.finished),
        "stopped": at_rest and not (result and result.finished),
        "narrow": paper(request) is NARROW,
    }


def _with_score(request: Request, studio: Studio, at: int, card: ProposalCard) -> dict[str, Any]:
    """A card with its score, whose parts are named apart from those of the others."""
    sheet = paper(request)
    score, words = studio.score(card.text, replace(sheet, name=f"{sheet.name}-{at + 1}"))
    return {"number": at + 1, "card": card, "score": "".join(markup for _, markup in score), "score_text": words}


def _job(studio: Studio, brief: SessionBrief) -> Job:
    return studio.job("", AudienceSpec(), brief=brief)


def _slot(key: str) -> str:
    """Each brief has its own, so that two pages do not take each other's place."""
    return f"propose/{key[:64]}"


async def stop(request: Request) -> Response:
    """Gives the search up; what it has come to stays."""
    await read_form(request)

    def render() -> Response:
        studio = studio_of(request)
        brief = read_form_brief(request.query_params, studio.library).brief
        studio.jobs.cancel(_slot(_job(studio, brief).key))
        return page(request, "_proposing.html", **_proposals(request, studio, brief, COUNT, at_rest=True))

    return await run_in_threadpool(render)


async def take(request: Request) -> Response:
    """One proposal as a session of the studio."""
    form, studio = await read_form(request), studio_of(request)
    number = form.get("number", "")
    brief = read_form_brief(request.query_params, studio.library).brief
    result = studio.jobs.result(_job(studio, brief).key)
    cards = result.proposals if result else ()
    if not number.isdecimal() or len(number) > 2 or not 0 < int(number) <= len(cards):
        say(request, "That proposal is not here any more: it is looked for again")
        return RedirectResponse(f"/propose?{urlencode(brief_fields(brief))}", 303)
    what = f"Proposed: {'; '.join(brief_words(brief, studio.library))}"
    session = studio.sessions.create(draft(cards[int(number) - 1].text, what[:300]))
    return RedirectResponse(f"/session/{session.id}", 303)


ROUTES = [
    Route("/propose", show),
    Route("/propose", ask, methods=["POST"]),
    Route("/propose/read", read, methods=["POST"]),
    Route("/propose/progress", show_progress),
    Route("/propose/stop", stop, methods=["POST"]),
    Route("/propose/take", take, methods=["POST"]),
]
