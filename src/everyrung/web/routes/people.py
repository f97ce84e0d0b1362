"""The People screen: who comes, their kit and limits; what they said in confidence apart; lists in and out."""

from collections.abc import Mapping
from pathlib import PurePath
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from everyrung.moves.limit_words import Question
from everyrung.people.read import check_kind, people_from_text
from everyrung.people.write import people_text
from everyrung.store.owners import Owner, Owners
from everyrung.terms.errors import Fault, Faults, Invalid
from everyrung.terms.person import Experience, Health, Person, Sex
from everyrung.web.field_words import refusals
from everyrung.web.forgetting import forget_answers, forget_made, forget_person
from everyrung.web.form_values import LIMIT, LIMIT_WORDS, SAID, ticked_limits, to_ask
from everyrung.web.history_rows import bring_history
from everyrung.web.pages import page, say
from everyrung.web.person_form import (
    FIELDS,
    FORM,
    add,
    bring,
    change,
    form_values,
    from_form,
    participant,
    participants,
    without_health,
)  # fmt: skip
from everyrung.web.security import decode_text, read_form, read_form_and_file
from everyrung.web.studio import Studio, studio_of

FieldFaults = tuple[tuple[str, str], ...]  # a field and what is wrong with it
WORDS = {"sexes": list(Sex), "levels": list(Experience), "words": LIMIT_WORDS}


async def index(request: Request) -> Response:
    """Everyone, a form for one more, and ways in and out."""
    return await run_in_threadpool(_list, request, studio_of(request), {}, ())


def _list(
    request: Request,
    studio: Studio,
    values: Mapping[str, str],
    field_faults: FieldFaults,
    questions: tuple[Question, ...] = (),
) -> Response:
    people: list[tuple[int, Person, dict[str, str]]] = []
    lock = ""
    try:
        rows = [(row.id, participant(row)) for row in studio.people.all()]
        people = [(key, person, form_values(person)) for key, person in rows]
    except Faults as problem:
        lock = str(problem)
    answer_count = sum(person.health != Health() for _, person, _ in people)
    return page(
        request, "people.html", 422 if field_faults else 200, people=people, locked=lock, answered=answer_count,
        sessions=studio.sessions.all(), **_form_content(values, field_faults, questions),
    )  # fmt: skip


async def new(request: Request) -> Response:
    """One more."""
    form, studio = await read_form(request), studio_of(request)

    def render() -> Response:
        try:
            if questions := to_ask(form):
                return _list(request, studio, form, (), questions)
            person = from_form(form)
            add(studio.people, person)
        except (Faults, Invalid) as problem:
            return _list(request, studio, form, _faults_of(problem))
        return _to(request, f"{person.name} is on your list")

    return await run_in_threadpool(render)


async def ask(request: Request) -> Response:
    """What to ask after plain words for what has to be avoided; nothing of them is kept."""
    form = await read_form(request)
    questions = to_ask(form)
    already = bool(form.get(SAID, "").strip()) and not questions
    return page(request, "_limit_questions.html", asked=questions, already=already, words=LIMIT_WORDS)


async def show(request: Request) -> Response:
    """One person's form."""
    key, studio = request.path_params["person"], studio_of(request)

    def render() -> Response:
        person = participant(studio.people.person(key))
        health = {f"{LIMIT}{each}": "on" for each in person.health.limits}
        health |= {"medicine": "on"} if person.health.rate_limiting else {}
        return _one(request, key, {**form_values(person), **health}, ())

    return await run_in_threadpool(render)


def _one(
    request: Request,
    key: int,
    values: Mapping[str, str],
    field_faults: FieldFaults,
    questions: tuple[Question, ...] = (),
) -> Response:
    return page(
        request, "person.html", 422 if field_faults else 200, key=key, **_form_content(values, field_faults, questions)
    )


async def alter(request: Request) -> Response:
    """What is known of somebody, anew."""
    form, studio, key = await read_form(request), studio_of(request), request.path_params["person"]

    def render() -> Response:
        try:
            if questions := to_ask(form):
                return _one(request, key, form, (), questions)
            person = from_form(form)
            old = participant(studio.people.person(key))
            change(studio.people, key, person)
        except (Faults, Invalid) as problem:
            return _one(request, key, form, _faults_of(problem))
        Owners(studio.settings.folder).rename(key, old.name)
        files = forget_made(studio, [Owner(name=old.name, person=key)]) if old.health != person.health else 0
        note = "; cards made with the earlier answers were deleted, so make them again" if files else ""
        return _to(request, f"{person.name} was changed{note}")

    return await run_in_threadpool(render)


async def remove(request: Request) -> Response:
    """Somebody and their answers."""
    await read_form(request)
    studio = studio_of(request)
    files = await run_in_threadpool(forget_person, studio, request.path_params["person"])
    return _to(request, f"One person was deleted{_with_files(studio, files)}")


