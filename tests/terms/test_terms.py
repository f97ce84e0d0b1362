"""Terms refuse what cannot be, at the moment they are made."""

from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from importlib import import_module
from pathlib import Path

import pytest

import everyrung.terms
from everyrung.moves.library import standard_library
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.tables.clock import standard_clock
from everyrung.terms import lever as levers
from everyrung.terms.enums import BandGrade, CueKind, KitItem, LoadNeed, Severity, Sidedness
from everyrung.terms.errors import Invalid, Where
from everyrung.terms.finding import Finding, WholeSession
from everyrung.terms.move import Cue, KitNeed
from everyrung.terms.plan import Ref, Stock, Who
from everyrung.terms.session import Block, Bout, Cell, Session
from everyrung.terms.units import Dose, Load, Mass, MassUnit, Tempo
from everyrung.timing.timeline import build_timeline

PLAN = """\
title = "Evening"
slot_minutes = 20
[who]
in_room = 8
[[block]]
kind = "main"
[[block.move]]
move = "split-squat"
"""
WHERE = Where(file="x", line=1, field="y")
POUNDS = Mass(amount=10, unit=MassUnit.LB)


def session() -> Session:
    return resolve(plan_from_text(PLAN, "evening.toml"), standard_library())


def bout(**changes: object) -> Bout:
    return replace(next(session().cells).bouts[0], **changes)  # type: ignore[arg-type]


def cell(**changes: object) -> Cell:
    return replace(next(session().cells), **changes)  # type: ignore[arg-type]


def block(**changes: object) -> Block:
    return replace(session().blocks[0], **changes)  # type: ignore[arg-type]


def finding(**changes: object) -> Finding:
    made = Finding(
        rule="r", severity=Severity.NOTE, where=WHERE, places=(WholeSession(),),
        measured="m", limit="l", source="s", remedy="r",
    )  # fmt: skip
    return replace(made, **changes)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "make",
    [
        lambda: Mass(amount=0, unit=MassUnit.KG),
        lambda: Mass(amount=500, unit=MassUnit.LB),
        lambda: Load(),
        lambda: Load(pieces=(POUNDS,), band=BandGrade.LIGHT),
        lambda: Load(pieces=(POUNDS,) * 3),
        lambda: Tempo(lower_ms=-1, bottom_ms=0, rise_ms=1000, top_ms=0),
        lambda: Tempo(lower_ms=1000.5, bottom_ms=0, rise_ms=1000, top_ms=0),  # type: ignore[arg-type]
        lambda: Tempo(lower_ms=0, bottom_ms=1000, rise_ms=0, top_ms=0),
        lambda: Dose(),
        lambda: Dose(reps=5, duration_ms=5000),
        lambda: Dose(reps=0),
        lambda: Dose(reps=5, per="x"),  # type: ignore[arg-type]
        lambda: levers.Range(share=3),
        lambda: levers.Pause(pause_ms=1),
        lambda: levers.Reps(added=0),
        lambda: levers.Base(),
        lambda: levers.Unilateral(sides=Sidedness.BOTH),
        lambda: levers.Pulse(count=0),
        lambda: levers.Swap(move=""),
        lambda: levers.LoadChange(need=LoadNeed.NONE, amount=Load(pieces=(POUNDS,))),
        lambda: levers.LoadChange(need=LoadNeed.PAIR, amount=Load(pieces=(POUNDS,))),
        lambda: levers.LoadChange(need=LoadNeed.ONE, band=BandGrade.LIGHT),
        lambda: Cue(kind=CueKind.FORM, text=" "),
        lambda: KitNeed(item=KitItem.BALL, pieces=-2),
        lambda: replace(standard_library().rung("squat", "base"), grade=6),
        lambda: replace(standard_library().move("squat").base, phases=("down", "up")),
        lambda: replace(standard_library().move("squat").base, range_share=9.0),
        lambda: Who(),
        lambda: Who(in_room=-5, at_home=6),
        lambda: Stock(item=KitItem.MAT, count=-1, each=1),
        lambda: Stock(item=KitItem.MAT),
        lambda: Stock(item=KitItem.BALL, count=1, diameter_cm=-4, rated_kg=100),
        lambda: Stock(item=KitItem.BALL, count=1),
        lambda: Stock(item=KitItem.DUMBBELLS, count=1),
        lambda: Ref(block=""),
        lambda: Ref(block="Main", cell="lunge"),
        lambda: replace(plan_from_text(PLAN, "x"), slot_ms=-1),
        lambda: replace(plan_from_text(PLAN, "x"), blocks=()),
        lambda: replace(standard_clock(), settle_ms=-1),
        lambda: replace(standard_clock(), talk_wpm=0),
        lambda: bout(reps=-3),
        lambda: bout(duration_ms=-5),
        lambda: bout(load=Load(pieces=(POUNDS,))),
        lambda: bout(reps=500),
        lambda: cell(bouts=()),
        lambda: cell(rest_ms=-1),
        lambda: block(talk_ms=-1),
        lambda: finding(severity="nonsense"),
        lambda: finding(source=""),
        lambda: replace(build_timeline(session()), spans=build_timeline(session()).spans[1:]),
    ],
)
def test_what_cannot_be_is_refused_with_the_field(make: Callable[[], object]) -> None:
    with pytest.raises(Invalid) as caught:
        make()
    assert caught.value.field
    assert caught.value.expected


def test_every_term_is_frozen_slotted_and_named_by_keyword() -> None:
    folder = Path(everyrung.terms.__file__).parent
    modules = [import_module(f"everyrung.terms.{path.stem}") for path in folder.glob("*.py") if path.stem != "__init__"]
    found = [
        term
        for module in modules
        for term in vars(module).values()
        if isinstance(term, type) and is_dataclass(term) and term.__module__ == module.__name__
    ]
    assert len(found) > 30
    for term in found:
        parameters = term.__dataclass_params__  # type: ignore[attr-defined]
        assert parameters.frozen, term
        assert "__slots__" in vars(term), term
        assert all(each.kw_only for each in fields(term)), term
