"""A rung in motion: its phases are its tempo, its bones keep their length, and what stands in the room stays there."""

import json
import math
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from everyrung.body.mechanics import DRAWN, Job
from everyrung.body.rung_motion import rung_motion
from everyrung.moves.lever_words import read_lever
from everyrung.moves.library import standard_library
from everyrung.publish.figure.frames import rung_frames
from everyrung.store.cache import Cache
from everyrung.terms.enums import MoveKind, Side
from everyrung.terms.errors import Invalid
from everyrung.terms.move import Rung
from everyrung.terms.units import Load, Mass, MassUnit

LIBRARY = standard_library()
BONES = (
    "knee ankle", "shoulder elbow", "elbow wrist", "ankle heel", "heel ball_inner", "heel heel_back",
)  # fmt: skip
MIDDLE_BONES = ("neck head", "head head_top", "thoracic neck", "pelvis hip_left", "pelvis hip_right")
ROUNDED_MM = 1.0
KNEE_MM = 3.0  # the knee is no hinge: the shin's end glides on the thigh bone, up to 3 mm at these depths


def rung(address: str) -> Rung:
    return LIBRARY.rung(*address.split("/"))


def frames(address: str, **given: Any) -> dict[str, Any]:
    return rung_frames(rung(address), LIBRARY, **given)


def spread_mm(motion: dict[str, Any], start: str, end: str) -> float:
    """How much the way between two points changes over the frames."""
    found = [math.dist(frame["points"][start], frame["points"][end]) for frame in motion["frames"]]
    return (max(found) - min(found)) * 1000


def check_tempo(one: Rung, motion: dict[str, Any]) -> None:
    assert sum(phase["ms"] for phase in motion["phases"]) == motion["loop_ms"] == one.form.rep_ms
    times = [frame["at_ms"] for frame in motion["frames"]]
    assert times[0] == 0
    assert times[-1] == motion["loop_ms"]
    assert all(before < after for before, after in pairwise(times))
    first, last = ({**motion["frames"][at], "at_ms": 0} for at in (0, -1))
    assert first == last


def check_bones(motion: dict[str, Any]) -> None:
    for bone in BONES:
        for side in ("left", "right"):
            assert spread_mm(motion, *(f"{end}_{side}" for end in bone.split())) <= ROUNDED_MM, bone
    for bone in MIDDLE_BONES:
        assert spread_mm(motion, *bone.split()) <= ROUNDED_MM, bone
    for side in ("left", "right"):
        assert spread_mm(motion, f"hip_{side}", f"knee_{side}") <= KNEE_MM


def check_numbers(motion: dict[str, Any]) -> None:
    """Every frame has a middle for every blob that a radius is told of, and the text is strict JSON."""
    blobs = sum(len(piece["radii"]) for piece in motion["pieces"])
    assert {len(frame["flesh"]) for frame in motion["frames"]} == {3 * blobs}
    assert (
        len({str([(thing["kind"], len(thing["shapes"])) for thing in frame["things"]]) for frame in motion["frames"]})
        == 1
    )
    json.dumps(motion, allow_nan=False)


@pytest.mark.parametrize(
    "address",
    ["squat/base", "ball-leg-curl/base", "push-up/pulse", "split-squat/pair", "bridge/pause", "one-leg-hinge/base"],
)
def test_phases_are_the_tempo_and_bones_keep_their_length(address: str) -> None:
    motion = frames(address)
    check_tempo(rung(address), motion)
    check_bones(motion)
    check_numbers(motion)


def test_phases_come_in_the_order_of_time_whichever_end_the_move_rests_at() -> None:
    assert frames("squat/pause")["phases"] == [
        {"name": "sit", "ms": 2000}, {"name": "low", "ms": 3000}, {"name": "stand", "ms": 2000},
    ]  # fmt: skip
    assert frames("bridge/pause")["phases"] == [
        {"name": "lift", "ms": 2000}, {"name": "hold the line", "ms": 4000}, {"name": "roll down", "ms": 2000},
    ]  # fmt: skip


