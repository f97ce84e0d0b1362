"""Where somebody reads lips nothing is said while the leader's face is down or turned; all is said before."""

from dataclasses import replace
from pathlib import Path

import pytest

from everyrung import load_plan
from everyrung.cues.tracks import cue_tracks
from everyrung.moves.gaze import head_up
from everyrung.moves.library import standard_library
from everyrung.plan.resolve import resolve
from everyrung.terms.enums import CueKind, SpanKind, View
from everyrung.terms.session import Cell, Session
from everyrung.terms.timeline import CueTrack, Timeline
from everyrung.timing.timeline import build_timeline

LIBRARY = standard_library()
FOLDER = Path(__file__).parents[2] / "examples"
EXAMPLES = sorted(path.stem for path in FOLDER.glob("*-[0-9][0-9].toml"))
QUICK = ("boathouse-30", "seated-30")


def session_of(name: str, view: View = View.FACING, *, lip_readers: bool = True) -> tuple[Session, Timeline]:
    plan = load_plan(FOLDER / f"{name}.toml")
    plan = replace(plan, view=view, who=replace(plan.who, lip_readers=lip_readers))
    session = resolve(plan, LIBRARY)
    return session, build_timeline(session)


def is_seen(session: Session, cell: Cell) -> bool:
    """Upright, by the pose of the rung; and not with the back to people."""
    return session.view is not View.BACK_TURNED and head_up(cell.rung, LIBRARY.pose(cell.rung.form))


def hidden_words(session: Session, timeline: Timeline, track: CueTrack) -> list[str]:
    """What is said while the leader works, or gets into position for it, with the face down or turned."""
    away = [span for span in timeline.spans if span.cell and span.bout and not is_seen(session, span.cell)]
    return [
        f"{cue.text} at {cue.at_ms}"
        for cue in track.said
        if any(cue.at_ms < span.end_ms and span.at_ms < cue.end_ms for span in away)
    ]


@pytest.mark.parametrize(
    "name", [each if each in QUICK else pytest.param(each, marks=pytest.mark.slow) for each in EXAMPLES]
)
@pytest.mark.parametrize("view", [View.FACING, View.BACK_TURNED])
def test_nothing_is_said_while_the_face_is_down_or_turned(name: str, view: View) -> None:
    session, timeline = session_of(name, view)
    for track, _ in cue_tracks(session, timeline, library=LIBRARY):
        assert hidden_words(session, timeline, track) == []


def test_without_lip_readers_words_are_said_there() -> None:
    session, timeline = session_of("boathouse-30", lip_readers=False)
    (first, _), _ = cue_tracks(session, timeline, library=LIBRARY)
    assert len(hidden_words(session, timeline, first)) > 10


def test_every_set_is_still_named_before_it_and_each_change_of_sides_is_said_between_the_two() -> None:
    session, timeline = session_of("boathouse-30")
    (first, _), _ = cue_tracks(session, timeline, library=LIBRARY)
    named = {cue.ref for cue in first.said if cue.kind is CueKind.CHANGE}
    assert named >= {cell.ref for cell in session.cells}
    for at, span in enumerate(timeline.spans):
        if span.kind is SpanKind.SWITCH and span.cell and not is_seen(session, span.cell):
            until = next(each.at_ms for each in timeline.spans[at:] if each.bout)
            said = [cue for cue in first.said if span.at_ms <= cue.at_ms and cue.end_ms <= until]
            assert said, f"no word for {span.text} at {span.at_ms}"


def test_while_the_face_is_up_as_much_is_said_as_ever() -> None:
    """A seated session with the face up all through: word for word the same script."""
    scripts = []
    for lip_readers in (False, True):
        session, timeline = session_of("seated-30", lip_readers=lip_readers)
        up = {cell.ref for cell in session.cells if is_seen(session, cell)}
        (first, _), _ = cue_tracks(session, timeline, library=LIBRARY)
        scripts.append({(cue.kind, cue.ref) for cue in first.said if cue.ref in up and cue.kind is CueKind.FORM})
    assert len(scripts[0]) > 5
    assert scripts[1] >= scripts[0]
