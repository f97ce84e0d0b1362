"""Poses to draw, from the body model: our own angles, stood or laid on the floor."""

from collections.abc import Callable
from math import cos, radians, sin

from everyrung.body.configuration import Configuration, upright
from everyrung.publish.figure.props import held_dumbbell
from everyrung.terms.figure import Prop, PropKind, Skeleton

FLOOR = Prop(kind=PropKind.FLOOR, at=(0.0, 0.0, 0.0), size_m=1.0)


def posed(configuration: Configuration, *, tip_deg: float = 0.0, lift: float = 0.0, **angles_deg: float) -> Skeleton:
    """The body tipped forward by `tip_deg`, its lowest point on the floor. 'knee' stands for both knees."""
    given = {}
    for name, value in angles_deg.items():
        paired = not name.startswith(("trunk", "neck")) and not name.endswith(("left", "right"))
        for full in (f"{name}_left", f"{name}_right") if paired else (name,):
            given[full] = radians(value)
    q_ind = upright(**given)
    half = radians(tip_deg) / 2
    q_ind[3:7] = [cos(half), sin(half), 0.0, 0.0]
    configuration.set_q(q_ind)
    found = {name: tuple(float(part) for part in configuration.point(name)) for name in configuration.body.landmarks}
    low = min(place[2] for place in found.values()) - lift
    return Skeleton(points={name: (x, y, z - low) for name, (x, y, z) in found.items()})


def standing(configuration: Configuration) -> Skeleton:
    return posed(configuration, shoulder_abduction=6, elbow_flexion=8, hip_abduction=3)


def half_squat(configuration: Configuration) -> Skeleton:
    return posed(
        configuration, tip_deg=28, hip_flexion=88, knee_flexion=85, ankle_dorsiflexion=25, hip_abduction=8,
        shoulder_flexion=112, elbow_flexion=8, neck_flexion=-15,
    )  # fmt: skip


def split_kneel(configuration: Configuration) -> Skeleton:
    return posed(
        configuration, hip_flexion_right=84, knee_flexion_right=84, hip_flexion_left=-8, knee_flexion_left=88,
        ankle_dorsiflexion_left=8, toe_extension_left=60, shoulder_abduction=6, elbow_flexion=10,
    )  # fmt: skip


def arms_forward(configuration: Configuration) -> Skeleton:
    return posed(configuration, shoulder_flexion=90, elbow_flexion=4, hip_abduction=3)


def bridge(configuration: Configuration) -> Skeleton:
    return posed(
        configuration, tip_deg=-112, knee_flexion=104, ankle_dorsiflexion=-6, neck_flexion=24, shoulder_flexion=-22,
        shoulder_abduction=8, hip_abduction=3,
    )  # fmt: skip


def front_support(configuration: Configuration) -> Skeleton:
    return posed(
        configuration, tip_deg=66, shoulder_flexion=68, toe_extension=55, ankle_dorsiflexion=12, neck_flexion=-20
    )  # fmt: skip


def overhead(configuration: Configuration) -> Skeleton:
    return posed(configuration, shoulder_flexion=165, elbow_flexion=10, hip_abduction=3)


POSES: dict[str, Callable[[Configuration], Skeleton]] = {
    "standing": standing,
    "half squat": half_squat,
    "split kneel": split_kneel,
    "arms forward": arms_forward,
    "bridge": bridge,
    "front support": front_support,
    "overhead": overhead,
}


def with_dumbbells(body: Skeleton) -> tuple[Prop, ...]:
    return (FLOOR, held_dumbbell(body, "left"), held_dumbbell(body, "right"))


def seated(configuration: Configuration) -> tuple[Skeleton, tuple[Prop, ...]]:
    body = posed(configuration, hip_flexion=88, knee_flexion=88, shoulder_flexion=25, elbow_flexion=60)
    x, y, z = body["pelvis"]
    return body, (FLOOR, Prop(kind=PropKind.CHAIR, at=(x, y - 0.02, 0.0), size_m=z - 0.10))


def wall_ball(configuration: Configuration) -> tuple[Skeleton, tuple[Prop, ...]]:
    """Squatting with a ball between back and wall."""
    body = posed(configuration, hip_flexion=70, knee_flexion=70, shoulder_abduction=5)
    x, y, z = body["lumbar"]
    ball = Prop(kind=PropKind.BALL, at=(x, y + 0.27, z), size_m=0.55)
    return body, (FLOOR, ball, Prop(kind=PropKind.WALL, at=(x, y + 0.55, 0.0), size_m=1.6))


def stepping(configuration: Configuration) -> tuple[Skeleton, tuple[Prop, ...]]:
    body = posed(
        configuration, tip_deg=8, hip_flexion_right=70, knee_flexion_right=62, hip_flexion_left=8, knee_flexion_left=2,
        ankle_dorsiflexion_left=4, elbow_flexion=25,
    )  # fmt: skip
    _, y, z = body["ball_inner_right"]
    return body, (FLOOR, Prop(kind=PropKind.STEP, at=(0.0, y + 0.02, 0.0), size_m=z))