def test_a_pause_is_still_and_a_pulse_bends() -> None:
    paused = {frame["at_ms"]: frame["points"] for frame in frames("squat/pause")["frames"]}
    assert paused[2000] == paused[5000]
    assert not [at for at in paused if 2000 < at < 5000]
    pulsed = {frame["at_ms"]: frame["points"] for frame in frames("push-up/pulse")["frames"]}
    assert pulsed[2000] == pulsed[2500] == pulsed[3500]
    assert pulsed[2250]["neck"][2] > pulsed[2000]["neck"][2] + 0.005


def test_a_bridge_pulses_in_the_picture_when_and_where_it_does_on_the_clock() -> None:
    """The clock's phases by hand: 2 s up, 1 s held, two pulses of half a second at the top, 2 s down."""
    made = LIBRARY.custom_rung("bridge", "base", (read_lever({"pulse": 2}),))
    motion = rung_frames(made, LIBRARY)
    assert [(name, ms) for name, ms in made.form.in_time(made.form.tempo) if ms] == [
        ("lift", 2000), ("hold the line", 2000), ("roll down", 2000),
    ]  # fmt: skip
    names = [phase["name"] for phase in motion["phases"]]
    assert names == ["lift", "hold the line", "pulses", "roll down"]
    high = {frame["at_ms"]: frame["points"]["pelvis"][2] for frame in motion["frames"]}
    assert high[2000] == high[3000] == high[3500] == max(high.values())
    assert high[0] < high[3250] < high[3000] - 0.005


@pytest.mark.parametrize(("word", "steps"), [("leg lift", 1), ("floor tap", 3)])
def test_an_extra_is_in_the_picture_after_the_full_depth(word: str, steps: int) -> None:
    made = LIBRARY.custom_rung("ball-leg-curl", "base", (read_lever({"extra": word}),))
    motion = rung_frames(made, LIBRARY)
    check_tempo(made, motion)
    check_bones(motion)
    check_numbers(motion)
    phases = {phase["name"]: phase["ms"] for phase in motion["phases"]}
    assert phases[word] == made.form.extra_ms
    assert len(motion["stops_ms"]) == 2 * steps
    points = {frame["at_ms"]: frame["points"] for frame in motion["frames"]}
    begins, end = 3000, motion["stops_ms"][steps - 1]
    assert points[begins] == points[begins + made.form.extra_ms], "the same way back"
    heels = [points[end][f"heel_{side}"][2] - points[begins][f"heel_{side}"][2] for side in ("left", "right")]
    if word == "leg lift":
        assert heels[0] == pytest.approx(0.0, abs=0.005), "the other heel bears the weight"
        assert heels[1] > 0.1
    else:
        assert all(points[end][f"heel_back_{side}"][2] < 0.03 for side in ("left", "right"))
    balls = [thing["at"] for frame in motion["frames"] for thing in frame["things"] if frame["at_ms"] in (begins, end)]
    assert balls[0] == balls[1], "the ball lies where it was"


def test_the_way_down_is_solved_and_no_blend_of_its_ends() -> None:
    motion = frames("squat/base")
    at_ms = {frame["at_ms"]: frame for frame in motion["frames"]}
    rest, full = (at_ms[ms]["points"] for ms in (0, 2000))
    half = at_ms[1000]
    blend = {name: [(a + b) / 2 for a, b in zip(rest[name], full[name], strict=True)] for name in rest}
    assert math.dist(half["points"]["knee_left"], blend["knee_left"]) > 0.01
    shin = math.dist(blend["knee_left"], blend["ankle_left"])
    assert abs(shin - math.dist(rest["knee_left"], rest["ankle_left"])) > 0.002


def test_a_hold_has_one_pose_and_no_loop() -> None:
    motion = frames("side-plank/base")
    assert len(motion["frames"]) == 1
    assert motion["loop_ms"] == motion["full_ms"] == 0
    assert motion["phases"] == [{"name": "long side", "ms": 0}]
    assert "held still" in motion["said"]


def test_a_one_sided_rung_works_on_the_side_that_is_asked_for() -> None:
    right, left = (frames("split-squat/base", working=side) for side in (Side.RIGHT, Side.LEFT))
    for frame, other in zip(right["frames"], left["frames"], strict=True):
        one, two = frame["points"], other["points"]
        assert one["ankle_right"][1] < one["ankle_left"][1] - 0.3  # the working foot is in front: -y
        assert two["ankle_left"][1] < two["ankle_right"][1] - 0.3
        assert one["pelvis"][2] == pytest.approx(two["pelvis"][2], abs=0.002)


