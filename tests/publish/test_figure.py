"""The line figure as SVG. Checks read the drawn coordinates back and hold them against the pose's own joints."""

import importlib.util
import re
import xml.etree.ElementTree as ET
from math import cos, hypot, radians
from pathlib import Path
from typing import Any

import pytest

from everyrung.publish.figure.draw import MAX_POSES, Picture, Pose, figure_svg, sequence_svg
from everyrung.publish.figure.geometry import FRONT, ROUND, SIDE, THREE_QUARTER, View, blob, outline
from everyrung.terms.errors import Invalid
from everyrung.terms.figure import Prop, PropKind, Skeleton

SPEC = importlib.util.spec_from_file_location("figure_poses", Path(__file__).with_name("figure_poses.py"))
assert SPEC is not None
assert SPEC.loader is not None
poses = importlib.util.module_from_spec(SPEC)
SPEC.loader.exec_module(poses)

VIEWS = {"side": SIDE, "front": FRONT, "three-quarter": THREE_QUARTER}
JOINTS = {"thigh": ("hip", "knee"), "shank": ("knee", "ankle"), "upper_arm": ("shoulder", "elbow")}
SLACK_MM = 0.8  # chosen, because far limbs are slimmer than the flesh round heel and fingertip
JOINTS |= {"forearm": ("elbow", "wrist"), "hand": ("wrist", "fingertip"), "foot": ("heel", "ball_outer")}


def picture(view: View = SIDE, height_mm: float = 60.0) -> Picture:
    return Picture(title="A pose", description="For a test.", view=view, height_mm=height_mm)


def points_of(element: ET.Element) -> list[tuple[float, float]]:
    numbers = [float(found) for found in re.findall(r"-?[\d.]+", element.get("d", ""))]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def by_class(svg: str) -> dict[str, list[ET.Element]]:
    found: dict[str, list[ET.Element]] = {}
    for element in ET.fromstring(svg).iter():
        for name in element.get("class", "").split():
            found.setdefault(name, []).append(element)
    return found


def outside_mm(place: tuple[float, float], corners: list[tuple[float, float]]) -> float:
    """How far the place lies beyond the farthest-off edge of a convex outline; negative when within."""
    x, y = place
    after = corners[1:] + corners[:1]
    middle = (sum(x for x, _ in corners) / len(corners), sum(y for _, y in corners) / len(corners))
    found = []
    for (a, b), (c, d) in zip(corners, after, strict=True):
        if (edge := hypot(c - a, d - b)) > 0.05:
            beyond = ((c - a) * (y - b) - (d - b) * (x - a)) / edge
            inner = (c - a) * (middle[1] - b) - (d - b) * (middle[0] - a)
            found.append(-beyond if inner > 0 else beyond)
    return max(found)


def area(corners: list[tuple[float, float]]) -> float:
    after = corners[1:] + corners[:1]
    return abs(sum(x * v - u * y for (x, y), (u, v) in zip(corners, after, strict=True))) / 2


def on_paper(svg: str, body: Skeleton, view: View) -> Any:
    """From the room to mm, fitted on two far outlines' middles: the two knees' own scale is not used."""
    head = by_class(svg)["head"][-1]
    drawn = points_of(head)
    x_mm = (min(x for x, _ in drawn) + max(x for x, _ in drawn)) / 2
    y_mm = (min(y for _, y in drawn) + max(y for _, y in drawn)) / 2
    at = view.flat(body["head"])
    foot = [y for name in ("foot_left", "foot_right") for one in by_class(svg)[name] for _, y in points_of(one)]
    low = max(view.flat(body[f"{name}_{side}"])[1] for name in ("heel", "ball_outer") for side in ("left", "right"))
    scale = (max(foot) - y_mm) / (low - at[1])
    return lambda place: tuple(
        origin + (flat - from_) * scale for origin, flat, from_ in zip((x_mm, y_mm), view.flat(place), at, strict=True)
    )