async def remove_health(request: Request) -> Response:
    """All that anybody said in confidence, and its key."""
    await read_form(request)
    studio = studio_of(request)
    count, files = await run_in_threadpool(forget_answers, studio)
    whose = f"{count} {'person' if count == 1 else 'people'}"
    return _to(request, f"The health answers of {whose} were deleted{_with_files(studio, files)}")


def _with_files(studio: Studio, count: int) -> str:
    """How many files of the studio went, whether its backups were reached, and what it can't reach."""
    files = f", with {count} {'file' if count == 1 else 'files'} made with them" if count else ""
    backups = ", in the backups too" if studio.backups else ". Backups of the database's server are not reached"
    return f"{files}{backups}. What you printed, sent or saved elsewhere is yours to delete"


async def bring_in(request: Request) -> Response:
    """A spreadsheet saved as CSV, or a people file; those of a known name are changed. All of it or nothing."""
    form, file = await read_form_and_file(request)
    studio = studio_of(request)
    if file is None:
        raise HTTPException(422, "Choose a spreadsheet saved as CSV, or a people file (.toml).")
    name = PurePath(file[0]).name[:100]

    def render() -> Response:
        try:
            check_kind(PurePath(name))
            people = people_from_text(decode_text(file[1]), name)
            people = without_health(people) if form.get("health") == "leave" else people
            new_count, old_count, otherwise = bring(studio.people, people)
        except (Faults, Invalid) as problem:
            return _list(request, studio, {}, _faults_of(problem))
        if otherwise:
            forget_made(studio, otherwise)
        return _to(request, f"{new_count} added, {old_count} changed")

    return await run_in_threadpool(render)


async def bring_history_in(request: Request) -> Response:
    """What people did, from a spreadsheet or a player's file; what is there already stays as it is."""
    form, file = await read_form_and_file(request)
    studio = studio_of(request)
    if file is None:
        raise HTTPException(422, "Choose a spreadsheet of what was done, or the file that a player gave.")
    whose = form.get("whose", "0")
    number = int(whose) if whose.isdecimal() and len(whose) < 9 else 0

    def render() -> Response:
        try:
            new_count, old_count = bring_history(studio, decode_text(file[1]), PurePath(file[0]).name[:100], number)
        except (Faults, Invalid) as problem:
            return _list(request, studio, {}, _faults_of(problem))
        return _to(request, f"{new_count} sets written down, {old_count} were there already")

    return await run_in_threadpool(render)


async def take_out(request: Request) -> Response:
    """The list as a people file, without what was said in confidence."""
    people = await run_in_threadpool(participants, studio_of(request).people)
    text = people_text(without_health(people))
    headers = {"Content-Disposition": 'attachment; filename="people.toml"'}
    return Response(text.encode(), media_type="application/toml", headers=headers)


def _form_content(
    values: Mapping[str, str], field_faults: FieldFaults, questions: tuple[Question, ...]
) -> dict[str, Any]:
    """What the form's template shows, and which of its fields are wrong."""
    nothing = dict.fromkeys((*FIELDS, "medicine"), "")
    if questions:
        field_faults = ((SAID, "Not saved yet: answer the question below, tick or leave it, and save again."),)
    faults, wrong = tuple(words for _, words in field_faults), tuple(field for field, _ in field_faults if values)
    return {
        **WORDS,
        "limits_said": ticked_limits(values),
        "values": {**nothing, **values},
        "faults": faults,
        "wrong": wrong,
        "asked": questions,
    }


def _faults_of(problem: Faults | Invalid) -> FieldFaults:
    """Each fault with the field of the form that it is about; a form has no lines."""
    if isinstance(problem, Invalid):
        return ((problem.field, refusals(problem)[0]),)
    return tuple((one.where.field.partition("[")[0], _fault_line(one)) for one in problem.faults)


def _fault_line(fault: Fault) -> str:
    """A fault of the form, or of a line of the file that was brought."""
    line = "" if fault.where.file == FORM else f"{fault.where.file}, line {fault.where.line}. "
    return line + refusals(Faults([fault]))[0]


def _to(request: Request, message: str) -> Response:
    say(request, message)
    return RedirectResponse("/people", 303)


ROUTES = [
    Route("/people", index),
    Route("/people", new, methods=["POST"]),
    Route("/limits", ask, methods=["POST"]),
    Route("/people/bring", bring_in, methods=["POST"]),
    Route("/people/history", bring_history_in, methods=["POST"]),
    Route("/people/people.toml", take_out),
    Route("/people/health/remove", remove_health, methods=["POST"]),
    Route("/people/{person:int}", show),
    Route("/people/{person:int}", alter, methods=["POST"]),
    Route("/people/{person:int}/remove", remove, methods=["POST"]),
]
