"""The film's figures: at their tempo, on the side that people follow, each drawn once."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest

from everyrung.body.mechanics import DRAWN, Job
from everyrung.body.rung_motion import rung_motion
from everyrung.moves.library import standard_library
from everyrung.publish.figure.between import between
from everyrung.publish.figure.geometry import SIDE
from everyrung.publish.video import figures, layout
from everyrung.publish.video.figures import STEPS, Film, film, other_side, pictures
from everyrung.publish.video.layout import FILM
from everyrung.publish.video.scenes import SceneView, Stopwatch, scenes
from everyrung.results.analysis import Analysis
from everyrung.store.cache import default_cache
from everyrung.terms.demand import RungMotion
from everyrung.terms.enums import Side
from everyrung.terms.session import Cell
from everyrung.terms.timeline import Span


@pytest.fixture(scope="module")
def squat(works: list[tuple[Span, Cell]]) -> tuple[SceneView, RungMotion]:
    span, cell = next((span, cell) for span, cell in works if cell.rung.name == "Split squat")
    assert span.bout
    job = Job(form=cell.rung.form, layer=standard_library().pose(cell.rung.form), size=DRAWN)
    shown = SceneView(
        rung=cell.rung, load=None, tempo=span.bout.tempo, side=Side.LEFT,
        begins_ms=1_000, rep_ms=span.bout.rep_ms, reps=span.bout.reps,
    )  # fmt: skip
    return shown, rung_motion(job)


def test_the_figure_is_where_the_tempo_says(squat: tuple[SceneView, RungMotion]) -> None:
    shown, motion = squat
    made = film(motion, FILM.figure, alternating=False)
    there, full, _, _ = motion.ways_ms
    deepest = (len(motion.poses) - 1) * STEPS
    assert len(made.sprites) == deepest + 1
    assert made.place(shown, 0)[0] == made.place(shown, 1_000)[0] == 0
    assert made.place(shown, 1_000 + there)[0] == deepest
    assert made.place(shown, 1_000 + shown.rep_ms + there + full)[0] == deepest
    assert abs(made.place(shown, 1_000 + there // 2)[0] - deepest / 2) <= 1  # a cosine is half way at half time
    assert made.place(shown, 1_000 + shown.reps * shown.rep_ms + there)[0] == 0  # all done
    assert len({(sprite.high, sprite.wide) for sprite in made.sprites}) == 1


def test_the_working_side_is_the_one_that_people_follow(squat: tuple[SceneView, RungMotion]) -> None:
    """From the side the near limb has the side's own name; from the front the figure is a mirror image."""
    shown, motion = squat
    beside: Film = film(motion, FILM.figure, alternating=False)
    assert [beside.place(replace(shown, side=side), 0)[1] for side in (Side.LEFT, Side.RIGHT)] == [True, False]
    facing = replace(beside, from_side=False)
    assert [facing.place(replace(shown, side=side), 0)[1] for side in (Side.LEFT, Side.RIGHT)] == [False, True]
    assert facing.place(replace(shown, side=Side.BOTH), 0) == (0, False)


def test_an_alternating_figure_changes_sides_without_turning(works: list[tuple[Span, Cell]]) -> None:
    cell = next(cell for _, cell in works if cell.rung.name == "March on the spot")
    job = Job(form=cell.rung.form, layer=standard_library().pose(cell.rung.form), size=DRAWN)
    made = film(rung_motion(job), FILM.figure, alternating=True)
    half = len(made.sprites) // 2
    shown = SceneView(
        rung=cell.rung, load=None, tempo=cell.bouts[0].tempo, side=Side.BOTH, begins_ms=0, rep_ms=2_000, reps=4
    )
    places = [made.place(shown, at_ms) for at_ms in (0, 2_000, 4_000, 6_000)]
    assert places == [(half, False), (0, False), (half, False), (0, False)]  # left first, and solved is the right


def test_a_room_stays_in_its_place(works: list[tuple[Span, Cell]]) -> None:
    """Marching on a chair changes sides, for it stands in the middle; beside a wall one side is shown for both."""
    library = standard_library()
    shown = {}
    for move, key in (("seated-march", "base"), ("hip-circles", "wall")):
        rung = library.rung(move, key)
        motion = rung_motion(Job(form=rung.form, layer=library.pose(rung.form), size=DRAWN))
        made = film(motion, FILM.figure, alternating=True)
        cell = next(cell for _, cell in works)
        one = SceneView(rung=rung, load=None, tempo=cell.bouts[0].tempo, side=Side.BOTH, rep_ms=4_000, reps=2)
        shown[move] = [made.place(one, at_ms) for at_ms in (0, 4_000)]
    assert shown["seated-march"][0] != shown["seated-march"][1]
    assert shown["hip-circles"] == [(0, False), (0, False)]


def test_in_between_poses_lie_between_and_the_other_side_of_the_other_side_is_the_same(
    squat: tuple[SceneView, RungMotion],
) -> None:
    _, motion = squat
    made = between(motion.poses, STEPS)
    assert made[::STEPS] == list(motion.poses)
    heights = [dict(one.points)["pelvis"][2] for one in made]
    assert heights == sorted(heights, reverse=True)
    assert [other_side(other_side(one)) for one in motion.poses] == list(motion.poses)
    assert pictures([made[:1]], SIDE, 400, 400)[0].startswith("<svg")


def test_a_figure_is_drawn_once_whoever_asks_for_it(said: Analysis, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two pieces beside one another, and a later round: the same pictures, drawn one time."""
    drawn: list[RungMotion] = []

    def counted(motion: RungMotion, room: layout.Box, *, alternating: bool) -> Film:
        drawn.append(motion)
        return film(motion, room, alternating=alternating)

    monkeypatch.setattr(figures, "film", counted)
    shown = [scene.view for scene in scenes(said.session, said.timeline) if scene.view]
    several = list({each.rung.name: each for each in shown}.values())
    made = figures.Figures(standard_library(), default_cache(), Stopwatch(), FILM.figure)
    with ThreadPoolExecutor(2) as pool:
        one, other = pool.map(made.film, [several[0]] * 2)
    assert one is other
    assert one is not None
    monkeypatch.setattr(figures, "OPEN", 1)
    made.film(several[1])
    again = made.film(several[0])
    assert len(drawn) == 2
    assert again is not None
    assert again is not one  # unpacked
    for before, after in zip(one.sprites, again.sprites, strict=True):
        assert (before.luma == after.luma).all()
        assert (before.blue == after.blue).all()
        assert (before.red == after.red).all()