@pytest.mark.parametrize("view", VIEWS.values(), ids=VIEWS)
@pytest.mark.parametrize("name", ["standing", "half squat", "arms forward", "overhead"])
def test_limbs_lie_between_their_joints(placed_woman: Any, name: str, view: View) -> None:
    """Both joints of every piece, projected by hand, lie in its outline, and it reaches no hand beyond them."""
    body = poses.POSES[name](placed_woman)
    svg = figure_svg(Pose(body=body), picture(view))
    place = on_paper(svg, body, view)
    drawn = by_class(svg)
    above, below = place((0.0, 0.0, 1.0)), place((0.0, 0.0, 0.0))
    mm_per_m = (below[1] - above[1]) / cos(radians(view.above_deg))
    for piece, ends in JOINTS.items():
        for side in ("left", "right"):
            corners = points_of(drawn[f"{piece}_{side}"][-1])
            flats = [place(body[f"{end}_{side}"]) for end in ends]
            apart = hypot(flats[0][0] - flats[1][0], flats[0][1] - flats[1][1])
            far = max(hypot(x - u, y - v) for x, y in corners for u, v in corners)
            assert far < apart + 0.2 * mm_per_m, piece
            for end in ends:
                assert outside_mm(place(body[f"{end}_{side}"]), corners) < SLACK_MM, (piece, side, end)


def test_a_swapped_limb_would_be_seen(placed_woman: Any) -> None:
    """The check above can fail: the other leg's knee is not in this thigh."""
    body = poses.split_kneel(placed_woman)
    svg = figure_svg(Pose(body=body), picture())
    place = on_paper(svg, body, SIDE)
    assert outside_mm(place(body["knee_left"]), points_of(by_class(svg)["thigh_right"][-1])) > 2 * SLACK_MM


def test_near_limbs_are_over_the_trunk_and_far_ones_under(placed_woman: Any) -> None:
    svg = figure_svg(Pose(body=poses.standing(placed_woman)), picture())
    layers = [element.get("class") for element in ET.fromstring(svg).iter() if "layer" in element.get("class", "")]
    at = {str(name).removeprefix("layer "): row for row, name in enumerate(layers)}
    for limb in ("arm", "leg"):
        assert at[f"{limb}_left"] < at["trunk"] < at[f"{limb}_right"]  # seen from the right
    drawn = by_class(svg)
    assert area(points_of(drawn["thigh_left"][-1])) < 0.9 * area(points_of(drawn["thigh_right"][-1]))
    assert drawn["thigh_left"][-1].get("fill") != drawn["thigh_right"][-1].get("fill")


def test_from_the_other_side_near_and_far_change_places(placed_woman: Any) -> None:
    drawn = by_class(figure_svg(Pose(body=poses.standing(placed_woman)), picture(View(azimuth_deg=180))))
    assert "far thigh_right" in [one.get("class") for one in drawn["thigh_right"]]
    assert "ink thigh_left" in [one.get("class") for one in drawn["thigh_left"]]


def test_the_side_view_faces_right_and_the_back_shows_no_face(placed_woman: Any) -> None:
    body = poses.standing(placed_woman)
    drawn = by_class(figure_svg(Pose(body=body), picture()))
    nose = points_of(drawn["mark"][0])
    assert max(x for x, _ in nose) > max(x for x, _ in points_of(drawn["head"][-1]))
    toes = points_of(drawn["toes_right"][-1])
    assert max(x for x, _ in toes) > max(x for x, _ in points_of(drawn["shank_right"][-1]))
    assert len(drawn["eye"]) == 1
    front = by_class(figure_svg(Pose(body=body), picture(FRONT)))
    back = by_class(figure_svg(Pose(body=body), picture(View(azimuth_deg=270))))
    assert len(front["eye"]) == 2
    assert not {"mark", "eye"} & back.keys()
    assert area(points_of(back["hair"][-1])) > 2 * area(points_of(front["hair"][-1]))


