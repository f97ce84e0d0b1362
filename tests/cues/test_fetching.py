"""Who lies takes what is within reach, and gets up for what stands away. Common practice, no source: weights lie beside
the mat, a chair stands at the edge of the room.
"""

import pytest

from everyrung.cues.cell_timing import cell_timings
from everyrung.cues.tracks import cue_tracks
from everyrung.moves.library import standard_library
from everyrung.pipeline import run_plan
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.terms.enums import CueKind, SpanKind
from everyrung.timing.timeline import build_timeline

PLAN = """title = "Fetching"
slot_minutes = 20
[who]
in_room = 4
[[kit]]
item = "dumbbells"
mass = "5 kg"
as = "pairs"
each = 1
[[kit]]
item = "chair"
each = 1
[[kit]]
item = "mat"
each = 1
[[block]]
kind = "main"
  [[block.move]]
  move = "{first}"
  dose = "8 reps"
  [[block.move]]
  move = "{move}"
  rung = "{rung}"
  dose = "{dose}"
"""


@pytest.mark.parametrize(
    ("first", "move", "rung", "dose", "words"),
    [
        ("bridge", "floor-press", "pair", "8 reps", ["Reach for two dumbbells, 5 kg each."]),
        ("bridge", "push-up", "knees-chair", "8 reps", ["Stand up.", "Fetch the chair.", "Down on hands and knees."]),
        ("bridge", "seated-hinge", "base", "8 reps", ["Stand up.", "Fetch the chair.", "Sit down on the chair."]),
        ("bridge", "squat", "shoulders-slow", "8 reps", ["Stand up.", "Take two dumbbells, 5 kg each."]),
    ],
)
def test_nobody_fetches_anything_lying_down(first: str, move: str, rung: str, dose: str, words: list[str]) -> None:
    text = PLAN.format(first=first, move=move, rung=rung, dose=dose)
    found = run_plan(plan_from_text(text, "fetching.toml"))
    second = list(found.session.cells)[1].ref
    for track, _ in cue_tracks(found.session, found.timeline):
        said = [cue.text for cue in track.said if cue.ref == second and cue.kind in (CueKind.KIT, CueKind.PLACE)]
        assert said == words


def test_who_gets_up_for_a_chair_is_given_the_time() -> None:
    text = PLAN.format(first="bridge", move="push-up", rung="knees-chair", dose="8 reps")
    session = resolve(plan_from_text(text, "fetching.toml"), standard_library())
    timeline, clock = build_timeline(session), session.clock
    visit = cell_timings(timeline, clock)[1]
    spans = [span for span in timeline.spans if visit.before_ms <= span.at_ms < visit.work[0].at_ms]
    ways = [(span.kind, span.duration_ms) for span in spans if span.kind in (SpanKind.FLOOR, SpanKind.KIT)]
    assert ways == [
        (SpanKind.FLOOR, clock.up_from_floor_ms),
        (SpanKind.KIT, clock.chair_ms),
        (SpanKind.FLOOR, clock.down_to_floor_ms),
    ]
