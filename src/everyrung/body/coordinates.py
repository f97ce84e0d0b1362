"""The independent coordinates of the body, in a coach's words and signs, and the joints of the wheel they drive."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Coordinate:
    """One angle in radians, and the model's joint that it drives: `factor` times, or for the spine shared out."""

    name: str
    joint: str
    factor: float = 1.0


def coordinate_names() -> tuple[str, ...]:
    return tuple(coordinate.name for coordinate in COORDINATES)


def both(name: str, joint: str, factor: float = 1.0) -> tuple[Coordinate, Coordinate]:
    """Left and right of a paired angle; the wheel's signs are the same on both sides."""
    left, right = (
        Coordinate(name=f"{name}_{side}", joint=joint.format(tag=side[0], side=side), factor=factor)
        for side in ("left", "right")
    )
    return left, right


# The name says which way is positive. The spine's angles are the whole bend from pelvis to chest: the wheel's own
# coordinate is smaller, for each vertebra adds its share (1.875 times in bending forward).
COORDINATES: tuple[Coordinate, ...] = (
    Coordinate(name="trunk_flexion", joint="flex_extension", factor=-1.0),
    Coordinate(name="trunk_bend_right", joint="lat_bending"),
    Coordinate(name="trunk_turn_left", joint="axial_rotation"),
    Coordinate(name="neck_flexion", joint="neck_flexion"),
    *both("hip_flexion", "hip_flexion_{tag}"),
    *both("hip_abduction", "hip_adduction_{tag}", -1.0),
    *both("hip_rotation_in", "hip_rotation_{tag}"),
    *both("knee_flexion", "knee_angle_{tag}"),
    *both("ankle_dorsiflexion", "ankle_angle_{tag}"),
    *both("foot_inversion", "subtalar_angle_{tag}"),
    *both("toe_extension", "mtp_angle_{tag}", -1.0),
    *both("shoulder_flexion", "shoulder_flexion_{side}"),
    *both("shoulder_abduction", "shoulder_abduction_{side}"),
    *both("shoulder_rotation_in", "shoulder_rotation_in_{side}"),
    *both("elbow_flexion", "elbow_flexion_{side}"),
    *both("forearm_pronation", "forearm_pronation_{side}"),
)
SPINE_SUFFIX = {"flex_extension": "_FE", "lat_bending": "_LB", "axial_rotation": "_AR"}
ROOT_FREEDOMS = 6  # three of place (m, world axes), three of turn (rad, body axes)
