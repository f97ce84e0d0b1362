"""The People screen: who comes, their kit and limits; what they said in confidence apart; lists in and out."""

from collections.abc import Mapping
from pathlib import PurePath
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from everyrung.people.read import check_kind, people_from_text
from everyrung.people.write import people_text
from everyrung.terms.body import Sex
from everyrung.terms.fault import Faults, Invalid
from everyrung.terms.participant import Experience, Health, Participant
from everyrung.terms.vocabulary import Caution
from everyrung.web.guard import decoded, posted, posted_file
from everyrung.web.pages import page, say
from everyrung.web.person_form import (
    FIELDS,
    FORM,
    LIMIT,
    add,
    bring,
    change,
    form_values,
    from_form,
    participant,
    participants,
    without_health,
)  # fmt: skip
from everyrung.web.studio import Studio, studio_of

Told = tuple[tuple[str, str], ...]  # a field and what is wrong with it
WORDS = {"sexes": list(Sex), "levels": list(Experience), "cautions": list(Caution), "limit": LIMIT}


async def listed(request: Request) -> Response:
    """Everyone, a form for one more, and ways in and out."""
    return await run_in_threadpool(_list, request, studio_of(request), {}, ())


def _list(request: Request, studio: Studio, values: Mapping[str, str], told: Told) -> Response:
    people: list[tuple[int, Participant, dict[str, str]]] = []
    locked = ""
    try:
        rows = [(row.id, participant(row)) for row in studio.roster.all()]
        people = [(key, person, form_values(person)) for key, person in rows]
    except Faults as problem:
        locked = str(problem)
    answered = sum(person.health != Health() for _, person, _ in people)
    return page(
        request, "people.html", 422 if told else 200, people=people, locked=locked, answered=answered,
        sessions=studio.sessions.all(), **_filled(values, told),
    )  # fmt: skip


async def new(request: Request) -> Response:
    """One more."""
    form, studio = await posted(request), studio_of(request)

    def made() -> Response:
        try:
            person = from_form(form)
            add(studio.roster, person)
        except (Faults, Invalid) as problem:
            return _list(request, studio, form, _told(problem))
        return _to(request, f"{person.name} is on your list")

    return await run_in_threadpool(made)


async def show(request: Request) -> Response:
    """One person's form."""
    key, studio = request.path_params["person"], studio_of(request)

    def made() -> Response:
        person = participant(studio.roster.person(key))
        health = {f"{LIMIT}{each}": "on" for each in person.health.limits}
        health |= {"medicine": "on"} if person.health.rate_limiting else {}
        return _one(request, key, {**form_values(person), **health}, ())

    return await run_in_threadpool(made)


def _one(request: Request, key: int, values: Mapping[str, str], told: Told) -> Response:
    return page(request, "person.html", 422 if told else 200, key=key, **_filled(values, told))


async def alter(request: Request) -> Response:
    """What is known of somebody, anew."""
    form, studio, key = await posted(request), studio_of(request), request.path_params["person"]

    def made() -> Response:
        try:
            person = from_form(form)
            change(studio.roster, key, person)
        except (Faults, Invalid) as problem:
            return _one(request, key, form, _told(problem))
        return _to(request, f"{person.name} was changed")

    return await run_in_threadpool(made)


async def remove(request: Request) -> Response:
    """Somebody and their answers."""
    await posted(request)
    studio, key = studio_of(request), request.path_params["person"]
    await run_in_threadpool(studio.roster.remove, key)
    return _to(request, "One person was deleted, with all that was kept of them")


async def remove_health(request: Request) -> Response:
    """All that anybody said in confidence, and its key."""
    await posted(request)
    count = await run_in_threadpool(studio_of(request).roster.remove_all_health)
    return _to(request, f"The health answers of {count} {'person' if count == 1 else 'people'} were deleted")


async def bring_in(request: Request) -> Response:
    """A spreadsheet saved as CSV, or a people file; those of a known name are changed. All of it or nothing."""
    form, file = await posted_file(request)
    studio = studio_of(request)
    if file is None:
        raise HTTPException(422, "Choose a spreadsheet saved as CSV, or a people file (.toml).")
    name = PurePath(file[0]).name[:100]

    def made() -> Response:
        try:
            check_kind(PurePath(name))
            people = people_from_text(decoded(file[1]), name)
            added, changed = bring(studio.roster, without_health(people) if form.get("health") == "leave" else people)
        except (Faults, Invalid) as problem:
            return _list(request, studio, {}, _told(problem))
        return _to(request, f"{added} added, {changed} changed")

    return await run_in_threadpool(made)


async def take_out(request: Request) -> Response:
    """The list as a people file, without what was said in confidence."""
    people = await run_in_threadpool(participants, studio_of(request).roster)
    text = people_text(without_health(people))
    headers = {"Content-Disposition": 'attachment; filename="people.toml"'}
    return Response(text.encode(), media_type="application/toml", headers=headers)


def _filled(values: Mapping[str, str], told: Told) -> dict[str, Any]:
    """What the form's template shows, and which of its fields are wrong."""
    limits = tuple(str(each) for each in Caution if values.get(f"{LIMIT}{each}"))
    nothing = dict.fromkeys((*FIELDS, "medicine"), "")
    faults, wrong = tuple(words for _, words in told), tuple(field for field, _ in told if values)
    return {**WORDS, "limits_said": limits, "values": {**nothing, **values}, "faults": faults, "wrong": wrong}


def _told(problem: Faults | Invalid) -> Told:
    """Each fault with the field of the form that it is about; a form has no lines."""
    if isinstance(problem, Invalid):
        return ((problem.field, f"{problem} {problem.remedy}".strip()),)
    return tuple((one.where.field.partition("[")[0], str(one).removeprefix(f"{FORM}: ")) for one in problem.faults)


def _to(request: Request, said: str) -> Response:
    say(request, said)
    return RedirectResponse("/people", 303)


ROUTES = [
    Route("/people", listed),
    Route("/people", new, methods=["POST"]),
    Route("/people/bring", bring_in, methods=["POST"]),
    Route("/people/people.toml", take_out),
    Route("/people/health/remove", remove_health, methods=["POST"]),
    Route("/people/{person:int}", show),
    Route("/people/{person:int}", alter, methods=["POST"]),
    Route("/people/{person:int}/remove", remove, methods=["POST"]),
]
