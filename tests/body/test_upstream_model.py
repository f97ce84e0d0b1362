"""What is taken from the package musclemimic-models, and what never may be: its arm muscles (non-commercial terms)."""

import struct
from xml.etree import ElementTree

import numpy as np
from musclemimic_models import get_xml_path

from everyrung.body.bodies import body_model
from everyrung.body.muscles import upstream_muscles
from everyrung.body.skeleton import HEEL_BEHIND, WHEEL_FOOT_M, WHEEL_SHOULDER_FORWARD
from everyrung.terms.person import BodySize, Sex

HOME = get_xml_path("myofullbody").parent.parent
ARM_FILES = sorted((HOME / "arm").rglob("*.xml"))
BODY = body_model(BodySize(sex=Sex.FEMALE, stature_m=1.63, mass_kg=62.0))


def names_in(files: list, *tags: str) -> set[str]:
    found = (element for file in files for element in ElementTree.parse(file).iter() if element.tag in tags)
    return {name for element in found if (name := element.get("name"))}


def test_no_arm_muscle_of_the_wheel_is_loaded() -> None:
    arm = names_in(ARM_FILES, "general", "muscle")
    assert len(arm) > 100, "the upstream model's arm files were not seen"
    assert {"BRA", "TRIlong"} <= {name.split("_")[0] for name in arm}
    assert not arm & set(BODY.muscles.names)
    tendons = {BODY.mj_model.tendon(row).name for row in range(BODY.mj_model.ntendon)}
    assert not names_in(ARM_FILES, "spatial") & tendons
    assert BODY.mj_model.nu == 0


def test_no_arm_or_head_bone_of_the_wheel_is_loaded() -> None:
    sites = {BODY.mj_model.site(row).name for row in range(BODY.mj_model.nsite)}
    assert len(names_in(ARM_FILES, "site")) > 500
    assert not names_in(ARM_FILES, "site") & sites
    bones = {BODY.mj_model.body(row).name for row in range(BODY.mj_model.nbody)}
    assert not bones & {"clavicle_r", "scapula_r", "radius_r", "ulna_r", "neck", "bimanual_attachment"}


def test_every_leg_and_trunk_muscle_but_the_replaced_ones_is_kept() -> None:
    files = [HOME / "leg/assets/myolegs_muscle.xml", HOME / "torso/assets/myotorso_assets.xml"]
    wheel = names_in(files, "general")
    left_out = wheel - set(BODY.muscles.names)
    assert left_out == {name for name in wheel if name.startswith(("piri_", "Ps_"))}
    assert len(BODY.muscles.names) == len(wheel) - 24 == 266


def test_nothing_is_drawn_and_nothing_is_constrained() -> None:
    model = BODY.mj_model
    assert model.nmesh == 0
    assert model.ntex == 0
    import mujoco

    off = mujoco.mjtDisableBit
    for bit in (off.mjDSBL_CONTACT, off.mjDSBL_EQUALITY, off.mjDSBL_LIMIT):
        assert model.opt.disableflags & int(bit)


def corners(mesh: str) -> tuple[np.ndarray, np.ndarray]:
    """Least and greatest coordinates of one of the upstream model's meshes (binary STL)."""
    raw = (HOME / "meshes" / f"{mesh}.stl").read_bytes()
    count = struct.unpack("<I", raw[80:84])[0]
    kind = np.dtype([("normal", "<3f4"), ("corners", "<9f4"), ("attribute", "<u2")])
    points = np.frombuffer(raw[84 : 84 + 50 * count], dtype=kind)["corners"].reshape(-1, 3)
    return points.min(axis=0), points.max(axis=0)


def test_lengths_read_off_the_wheels_meshes() -> None:
    """Source: the upstream model's own meshes of foot, toes and chest."""
    heel, toes = corners("r_foot")[0][0], 0.1788 + corners("r_bofoot")[1][0]
    assert abs(toes - heel - WHEEL_FOOT_M) < 0.001
    assert abs(-heel / (toes - heel) - HEEL_BEHIND) < 0.001
    back, front = corners("thorax")
    assert abs((back[0] + front[0]) / 2 + 0.028 - WHEEL_SHOULDER_FORWARD) < 0.012


def test_the_muscles_stand_in_the_order_of_the_tendons() -> None:
    tendons = [BODY.mj_model.tendon(row).name for row in range(BODY.mj_model.ntendon)]
    assert [f"{name}_tendon" for name in upstream_muscles().names] == tendons
