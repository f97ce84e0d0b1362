"""The Moves screen: the library, a ladder on a chosen body, the figure from all sides, a bench to build rungs on."""

import asyncio
import json
from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from everyrung.compose.add_move import into_session
from everyrung.compose.case import PlanRun
from everyrung.moves.alternatives import alternatives
from everyrung.store.own_things import OwnRung
from everyrung.terms.errors import Invalid
from everyrung.terms.move import MAX_ENTRY_TEST_WORDS
from everyrung.terms.person import BodySize, Sex
from everyrung.terms.timeline import MAX_OWN_LETTERS, WRITTEN_KINDS
from everyrung.web import render_tasks
from everyrung.web.field_words import refusals
from everyrung.web.lever_choices import lever_choices
from everyrung.web.move_library_view import (
    USUAL,
    DraftRung,
    body,
    choices,
    compare,
    draft_rung,
    filter_moves,
    in_patterns,
    read_filter,
    step,
)
from everyrung.web.pages import page, say
from everyrung.web.save import NewVersion, change
from everyrung.web.security import read_form
from everyrung.web.studio import Studio, studio_of


async def index(request: Request) -> Response:
    """The moves that fit what is looked for."""
    studio = studio_of(request)

    def render() -> Response:
        choice = read_filter(request.query_params)
        moves = filter_moves(studio.library, choice)
        figures = {move.key: studio.figure(studio.library.rung(move.key, "base")) for move in moves}
        own = {each.move for each in studio.own_rungs.all()}
        return page(
            request, "moves.html", wanted=choice, choices=choices(studio.library), count=len(moves), own=own,
            patterns=list(in_patterns(moves)), figures=figures, all=len(studio.library.keys), move=None,
            yours=studio.library.own_keys, wrong=[str(each) for each in studio.library.problems],
            **_words(request, studio),
        )  # fmt: skip

    return await run_in_threadpool(render)


async def show(request: Request) -> Response:
    """One move: figure, ladder, bench. What is wrong with the asked body or levers is said, and left out."""
    return await run_in_threadpool(_show, request, studio_of(request), request.path_params["move"])


def _show(request: Request, studio: Studio, key: str) -> Response:
    move, query = studio.library.move(key), request.query_params
    size, wrong_body = _body(query)
    bench, wrong_levers = _bench(studio, key, query.get("rung", "base"), query.getlist("lever"))
    problems = (*wrong_body, *wrong_levers)
    return page(
        request, "move.html", 422 if problems else 200, move=move, bench=bench, problems=problems,
        given={name: query.get(name, "") for name in USUAL}, usual=USUAL, sexes=list(Sex), size=size,
        figure=studio.figure(bench.rung, None, size), levers=lever_choices(bench.rung.form),
        yours=key in studio.library.own_keys,
        instead=(*move.stand_ins, *alternatives(studio.library, bench.start)[:MOST_INSTEAD]),
        sessions=studio.sessions.all(most=MOST_SESSIONS), own=studio.own_rungs.of(key), query=_query(query),
        rung_names={rung.key: rung.name for rung in move.versions},
        **_words(request, studio, key),
    )  # fmt: skip


async def put(request: Request) -> Response:
    """The version on the bench, or the one that fits, into one of the sessions; which is shown then."""
    form, studio = await read_form(request), studio_of(request)
    return await run_in_threadpool(_put, request, studio, form)


def _put(request: Request, studio: Studio, form: Mapping[str, str]) -> Response:
    head = studio.sessions.head(form.get("session", ""))
    start = PlanRun(run=studio.run(head.text), library=studio.library)
    edit = into_session(start, request.path_params["move"], form.get("rung", ""))
    version = change(studio.sessions, head.session, head.number, edit)
    if isinstance(version, NewVersion):
        say(request, f"{studio.library.move(request.path_params['move']).name} is in it, version {version.head.number}")
    return RedirectResponse(f"/session/{head.session}", 303)


MOST_INSTEAD = 4  # chosen, because more are not compared
MOST_SESSIONS = 12  # to put a move into, the latest first; chosen, because others are opened from the list
NOTHING_WRITTEN = {"text": "", "kind": "", "rung": "", "problem": ""}


def _words(request: Request, studio: Studio, move: str = "") -> dict[str, Any]:
    """The coach's own cues of a move, or of every set; and what she wrote just now that could not be kept."""
    cues = studio.own_cues.by_id()
    here = {number: cue for number, cue in cues.items() if cue.move == move}
    return {
        "own_words": here, "words_kept": len(cues), "kinds": list(WRITTEN_KINDS), "most_letters": MAX_OWN_LETTERS,
        "written": NOTHING_WRITTEN | request.session.pop("own", {}),
    }  # fmt: skip


def _body(query: Mapping[str, str]) -> tuple[BodySize, tuple[str, ...]]:
    try:
        return body(query), ()
    except Invalid as problem:
        return body({}), (f"{refusals(problem)[0]} Shown is the usual body.",)


