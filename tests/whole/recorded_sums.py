"""What ladders and bodies are said to be by made-up demands, and what the sums of fatigue and music come to."""

import runpy
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import pairwise, product
from types import SimpleNamespace
from typing import Any
from unittest.mock import patch

import numpy as np
from made_demands import rung_demand
from record_lines import plain
from recorded import HERE, Parts, plan_of

from everyrung.body.mechanics import Failure, Job
from everyrung.body.reference_grid import reference_grid
from everyrung.body.rung_load import held_kg
from everyrung.checks.difficulty import SetDemand, leading_names, measures
from everyrung.checks.groups import first_groups, group_findings
from everyrung.checks.ladder_order import grade_of, pair_rises
from everyrung.checks.move_check import body_notes, ladder_notes
from everyrung.checks.registry import check
from everyrung.effort.people_strength import joint_count, motions, scatter
from everyrung.effort.recommend import effort_words, question_on_card
from everyrung.effort.three_compartment import Reserve, do_reps, hold_seconds, rep_map, reps_possible
from everyrung.moves.library import standard_library
from everyrung.plan.music import into_phrase, on_the_beat, reps_by_phrase
from everyrung.terms.demand import RungDemand
from everyrung.terms.errors import Invalid
from everyrung.terms.forecast import Take
from everyrung.terms.units import Tempo

SHOWN = 24  # people of each made-up set
TEMPI = ((2000, 0, 1000, 0), (3000, 1000, 1500, 500), (500, 0, 500, 0), (1000, 2000, 4000, 0), (0, 3000, 900, 0))


def made(job: Job) -> RungDemand | Failure:
    """In place of a body that is solved; of a few rungs none, and one in a dozen is too weak for some."""
    form = job.form
    name = f"{form.move} {form.support} {form.load} {form.tempo}"
    grade = 1 + len(name) % 5
    if len(name) % 41 == 0:
        return Failure(why="the hands do not reach the floor")
    return rung_demand(name, grade, job.form, held_kg(job.form, job.load), job.size)


def _made_demands(jobs: list[Job], *_: object) -> Iterator[tuple[int, RungDemand | Failure]]:
    return ((place, made(job)) for place, job in enumerate(jobs))


def ladder_lines() -> Iterator[str]:
    """Each pair of neighbours, and each rung's grade and what bodies say of it."""
    library = standard_library()
    with patch("everyrung.checks.ladder_order.demands", _made_demands):
        for each in pair_rises(library, library.keys):
            numbers = f"{plain(each.least)} {plain(each.most_joint)}"
            yield f"{each.below.address} to {each.above.address}: {each.measure} {numbers} {each.why}"
    with patch("everyrung.checks.move_check.demands", _made_demands):
        for key in library.keys[::3]:
            yield from (f"{key}: {note}" for note in body_notes(library, key))
    for key in library.keys:
        yield from (f"{key}: {note}" for note in ladder_notes(library, key))
        for rung in library.move(key).versions:
            by_body = [one for size in reference_grid() if isinstance(one := made(_job(rung.form, size)), RungDemand)]
            short = [replace(one, shortfalls=("hip needs 1.2 of its strength",)) for one in by_body]
            grades = [grade_of(rung, some) for some in (by_body, by_body[:6] + short[6:], by_body[:5] + short[5:], ())]
            yield f"{rung.address}: {grades}"


def _job(form: Any, size: Any) -> Job:
    return Job(form=form, layer=standard_library().pose(form), size=size)


def spoilt_move_lines() -> Iterator[str]:
    """What is said of a squat whose ladder is spoilt."""
    library = standard_library()
    squat = library.move("squat")
    some, first = squat.versions, squat.versions[0]
    ways = {
        "turned round": some[::-1],
        "no easier one": some[3:],
        "no harder one": some[:4],
        "twice the same": (first, *some),
        "one test": tuple(replace(rung, entry_test="Easy?") for rung in some),
        "no cues": tuple(replace(rung, cues=rung.cues[:1]) for rung in some),
        "kit for all": tuple(rung if rung.needs_kit else replace(rung, kit=some[-1].kit) for rung in some),
        "one caution": tuple(replace(rung, cautions=some[-1].cautions) for rung in some),
    }
    for name, versions in ways.items():
        spoilt: Any = SimpleNamespace(
            move=lambda _, versions=versions: replace(squat, versions=versions),
            pose=library.pose, require_pose=library.require_pose,
        )  # fmt: skip
        yield from (f"{name}: {note}" for note in ladder_notes(spoilt, "squat"))


def measure_lines() -> Iterator[str]:
    """Neighbours of some ladders, measure by measure, with a dose before and after."""
    library, size = standard_library(), reference_grid()[3]
    for key in ("squat", "bridge", "front-plank", "overhead-press"):
        for below, above in pairwise(library.move(key).ladder):
            one, other = made(_job(below.form, size)), made(_job(above.form, size))
            if isinstance(one, RungDemand) and isinstance(other, RungDemand):
                before = SetDemand(demand=one, reps=8, lasting_s=24.0)
                for reps, lasting_s in ((8, 24.0), (10, 20.0)):
                    after = SetDemand(demand=other, reps=reps, lasting_s=lasting_s)
                    yield f"{below.address} to {above.address}, {reps}"
                    yield from (f"  {m}: {m.harder} {m.easier} {plain(m.rise)}" for m in measures(before, after))
    for levers in ((), ("load",), ("pause", "tempo"), ("reps",), ("range", "unilateral"), ("support",)):
        yield f"{levers}: {leading_names(levers)}"


