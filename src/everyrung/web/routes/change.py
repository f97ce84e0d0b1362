"""Changes by one press on the Write screen: what is asked for is tried in the background, and what holds is offered."""

from typing import Any
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from everyrung.checks.cells import every_cell
from everyrung.compose.changes import ChangeKind, ChangeRequest
from everyrung.compose.trial import fresh
from everyrung.pipeline import AudienceSpec
from everyrung.plan.read import ref
from everyrung.store.sessions import Revision
from everyrung.terms.enums import Severity
from everyrung.terms.errors import Invalid, member
from everyrung.terms.forecast import USUAL_PEOPLE
from everyrung.terms.session import Session
from everyrung.web.edit_form import form_of
from everyrung.web.jobs import Job, JobResult
from everyrung.web.offering import PressOffers
from everyrung.web.pages import page, say
from everyrung.web.save import draft
from everyrung.web.security import read_form
from everyrung.web.studio import Studio, studio_of


async def show(request: Request) -> Response:
    """What is offered so far of what the address asks for."""
    studio = studio_of(request)
    head = studio.sessions.head(request.path_params["session"])
    return await run_in_threadpool(_section, request, studio, head)


def _section(request: Request, studio: Studio, head: Revision) -> Response:
    change = _change(request)
    base = request.query_params.get("at", str(head.number))
    if base != str(head.number):  # pressed, or changed by others: what was tried is of another version
        return page(request, "_offers.html", head=head, open=False)
    job = studio.job(head.text, AudienceSpec(), change=change)
    studio.trials.cancel(f"mend/{head.session}")  # asked for anew by its own page; this somebody waits for
    studio.trials.submit(_slot(head), job, while_asked=True)
    result = studio.trials.result(job.key)
    offers = result.offers if result else None
    ways, complete = _finish(studio, head, offers) if offers else ([], True)
    query = {
        "kind": str(change.kind), "ref": str(change.ref or ""), "minutes": change.minutes or "", "move": change.move,
        "at": head.number,
    }  # fmt: skip
    return page(
        request, "_offers.html",
        head=head, open=True, beside=change.kind is ChangeKind.LENGTHS, swaps=change.kind is ChangeKind.SWAP,
        place=str(change.ref or ""), title=_title(change, studio.on_clock(head.text).session), query=urlencode(query),
        result=result, offers=offers, ways=ways, before=_share(studio, _forecast_job(studio, head.text)),
        progress=studio.trials.progress(job.key), pending=not (result and result.finished and complete),
    )  # fmt: skip


def _change(request: Request) -> ChangeRequest:
    """What is asked for. Raises Invalid."""
    params = request.query_params
    minutes, place = params.get("minutes", ""), params.get("ref", "")
    if minutes and (not minutes.isdecimal() or len(minutes) > 5):
        raise Invalid("minutes", "a whole number", minutes)
    kind = member(ChangeKind, "kind", params.get("kind", ""))
    move = params.get("move", "")
    return ChangeRequest(kind=kind, ref=ref(place) if place else None, minutes=int(minutes or 0), move=move)


def _title(change: ChangeRequest, session: Session) -> str:
    """What is asked for; of another move, in place of which."""
    if change.kind is ChangeKind.SWAP and change.ref:
        at = change.ref.block, change.ref.cell
        names = (cell.move.name.lower() for cell in every_cell(session) if (cell.ref.block, cell.ref.cell) == at)
        if name := next(names, ""):
            return f"{str(change.kind).capitalize()} in place of {name}"
    where = f": {change.ref}".replace("/", ", ") if change.ref else ""
    return f"{str(change.kind).capitalize()}{f': {change.minutes}' if change.minutes else where}"


def _slot(head: Revision) -> str:
    return f"offers/{head.session}"


def _finish(studio: Studio, head: Revision, offers: PressOffers) -> tuple[list[dict[str, Any]], bool]:
    """Each offer with its form, and who can finish it as soon as that is computed; whether that is so of all."""
    ways, complete = [], True
    before = studio.jobs.result(_forecast_job(studio, head.text).key)
    for number, each in enumerate(offers.offers):
        job = _forecast_job(studio, each.text)
        studio.jobs.submit(f"offer-{number}/{head.session}", job, while_asked=True)
        result = studio.jobs.result(job.key)
        complete = complete and bool(result and result.finished)
        ways.append(
            {
                "offer": each,
                "fields": form_of(each.edit),
                "finish": _share(studio, job),
                "brings": _brings(before, result),
                "figure": studio.figure(each.rung, each.load) if each.rung else "",
            }
        )
    return ways, complete


def _brings(before: JobResult | None, after: JobResult | None) -> list[str]:
    """What bodies and people find that they did not find before; nothing while one of the two is not computed."""
    if not (before and after and before.finished and after.finished):
        return []
    new = (each for each in fresh(before.findings, after.findings) if each.severity is not Severity.NOTE)
    return [f"{each.place}: {each.measured}" for each in new]


def _forecast_job(studio: Studio, text: str) -> Job:
    """As the Write screen has it computed of a version: what is pressed is then computed already."""
    return studio.job(text, AudienceSpec(count=USUAL_PEOPLE))


def _share(studio: Studio, job: Job) -> str:
    """How many can finish every set with some rung; '' while that is not computed."""
    result = studio.jobs.result(job.key)
    return str(result.forecast.whole) if result and result.forecast else ""


async def keep(request: Request) -> Response:
    """One length as a session of its own, beside the one that it is a part of."""
    form, studio = await read_form(request), studio_of(request)
    head = studio.sessions.head(request.path_params["session"])
    number = form.get("number", "")
    job = studio.job(head.text, AudienceSpec(), change=_change(request))
    result = studio.trials.result(job.key)
    offers = result.offers.offers if result and result.offers else ()
    if not number.isdecimal() or len(number) > 2 or not 0 < int(number) <= len(offers):
        say(request, "That length is not here any more: ask for it again")
        return RedirectResponse(f"/session/{head.session}", 303)
    offer = offers[int(number) - 1]
    session = await run_in_threadpool(studio.sessions.create, draft(offer.text, offer.words[:300]))
    return RedirectResponse(f"/session/{session.id}", 303)


async def stop(request: Request) -> Response:
    """Nothing more is tried, and nothing offered."""
    await read_form(request)
    studio = studio_of(request)
    head = studio.sessions.head(request.path_params["session"])
    studio.trials.cancel(_slot(head))
    for number in range(max(kind.most for kind in ChangeKind)):
        studio.jobs.cancel(f"offer-{number}/{head.session}")
    return page(request, "_offers.html", head=head, open=False)


PATH = "/session/{session}/offers"
ROUTES = [
    Route(PATH, show),
    Route(f"{PATH}/stop", stop, methods=["POST"]),
    Route(f"{PATH}/keep", keep, methods=["POST"]),
]