def test_the_ghost_is_dashed_and_under_the_figure(placed_woman: Any) -> None:
    body, start = poses.half_squat(placed_woman), poses.standing(placed_woman)
    svg = figure_svg(Pose(body=body, start=start), picture())
    assert svg.index('class="ghost"') < svg.index('class="layer')
    (ghost,) = by_class(svg)["ghost"]
    lined = [one for one in ghost if one.get("stroke")]
    assert lined
    assert all(one.get("stroke-dasharray") for one in lined)
    assert "dasharray" not in figure_svg(Pose(body=body), picture())


SCENES = {
    "seated": lambda placed: poses.seated(placed),
    "wall ball": lambda placed: poses.wall_ball(placed),
    "stepping": lambda placed: poses.stepping(placed),
    "bridge on a mat": lambda placed: (
        poses.bridge(placed),
        (poses.FLOOR, Prop(kind=PropKind.MAT, at=(0, 0, 0), size_m=1.9)),
    ),
    "band": lambda placed: (
        poses.standing(placed),
        (Prop(kind=PropKind.BAND, at=(0.4, -1.0, 0.2), to=(0.2, 0, 0.8), size_m=0.05),),
    ),
    "dumbbells": lambda placed: (
        poses.split_kneel(placed),
        poses.with_dumbbells(poses.split_kneel(placed)),
    ),
}


@pytest.mark.parametrize("height_mm", [20.0, 90.0])
@pytest.mark.parametrize("view", VIEWS.values(), ids=VIEWS)
@pytest.mark.parametrize("scene", SCENES)
def test_nothing_is_outside_the_picture(placed_woman: Any, scene: str, view: View, height_mm: float) -> None:
    body, props = SCENES[scene](placed_woman)
    svg = figure_svg(Pose(body=body, props=props, start=poses.standing(placed_woman)), picture(view, height_mm))
    root = ET.fromstring(svg)
    _, _, width, height = (float(part) for part in root.get("viewBox", "").split())
    assert height <= height_mm + 0.01
    for element in root.iter("{http://www.w3.org/2000/svg}path"):
        half = float(element.get("stroke-width", "0")) / 2 if element.get("stroke") != "#ffffff" else 0.0
        for x, y in points_of(element):
            assert half <= x + 0.02
            assert x + half <= width + 0.02
            assert half <= y + 0.02
            assert y + half <= height + 0.02
    for prop in props:
        assert prop.kind in by_class(svg)


def test_sizes_scale(placed_woman: Any) -> None:
    """Twice the height is the same picture twice as large, strokes too, once they are above the finest."""
    pose = Pose(body=poses.split_kneel(placed_woman), props=(poses.FLOOR,))
    small, large = (by_class(figure_svg(pose, picture(height_mm=height))) for height in (40.0, 80.0))
    for (x, y), (u, v) in zip(points_of(small["shank_right"][-1]), points_of(large["shank_right"][-1]), strict=False):
        assert (2 * x, 2 * y) == pytest.approx((u, v), abs=0.03)
    assert 2 * float(small["line"][0].get("stroke-width", "")) == pytest.approx(
        float(large["line"][0].get("stroke-width", "")), abs=0.03
    )


def test_lines_stay_thick_enough_at_2_cm(placed_woman: Any) -> None:
    """0.25 pt (0.09 mm) is the hairline below which printers' guides warn (common practice, no source)."""
    svg = figure_svg(Pose(body=poses.standing(placed_woman), props=(poses.FLOOR,)), picture(height_mm=20.0))
    assert min(float(found) for found in re.findall(r'stroke-width="([\d.]+)"', svg)) >= 0.09


def test_words_are_escaped_and_told(placed_woman: Any) -> None:
    said = Picture(title='Squat <deep> & "slow"', description="Knees > toes & back")
    root = ET.fromstring(figure_svg(Pose(body=poses.standing(placed_woman), label="a<b>&"), said))
    assert root.get("role") == "img"
    assert [child.text for child in root][:2] == ['Squat <deep> & "slow"', "Knees > toes & back"]
    assert root.get("aria-label") == said.title
    assert "a<b>&" in [element.text for element in root.iter("{http://www.w3.org/2000/svg}text")]