def _bench(studio: Studio, move: str, rung: str, tables: list[str]) -> tuple[DraftRung, tuple[str, ...]]:
    levers = [each for each in tables if each]
    try:
        return draft_rung(studio.library, move, rung, levers), ()
    except Invalid as problem:
        words = refusals(problem)[0]
    try:
        return draft_rung(studio.library, move, rung, levers[:-1]), (f"That lever does not go on: {words}",)
    except Invalid:
        return draft_rung(studio.library, move, "base", []), (words,)


def _query(query: Any) -> str:
    """The body alone, to be carried on."""
    return urlencode({name: query[name] for name in USUAL if query.get(name)})


async def ladder(request: Request) -> Response:
    """The ladder with what each rung asks of the body; computed by the drawing process."""
    studio, key = studio_of(request), request.path_params["move"]
    size = _body(request.query_params)[0]
    rungs = (await run_in_threadpool(studio.library.move, key)).ladder[::-1]
    demands = await asyncio.wrap_future(studio.drawing.submit(render_tasks.demands_of, rungs, size))
    steps = [step(rung, studio.figure(rung, None, size), one) for rung, one in zip(rungs, demands, strict=True)]
    rung = request.query_params.get("shown", "")
    return page(
        request, "_move_ladder.html", move=key, steps=steps, size=size, shown=rung, query=_query(request.query_params)
    )


async def weigh(request: Request) -> Response:
    """The rung on the bench against the one it starts from; and the form that keeps it, if this body can do it."""
    studio, key, query = studio_of(request), request.path_params["move"], request.query_params
    size = _body(query)[0]
    bench = (await run_in_threadpool(_bench, studio, key, query.get("rung", "base"), query.getlist("lever")))[0]
    before, after = await asyncio.wrap_future(
        studio.drawing.submit(render_tasks.demands_of, [bench.start, bench.rung], size)
    )
    steps = [step(bench.start, "", before), step(bench.rung, "", after)]
    return page(
        request, "_weighed.html", move=key, bench=bench, steps=steps, rows=compare(before, after), size=size,
        most_words=MAX_ENTRY_TEST_WORDS,
    )  # fmt: skip


async def keep(request: Request) -> Response:
    """The rung on the bench among the coach's own; not one that no body can do."""
    form, studio, key = await read_form(request), studio_of(request), request.path_params["move"]
    rung, tables = form.get("rung", "base"), _tables(form.get("levers", ""))
    test, name = form.get("entry_test", "").strip(), form.get("name", "").strip()
    rung_draft = await run_in_threadpool(draft_rung, studio.library, key, rung, [json.dumps(each) for each in tables])
    _check(name, test, rung_draft)
    (demand,) = await asyncio.wrap_future(studio.drawing.submit(render_tasks.demands_of, [rung_draft.rung], body({})))
    why = step(rung_draft.rung, "", demand).why
    if why:
        raise Invalid("rung", "a rung that a body can do", rung_draft.rung.name, remedy=f"{why}. Take a lever off.")
    own = OwnRung(move=key, rung=rung, levers=json.dumps(tables), name=name, entry_test=test)
    await run_in_threadpool(studio.own_rungs.keep, own)
    say(request, f"{name} is among your rungs: choose it in any set of this move")
    return RedirectResponse(f"/moves/{key}#own", 303)


def _tables(text: str) -> list[dict[str, Any]]:
    try:
        tables = json.loads(text[:2000])
    except (ValueError, RecursionError):
        tables = None
    if not isinstance(tables, list) or not all(isinstance(each, dict) for each in tables):
        raise Invalid("levers", "a list of levers", text[:60])
    return tables


def _check(name: str, test: str, rung_draft: DraftRung) -> None:
    if not rung_draft.levers:
        raise Invalid("levers", "a lever at least", "none", remedy="Add one: without a lever it is the library's rung.")
    if not 1 <= len(name) <= 100 or not name.isprintable():
        raise Invalid("name", "a name on one line, of up to 100 letters", name)
    if not 1 <= len(test.split()) <= MAX_ENTRY_TEST_WORDS or len(test) > 100:
        raise Invalid("entry test", f"a question of at most {MAX_ENTRY_TEST_WORDS} words", test)


async def let_go(request: Request) -> Response:
    """One of the coach's own rungs less; sessions that use it keep it."""
    form, studio, key = await read_form(request), studio_of(request), request.path_params["move"]
    number_text = form.get("own", "")
    number = int(number_text) if number_text.isdecimal() and len(number_text) < 10 else 0
    await run_in_threadpool(studio.own_rungs.remove, number)
    say(request, "Deleted; sessions that use it keep it")
    return RedirectResponse(f"/moves/{key}#own", 303)


PATH = "/moves/{move}"
ROUTES = [
    Route("/moves", index),
    Route(PATH, show),
    Route(f"{PATH}/ladder", ladder),
    Route(f"{PATH}/weighed", weigh),
    Route(f"{PATH}/put", put, methods=["POST"]),
    Route(f"{PATH}/own", keep, methods=["POST"]),
    Route(f"{PATH}/own/remove", let_go, methods=["POST"]),
]
