"""What is drawn in the hands is what the plan's kit says: a kettlebell where one is taken for the dumbbell."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from everyrung.body.mechanics import session_drawings
from everyrung.moves.library import standard_library
from everyrung.pipeline import run
from everyrung.publish.figure.frames import rung_frames
from everyrung.publish.figure.implement import drawing_with_kit, with_bell
from everyrung.publish.figure.rung import rep_svg, rung_svg
from everyrung.store.cache import default_cache
from everyrung.terms.demand import RungDrawing
from everyrung.terms.figure import PropKind
from everyrung.terms.move import Form, Rung
from everyrung.terms.session import Session
from everyrung.terms.units import Load

EXAMPLES = Path(__file__).parents[2] / "examples"
HANDLE_M = 0.24  # of a dumbbell, as publish/figure/props.py draws it


@pytest.fixture(scope="module")
def session() -> Session:
    """A plan that lists a kettlebell and no dumbbell."""
    return run(EXAMPLES / "one-kettlebell-45.toml").session


@pytest.fixture(scope="module")
def drawings(session: Session) -> Mapping[Form, RungDrawing]:
    return session_drawings(session, standard_library(), default_cache())


def loads_of(session: Session) -> list[tuple[Rung, Load | None]]:
    return [(cell.rung, cell.bouts[0].load) for cell in session.cells if cell.bouts[0].load]


def kinds(drawing: RungDrawing) -> set[str]:
    poses = [pose for pose in (drawing.rest, drawing.full, drawing.extra) if pose]
    return {str(thing.kind) for pose in poses for thing in pose.things} & {"dumbbell", "kettlebell"}


def test_every_load_of_a_kettlebell_plan_is_drawn_as_one(
    session: Session, drawings: Mapping[Form, RungDrawing]
) -> None:
    """Its bent-over row was shown with a dumbbell (a finding of 1 December 2026)."""
    rows = [rung for rung, _ in loads_of(session) if "row" in rung.name]
    assert rows
    assert all(kinds(drawings[rung.form]) == {"dumbbell"} for rung in rows)  # as it is solved
    for rung, _ in loads_of(session):
        drawing = drawings[rung.form]
        assert kinds(drawing_with_kit(rung, drawing)) == {"kettlebell"}
        if kinds(drawing) == {"dumbbell"}:
            assert with_bell(rung)
            bells = drawing_with_kit(rung, drawing)
            assert rung_svg(rung, drawing) == rung_svg(rung, bells)
            assert rep_svg(rung, drawing) == rep_svg(rung, bells)


def test_a_moving_figure_holds_it_too(session: Session) -> None:
    rung, load = next((rung, load) for rung, load in loads_of(session) if "row" in rung.name)
    frames: dict[str, Any] = rung_frames(rung, standard_library(), default_cache(), load=load)
    shown = {thing["kind"] for frame in frames["frames"] for thing in frame["things"]}
    assert shown == {"kettlebell"}


def test_the_bell_hangs_where_the_dumbbell_was(session: Session, drawings: Mapping[Form, RungDrawing]) -> None:
    for rung, _ in loads_of(session):
        before, after = drawings[rung.form].full, drawing_with_kit(rung, drawings[rung.form]).full
        for old, new in zip(before.things, after.things, strict=True):
            if old.kind == PropKind.DUMBBELL:
                assert old.to is not None
                assert new.to is not None
                middle = [(one + other) / 2 for one, other in zip(old.at, old.to, strict=True)]
                assert all(abs(one - other) < HANDLE_M for one, other in zip(middle, new.at, strict=True))
                assert new.to[2] < middle[2] + HANDLE_M


def test_a_dumbbell_stays_one_where_the_plan_has_it() -> None:
    session = run(EXAMPLES / "one-dumbbell-30.toml").session
    assert not [rung.name for rung, _ in loads_of(session) if with_bell(rung)]
