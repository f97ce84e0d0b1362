"""What a rung sweeps: floor, height, a ball's way and where someone would fall, from its solved poses on one body.

A box on the floor stands for what is swept, as wide and as deep as the figure ever is, with whatever it holds.
"""

from collections.abc import Iterable, Iterator

from everyrung.body.mechanics import Failure, Job, Progress
from everyrung.body.reference_grid import reference_grid
from everyrung.body.rung_motion import rung_motion
from everyrung.moves.library import Library
from everyrung.room.figure_view import FigureView, figure_view
from everyrung.store.cache import Cache
from everyrung.terms.brief import Brief
from everyrung.terms.demand import Drawing, DrawnProp, RungMotion
from everyrung.terms.enums import Caution, Sidedness
from everyrung.terms.errors import Invalid
from everyrung.terms.figure import Point3, PropKind
from everyrung.terms.frozen import dataclass
from everyrung.terms.move import Rung
from everyrung.terms.person import BodySize
from everyrung.terms.units import Load

FLESH_M = 0.05  # chosen, because the named points lie in joints and on bones, a few centimetres under skin and clothes
MARGIN_M = 0.15  # on each side; chosen, because two neighbours then have 30 cm between their farthest reaches
CATCH_M = 0.30  # chosen, because whoever stumbles catches the fall with a short step
OVERHEAD_M = 0.15  # under the ceiling; chosen, because a hand that reaches stretches, and lamps hang
CHAIR_HALF_M = 0.25  # chosen, because club chairs are about half a metre wide and deep
NARROW = 0.75  # chosen: feet are clearly narrower one way than the other
ON_FLOOR_M = 0.06  # of a foot's points that bear on the floor; chosen, because shoes and toes are no thicker
_CHAIRS = (PropKind.CHAIR, PropKind.STEP, PropKind.MAT)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Envelope(Brief):
    """Of one rung on one body, m, with the margin on every side: `side_m` from side to side, `depth_m` from front to
    back, as the person faces; `height_m` without a margin. `roll_m` is how far a ball on the floor or at a wall goes;
    `wall_m` how much of a wall one person takes, 0 for none; `falls` the way of a fall, '' where none is likely;
    `view` what others look at.
    """

    address: str
    name: str
    side_m: float
    depth_m: float
    height_m: float
    roll_m: float
    wall_m: float
    falls: str
    on_floor: bool
    has_converged: bool
    view: FigureView


def largest_body() -> BodySize:
    """The tallest and heaviest of the reference bodies: one man in twenty is taller (gordon2014)."""
    return max(reference_grid(), key=lambda each: (each.stature_m, each.mass_kg))


def envelopes(
    rungs: Iterable[tuple[Rung, Load | None]],
    library: Library,
    body: BodySize,
    cache: Cache | None = None,
    progress: Progress | None = None,
) -> dict[str, Envelope | Failure]:
    """The envelope of each rung with its load, by address; a Failure for one that this body can't be posed in."""
    first: dict[str, tuple[Rung, Load | None]] = {}
    for rung, load in rungs:
        first.setdefault(rung.address, (rung, load))
    answers: dict[str, Envelope | Failure] = {}
    for address, (rung, load) in first.items():
        answers[address] = _envelope_or_why(rung, load, library, body, cache)
        if progress:
            progress(len(answers), len(first))
    return answers


def _envelope_or_why(
    rung: Rung, load: Load | None, library: Library, body: BodySize, cache: Cache | None
) -> Envelope | Failure:
    try:
        job = Job(form=rung.form, layer=library.pose(rung.form), size=body, load=load)
        return envelope(rung, rung_motion(job, cache))
    except Invalid as problem:
        return Failure(why=str(problem))


def envelope(rung: Rung, motion: RungMotion) -> Envelope:
    """The envelope of a rung from its motion, worked to the right; to the left it is its mirror image."""
    points = [point for pose in motion.poses for point in _points(pose)]
    middle = _by_name(motion.poses[0])["pelvis"]
    left, right = max(x for x, _, _ in points) - middle[0], middle[0] - min(x for x, _, _ in points)
    one_sided = rung.form.sides is not Sidedness.BOTH
    side_m = 2 * max(left, right) if one_sided else left + right
    depth_m = max(y for _, y, _ in points) - min(y for _, y, _ in points)
    falls = _fall_way(rung, motion.poses)
    around = 2 * (FLESH_M + MARGIN_M)
    side_m, depth_m = side_m + around, depth_m + around
    return Envelope(
        address=rung.address,
        name=rung.name,
        side_m=side_m + (2 * CATCH_M if falls == "side" else 0),
        depth_m=depth_m + (2 * CATCH_M if falls == "front or back" else 0),
        height_m=max(z for _, _, z in points) + FLESH_M,
        roll_m=_roll_m(motion.poses),
        wall_m=_wall_m(motion.poses, side_m, depth_m),
        falls=falls,
        on_floor=rung.form.position.on_floor,
        has_converged=motion.has_converged,
        view=figure_view(rung, motion),
    )


def _by_name(pose: Drawing) -> dict[str, Point3]:
    return dict(pose.points)


def _points(pose: Drawing) -> Iterator[Point3]:
    """Every point of the figure, and the farthest of what it stands on, holds or rolls; a wall is no part of it."""
    yield from (point for _, point in pose.points)
    for prop in pose.things:
        yield from _ends(prop)


def _ends(prop: DrawnProp) -> Iterator[Point3]:
    (x, y, z), half = prop.at, prop.size_m / 2
    if prop.kind == PropKind.BALL:
        yield from ((x - half, y - half, z - half), (x + half, y + half, z + half))
    elif prop.kind in _CHAIRS:
        yield from ((x - CHAIR_HALF_M, y - CHAIR_HALF_M, 0.0), (x + CHAIR_HALF_M, y + CHAIR_HALF_M, 0.0))
    elif prop.to is not None and prop.kind != PropKind.BAND:  # a band's far end is drawn short, and moves nobody
        yield from (prop.at, prop.to)


def _roll_m(poses: tuple[Drawing, ...]) -> float:
    """How far apart a ball's places are, along the floor or up a wall."""
    places = [prop.at for pose in poses for prop in pose.things if prop.kind == PropKind.BALL]
    return max((_apart(one, other) for one in places for other in places), default=0.0)


def _apart(one: Point3, other: Point3) -> float:
    return float(sum((a - b) ** 2 for a, b in zip(one, other, strict=True)) ** 0.5)


def _wall_m(poses: tuple[Drawing, ...], side_m: float, depth_m: float) -> float:
    """A wall before or behind takes the width of the figure, a wall beside it the depth."""
    turns = {round(abs(prop.turn_deg)) for prop in poses[0].things if prop.kind == PropKind.WALL}
    return max((depth_m if turn == 90 else side_m for turn in turns), default=0.0)


def _fall_way(rung: Rung, poses: tuple[Drawing, ...]) -> str:
    """Across the narrower way of what stands on the floor, for rungs in which people do fall."""
    if Caution.FALL_RISK not in rung.cautions:
        return ""
    feet = [
        point
        for pose in poses
        for name, point in pose.points
        if name.startswith(("heel", "ball_", "toe")) and point[2] < ON_FLOOR_M
    ]
    if not feet:
        return "side"
    wide, long = (max(each[at] for each in feet) - min(each[at] for each in feet) for at in (0, 1))
    return "side" if wide <= long / NARROW else "front or back"