def group_lines() -> Iterator[str]:
    session, timeline = plan_of("faulty")
    groups = group_findings(reversed(check(session, timeline)))
    for each in (groups, *(some * 3 for some in (groups[:1], groups[-2:]))):
        shown, later = first_groups(each)
        yield f"{[one.rule for one in shown]}, later {len(later)}"
    yield from (f"{each.rule} {each.severity}: {len(each.findings)}" for each in groups)


def fatigue_lines() -> Iterator[str]:
    """Made-up sets of some people, done; holds; and how often a repetition goes."""
    tests = runpy.run_path(str(HERE.parent / "effort" / "test_do_reps.py"))
    for points, seed in product((1, 2, 3), (1, 2)):
        fatigued, crowd, cycle, times, rest = tests["random_set"](points, seed)
        some = slice(0, SHOWN)
        few = type(crowd)(*(field[some] for field in crowd))
        found = do_reps(fatigued[some], few, cycle, tests["WORKING"], times, rest, tests["MOST"])
        for name, values in zip(found._fields, found, strict=True):
            rows = values.reshape(SHOWN, -1)
            yield from (f"{points} {seed} {name} {at}: {_row(row)}" for at, row in enumerate(rows))
    reserve = Reserve(at_full=0.24, power=4.6)
    for load, tired in product((0.05, 0.1, 0.25, 0.5, 0.8, 0.95, 1.0, 1.1), (0.0, 0.1, 0.4)):
        numbers = [np.array(each) for each in (tired, load, 0.0097, 0.00091)]
        plainly, held = float(hold_seconds(*numbers)), float(hold_seconds(*numbers, reserve))
        yield f"hold {load} from {tired}: {plain(plainly)} {plain(held)}"
        one = rep_map(np.array([load, load / 2, 0.1]), np.array([2.0, 1.0, 1.5]), *numbers[2:], np.array(2.5), 0.01)
        reps = [float(reps_possible(numbers[0], one, np.array(peak))) for peak in (load, 0.3)]
        yield f"reps {load} from {tired}: {_row(np.array([one.decay, one.rise, one.decay_to, one.rise_to, *reps]))}"
    every = np.ones((1, len(motions())))
    for general, joint, width in product((-1.0, 1.5), (0.5, -2.0), (None, 0.5)):
        draws = np.array([general]), np.full((1, joint_count()), joint), 0.3 * every
        yield f"scatter {general} {joint} {width}: {_row(scatter(*draws, *([width] if width else []))[0])}"


def _row(values: Iterable[Any]) -> str:
    return " ".join(str(plain(float(one))) for one in values)


def question_lines() -> Iterator[str]:
    """What is asked before a round on a card, by what was done in the one before."""
    form, hold = (standard_library().rung(*at).form for at in (("squat", "base"), ("front-plank", "base")))
    tests = ("Was that set easy, four left?", "Hand just off the wall: steady?")
    takes = [
        Take(kind=None, rung=rung, dose="8 reps", reps=8, load=load, entry_test=test, form=of)
        for rung, of in (("Squat", form), ("Plank", hold))
        for load in ("", "5 kg", "2 x 5 kg", "light band", "8 kg")
        for test in tests
    ]
    for before, now in product((None, *takes[::2]), takes):
        yield f"{before and (before.rung, before.load)} then {now.rung} {now.load}: {question_on_card(before, now)}"
    for left, unit in product((-1.0, 0.0, 0.4, 3.0, 12.0), ("reps", "s")):
        yield f"{left} {unit}: {effort_words(left, unit)}"


def music_lines() -> Iterator[str]:
    for times, beats, counts in product(TEMPI, (60, 96, 124, 170.5), (None, 4, 8)):
        tempo = Tempo(**dict(zip(("lower_ms", "bottom_ms", "rise_ms", "top_ms"), times, strict=True)))
        if counts is None or counts >= sum(map(bool, times)):
            try:
                on = on_the_beat(tempo, beats, counts)
            except Invalid as problem:
                yield f"{tempo} at {beats}, {counts}: {problem}"
                continue
            yield f"{tempo} at {beats}, {counts}: {on} {on.rep_ms}"
            for reps in (5, 8, 12):
                bout: Any = SimpleNamespace(rep_ms=on.rep_ms, reps=reps)
                yield f"  {reps}: {plain(into_phrase(bout, beats))} {reps_by_phrase(bout, beats)}"


def sums() -> Parts:
    yield "values/sums", (*fatigue_lines(), *question_lines(), *music_lines())


def ladders() -> Parts:
    yield "values/ladders", (*ladder_lines(), *spoilt_move_lines(), *measure_lines(), *group_lines())