def test_what_stands_in_the_room_stays_and_what_is_held_moves() -> None:
    sits = frames("chair-stand/base")
    assert [thing["kind"] for thing in sits["room"]] == ["floor", "chair"]
    assert not any(frame["things"] for frame in sits["frames"])
    chair, seated = sits["room"][1], sits["frames"][8]["points"]
    assert abs(chair["at"][1] - seated["pelvis"][1]) < 0.2  # she comes to the chair, and not the chair to her
    rolls = frames("ball-leg-curl/base")
    balls = [frame["things"][0] for frame in rolls["frames"]]
    assert {ball["kind"] for ball in balls} == {"ball"}
    assert abs(balls[8]["at"][1] - balls[0]["at"][1]) > 0.2
    assert {ball["size_m"] for ball in balls} == {balls[0]["size_m"]}
    pair = frames("split-squat/pair")["frames"][0]
    assert [thing["kind"] for thing in pair["things"]] == ["dumbbell", "dumbbell"]
    for thing, side in zip(pair["things"], ("left", "right"), strict=True):
        middle = [(a + b) / 2 for a, b in zip(thing["at"], thing["to"], strict=True)]
        assert math.dist(middle, pair["points"][f"grip_{side}"]) < 0.01


def test_the_floor_reaches_under_everything_that_touches_it() -> None:
    motion = frames("ball-leg-curl/base")
    xs, ys = ({corner[axis] for corner in motion["floor"]} for axis in (0, 1))
    for frame in motion["frames"]:
        for x, y, _ in (frame["things"][0]["at"], frame["points"]["head"]):
            assert min(xs) < x < max(xs)
            assert min(ys) < y < max(ys)


def test_a_limb_is_near_or_far_for_the_whole_motion() -> None:
    def far(address: str) -> set[str]:
        return {piece["layer"] for piece in frames(address)["pieces"] if piece["far"]}

    assert far("split-squat/base") == {"leg_left", "arm_left"}
    assert far("wide-squat/base") == set()  # seen from the front


def test_a_listener_is_told_what_and_how_fast() -> None:
    assert frames("squat/base")["said"] == "Squat, seen from the side: sit 2 s, stand 2 s."


def test_the_cache_gives_what_was_computed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    cache = Cache(tmp_path / "computed.sqlite")
    first = frames("split-squat/pair", cache=cache)

    def never(*_given: Any, **_named: Any) -> None:
        raise AssertionError("computed again")

    monkeypatch.setattr("everyrung.body.rung_motion.solve_depths", never)
    assert frames("split-squat/pair", cache=cache) == first
    for other in ({"working": Side.LEFT}, {"load": Load(pieces=(Mass(amount=20.0, unit=MassUnit.KG),) * 2)}):
        with pytest.raises(AssertionError, match="computed again"):
            frames("split-squat/pair", cache=cache, **other)


def test_a_spoilt_entry_is_computed_again(tmp_path: Path) -> None:
    cache, one = Cache(tmp_path / "computed.sqlite"), rung("squat/base")
    job = Job(form=one.form, layer=LIBRARY.pose(one.form), size=DRAWN)
    cache.put_many({job.key(f"motion {Side.RIGHT}"): '{"poses": "nonsense"}'})
    assert rung_motion(job, cache) == rung_motion(job)


def test_a_counted_rung_that_says_not_where_it_rests_is_told_in_words() -> None:
    one = rung("squat/base")
    job = Job(form=one.form, layer=LIBRARY.pose(rung("side-plank/base").form), size=DRAWN)
    with pytest.raises(Invalid, match=r"pose\.rests"):
        rung_motion(job)


@pytest.mark.slow
def test_every_strength_rung_of_the_library_moves() -> None:
    seen = 0
    for key in LIBRARY.keys:
        move = LIBRARY.move(key)
        for one in move.versions if move.kind is MoveKind.STRENGTH else ():
            motion = rung_frames(one, LIBRARY)
            if not one.form.tempo.is_hold:
                check_tempo(one, motion)
            check_bones(motion)
            check_numbers(motion)
            seen += 1
    assert seen > 150