def test_the_same_pose_draws_the_same(placed_woman: Any) -> None:
    pose = Pose(body=poses.bridge(placed_woman), props=(poses.FLOOR,))
    assert figure_svg(pose, picture()) == figure_svg(pose, picture())
    numbers = re.findall(r"\d+\.(\d+)", figure_svg(pose, picture()))
    assert max(len(digits) for digits in numbers) <= 2


def test_a_sequence_keeps_order_floor_and_scale(placed_woman: Any) -> None:
    made = (poses.standing, poses.half_squat, poses.standing)
    row = [Pose(body=make(placed_woman), props=(poses.FLOOR,)) for make in made]
    drawn = by_class(sequence_svg(row, picture()))
    assert len(drawn["pose"]) == 3
    assert len(drawn["arrow"]) == 2
    shanks = [points_of(one) for one in drawn["shank_right"]]
    lefts = [min(x for x, _ in one) for one in shanks]
    assert lefts == sorted(lefts)
    assert area(shanks[0]) == pytest.approx(area(shanks[2]), rel=0.01)
    soles = [max(y for _, y in points_of(one)) for one in drawn["foot_right"]]
    assert max(soles) - min(soles) < 0.6  # mm: the sole of the squat is level to a degree


def test_what_cannot_be_drawn_is_told(placed_woman: Any) -> None:
    body = poses.standing(placed_woman)
    lacking = {name: place for name, place in body.points.items() if name != "knee_left"}
    with pytest.raises(Invalid, match="knee_left"):
        Skeleton(points=lacking)
    with pytest.raises(Invalid, match="grip_left"):
        Skeleton(points={**body.points, "grip_left": (float("nan"), 0.0, 0.0)})
    with pytest.raises(Invalid, match="1 to 6 poses"):
        sequence_svg([Pose(body=body)] * (MAX_POSES + 1), picture())
    with pytest.raises(Invalid, match="two ends"):
        Prop(kind=PropKind.DUMBBELL, at=(0, 0, 0), size_m=0.1)
    with pytest.raises(Invalid, match="room"):
        sequence_svg([Pose(body=body)] * 6, Picture(title="x", height_mm=100.0, max_width_mm=30.0))


def test_labels_stay_in_the_picture(placed_woman: Any) -> None:
    """A narrow pose with a long word: the word gets smaller. 0.5 em a letter is less than a sans-serif's mean."""
    svg = figure_svg(Pose(body=poses.standing(placed_woman), label="Standing tall"), picture())
    (said,) = ET.fromstring(svg).iter("{http://www.w3.org/2000/svg}text")
    half = 0.5 * len("Standing tall") * float(said.get("font-size", "")) / 2
    width = float(ET.fromstring(svg).get("viewBox", "").split()[2])
    assert half <= float(said.get("x", "")) <= width - half


@pytest.mark.parametrize("view", VIEWS.values(), ids=VIEWS)
def test_an_outline_is_the_hull_of_all_corners_of_all_circles(view: View) -> None:
    """Source: Qhull (scipy.spatial.ConvexHull), which is given every corner."""
    from random import Random

    import numpy as np
    from scipy.spatial import ConvexHull

    draw = Random(17)
    for count in [1, 2, 3, 5, 8] * 20:
        blobs = [
            blob(
                (draw.uniform(-0.3, 0.3), draw.uniform(-0.3, 0.3), draw.uniform(0, 1)), draw.choice((0.004, 0.05, 0.2))
            )
            for _ in range(count)
        ]
        turns = [2 * np.pi * at / ROUND for at in range(ROUND)]
        rims = [
            (x + one.radius_m * cos(turn), y + one.radius_m * np.sin(turn))
            for one in blobs
            for x, y in [view.flat(one.at)]
            for turn in turns
        ]
        hull = ConvexHull(np.array(rims))
        found = np.array(outline(blobs, view))
        x, y = found.T
        assert abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2 == pytest.approx(hull.volume, abs=1e-9)
        wanted = hull.points[hull.vertices]
        off = np.abs(found[:, None] - wanted).sum(axis=2)
        assert off.min(axis=1).max() < 1e-9
        assert off.min(axis=0).max() < 1e-9
