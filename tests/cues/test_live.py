"""Sessions that people follow live online (case H34): looks at the screen, thumb checks, and what they may displace.

That a leader over a link neither sees nor hears people unless there is time for it: common practice, no source.
"""

from collections import Counter
from functools import cache
from pathlib import Path

import pytest

from everyrung.checks.rules.live import live_look, live_thumbs, look_head_down
from everyrung.cues.candidates import LOOK_MS, WORTH
from everyrung.cues.tracks import cue_tracks
from everyrung.cues.version_words import version_wordings
from everyrung.moves.gaze import faces_away, head_up
from everyrung.moves.library import standard_library
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.plan.write import write_plan
from everyrung.terms.enums import BlockKind, CueKind
from everyrung.terms.errors import Faults
from everyrung.terms.session import Session
from everyrung.terms.timeline import CueTrack, Timeline, Track
from everyrung.timing.timeline import build_timeline

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = sorted(path.stem for path in EXAMPLES.glob("*.toml") if path.stem != "faulty")
# What nobody may miss for it: all that is worth more.
MUST = [kind for kind in CueKind if WORTH[kind] > WORTH[CueKind.THUMBS] and kind is not CueKind.SAFETY]


@cache
def led(name: str, live: bool) -> tuple[Session, Timeline, dict[Track, CueTrack]]:
    text = (EXAMPLES / f"{name}.toml").read_text(encoding="utf-8")
    who = "[who]" if "\nat_home" in text else "[who]\nat_home = 6"
    session = resolve(
        plan_from_text(text.replace("[who]", f"{who}\nlive = true" if live else who, 1), name), standard_library()
    )
    timeline = build_timeline(session)
    return session, timeline, {track.track: track for track, _ in cue_tracks(session, timeline)}


@pytest.mark.parametrize("name", NAMES)
def test_nobody_is_looked_at_while_the_leaders_head_is_down(name: str) -> None:
    session, _, tracks = led(name, True)
    cells, library = {cell.ref: cell for cell in session.cells}, standard_library()
    looks = [cue for track in tracks.values() for cue in track.said if cue.kind is CueKind.LOOK]
    assert looks
    for cue in looks:
        rung = cells[cue.ref].rung
        assert head_up(rung, library.pose(rung.form)), cue


@pytest.mark.parametrize("name", NAMES)
def test_after_its_words_there_is_time_to_look(name: str) -> None:
    _session, _timeline, tracks = led(name, True)
    for track in tracks.values():
        for cue in track.said:
            assert not cue.kind.is_live or cue.end_ms - cue.at_ms >= LOOK_MS + 400


@pytest.mark.parametrize("name", NAMES)
def test_a_thumb_check_takes_no_time_from_what_keeps_people_together(name: str) -> None:
    """Changes, kit, place, side, versions and counts: as many as without it, on both tracks."""
    for track in Track:
        plain, live = led(name, False)[2][track], led(name, True)[2][track]
        for kind in MUST:
            before, after = (
                Counter((str(cue.ref), cue.rungs) for cue in each.said if cue.kind is kind and is_must(cue.text))
                for each in (plain, live)
            )
            assert before == after, kind


def is_must(text: str) -> bool:
    """Harder versions, and the questions that decide, may wait (cues/before_set.py)."""
    harder = tuple(each.strip() for each in version_wordings("Harder: "))
    return not text.endswith("?") and not text.startswith(harder)


def test_each_round_has_a_thumb_check_or_a_finding_that_says_where_it_is_missing() -> None:
    checks = rounds = 0
    for name in NAMES:
        session, _, tracks = led(name, True)
        track = tracks[Track.FIRST]
        there = {(cue.ref.block, cue.ref.round) for cue in track.said if cue.kind is CueKind.THUMBS}
        every = [(cell.ref.block, cell.ref.round) for cell in session.cells_of(BlockKind.MAIN)]
        missing = {finding.places[0].round for finding in live_thumbs(session, list(tracks.values()))}
        assert {round_name for _, round_name in set(every) - there} == missing, name
        checks, rounds = checks + len(there), rounds + len(set(every))
    assert checks >= 0.9 * rounds


@pytest.mark.parametrize("name", NAMES)
def test_a_session_that_nobody_follows_live_has_none_of_it(name: str) -> None:
    session, _, tracks = led(name, False)
    assert not [cue for track in tracks.values() for cue in track.said if cue.kind.is_live]
    every = list(tracks.values())
    assert not [*live_thumbs(session, every), *live_look(session, every)]


def test_a_recording_leaves_out_what_is_said_to_people_who_are_seen_just_then() -> None:
    track = led("seated-30", True)[2][Track.FIRST]
    left = set(track.said) - set(track.for_recording.said)
    assert left
    assert {cue.kind for cue in left} == {CueKind.LOOK, CueKind.THUMBS}


def test_live_stands_in_the_plan_and_is_written_back() -> None:
    text = (EXAMPLES / "boathouse-30.toml").read_text(encoding="utf-8").replace("[who]", "[who]\nlive = true")
    plan = plan_from_text(text, "live.toml")
    assert plan.who.live
    assert plan_from_text(write_plan(plan), "again.toml").who == plan.who


def test_live_without_anybody_at_home_is_refused_with_what_to_do() -> None:
    text = (EXAMPLES / "boathouse-30.toml").read_text(encoding="utf-8")
    text = text.replace("[who]", "[who]\nlive = true").replace("at_home = 9", "at_home = 0")
    with pytest.raises(Faults) as caught:
        plan_from_text(text, "live.toml")
    assert "people at home" in str(caught.value)


LOOKED = 'cues = ["Look at the screen: back flat."]'


@pytest.mark.parametrize(("move", "is_warned"), [("push-up", True), ("squat", False)])
def test_words_that_ask_to_look_are_found_where_the_head_is_down(move: str, is_warned: bool) -> None:
    text = f"""
title = "Looked at"
slot_minutes = 20
[who]
in_room = 6
[[block]]
kind = "main"
  [[block.move]]
  move = "{move}"
  dose = "10 reps"
  {LOOKED}
"""
    session = resolve(plan_from_text(text, "looked.toml"), standard_library())
    findings = list(look_head_down(session, build_timeline(session)))
    assert bool(findings) is is_warned
    assert all("Look at the screen" in each.measured for each in findings)


# Facts of the positions: who lies, or is on the hands, looks at ceiling or floor; who stands upright looks ahead.
@pytest.mark.parametrize(
    ("address", "is_up"),
    [("squat/base", True), ("overhead-press/base", True), ("hip-hinge/base", False), ("bent-row/base", False),
     ("front-plank/base", False), ("bridge/base", False), ("push-up/wall", False), ("seated-row/base", True)],
)  # fmt: skip
def test_where_the_head_is(address: str, is_up: bool) -> None:
    library = standard_library()
    rung = library.rung(*address.split("/"))
    assert head_up(rung, library.pose(rung.form)) is is_up
    assert not (is_up and faces_away(rung))
