"""The upstream model's muscles as numbers: forces, force-length curves, groups. MuJoCo keeps only their paths."""

from dataclasses import dataclass, replace
from functools import cache
from typing import Any
from xml.etree import ElementTree

import mujoco
import numpy as np

from everyrung.body.coordinates import Array, Integers
from everyrung.body.upstream_model import load_upstream_mjcf, numbers
from everyrung.tables.reader import read_table

LEAST_FORCE_LENGTH = 0.25  # chosen, because the upstream model's fitted fibre lengths reach zero force in common poses


@dataclass(frozen=True, slots=True, kw_only=True)
class Muscles:
    """Muscles in the order of the model's tendons (axis of all arrays: muscle).

    `neutral` is the normalised fibre length in the neutral stand, where the path is neutral_m long; a group's name ends
    in its side ('vasti_left'), `group_names` has each once and `group` its place there; `shortest`, `longest` and
    `passive` shape the force-length curves.
    """

    names: tuple[str, ...]
    groups: tuple[str, ...]
    group_names: tuple[str, ...]
    group: Integers
    force_n: Array
    fibre_m: Array
    neutral: Array
    neutral_m: Array
    shortest: Array
    longest: Array
    passive: Array

    def stretch(self, lengths_m: Array) -> Array:
        """Fibre lengths, as multiples of the one at which a fibre pulls hardest, at these path lengths, m (axis:
        muscle).
        """
        length: Array = self.neutral + (lengths_m - self.neutral_m) / self.fibre_m
        return length

    def active_force(self, lengths_m: Array) -> Array:
        """The greatest isometric pull at these path lengths, N (axis: muscle)."""
        from everyrung.body.muscle_pull import force_length  # late, for numba takes a third of a second

        curve = force_length(self.stretch(lengths_m), self.shortest, self.longest)
        return self.force_n * np.maximum(curve, LEAST_FORCE_LENGTH)

    def passive_force(self, lengths_m: Array) -> Array:
        """The pull of the unstimulated muscle, N (axis: muscle); none in the neutral stand, whatever the upstream
        model's fit says.
        """
        from everyrung.body.muscle_pull import passive_stretch  # late, as above

        slack = np.maximum(self.neutral - 1.0, 0.0)
        force: Array = self.force_n * passive_stretch(self.stretch(lengths_m) - slack, self.longest, self.passive)
        return force


def group_of(name: str) -> str:
    """The group of a muscle, with its side. Raises KeyError for a muscle no row of the table names.

    >>> group_of("vaslat_l")
    'vasti_left'
    """
    rows = [row for row in read_table("muscle_groups").rows if name.startswith(row["prefix"])]
    if not rows:
        raise KeyError(f"tables/muscle_groups.csv has no prefix of muscle {name}")
    side = {"_l": "left", "_r": "right"}[name[-2:]]
    return f"{max(rows, key=lambda row: len(row['prefix']))['group']}_{side}"


@cache
def upstream_muscles() -> Muscles:
    """The muscles as the upstream model (rajagopal2016) has them: its forces, its lengths."""
    tree = load_upstream_mjcf()
    for bone in list(tree.iter("body")):
        bone.insert(0, ElementTree.Element("inertial", pos="0 0 0", mass="1", diaginertia="1 1 1"))
    actuators = {one.get("tendon"): one for one in tree.iter("general")}
    for holder in tree.findall("actuator"):
        tree.remove(holder)
    model = mujoco.MjModel.from_xml_string(ElementTree.tostring(tree, encoding="unicode"))
    elements = [actuators[model.tendon(row).name] for row in range(model.ntendon)]
    gain = np.array([numbers(one.get("gainprm", "")) for one in elements])
    ends = np.array([numbers(one.get("lengthrange", "")) for one in elements])
    fibre = (ends[:, 1] - ends[:, 0]) / (gain[:, 1] - gain[:, 0])
    neutral_m = neutral_lengths(model)
    names = tuple(one.get("name", "") for one in elements)
    groups = tuple(group_of(name) for name in names)
    group_names = tuple(dict.fromkeys(groups))
    return Muscles(
        names=names,
        groups=groups,
        group_names=group_names,
        group=np.array([group_names.index(group) for group in groups]),
        force_n=gain[:, 2],
        fibre_m=fibre,
        neutral=gain[:, 0] + (neutral_m - ends[:, 0]) / fibre,
        neutral_m=neutral_m,
        shortest=gain[:, 4],
        longest=gain[:, 5],
        passive=gain[:, 7],
    )


def neutral_lengths(model: Any) -> Array:
    """Path lengths, m (axis: muscle), with every driving joint at zero and every coupled one at its polynomial's
    constant.
    """
    data = mujoco.MjData(model)
    data.qpos[model.jnt_qposadr[model.eq_obj1id]] = model.eq_data[:, 0]
    mujoco.mj_kinematics(model, data)
    mujoco.mj_comPos(model, data)
    mujoco.mj_tendon(model, data)
    return np.array(data.ten_length)


def muscles_of(model: Any) -> Muscles:
    """The upstream model's muscles on a body's bones: fibres grow with the muscle's path, forces are as upstream."""
    upstream = upstream_muscles()
    assert upstream.names == tuple(model.tendon(row).name.removesuffix("_tendon") for row in range(model.ntendon))
    neutral_m = neutral_lengths(model)
    return replace(upstream, neutral_m=neutral_m, fibre_m=upstream.fibre_m * neutral_m / upstream.neutral_m)
