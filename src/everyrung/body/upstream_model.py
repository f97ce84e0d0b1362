"""The legs and trunk of the package musclemimic-models, as one XML tree without meshes.

Its arms, hands and head are never read: its arm muscles derive from a model whose terms are non-commercial. Its
piriformis and lumbar psoas are left out too: deep hip rotators are torque generators here, and its lumbar psoas ends at
the pelvis, so it would bend the trunk without bending the hip.
"""

from copy import deepcopy
from functools import cache
from xml.etree import ElementTree

from musclemimic_models import get_xml_path

Element = ElementTree.Element

DEFINITIONS = (
    "torso/assets/myotorso_assets.xml",
    "leg/assets/myolegs_assets.xml",
    "leg/assets/myolegs_tendon.xml",
    "leg/assets/myolegs_muscle.xml",
)
BODIES = ("torso/assets/myotorso_bimanual_chain.xml", "leg/assets/myolegs_chain.xml")
KEPT_TAGS = {"equality", "tendon", "spatial", "actuator", "general", "body", "joint", "site", "geom"}
DROPPED_BODIES = {"head_attach", "bimanual_attachment"}
DROPPED_MUSCLES = ("Ps_", "piri_")
WRAPS = ("_wrap", "_ellipsoid", "back_cylinder_s", "back_cylinder_l", "Cylinder_abdomen")
KEPT_ATTRIBUTES = {
    "joint": {"name", "type", "axis", "joint1", "joint2", "polycoef"},
    "site": {"name", "pos", "site"},
    "geom": {"name", "type", "pos", "quat", "size", "geom", "sidesite"},
    "body": {"name", "pos", "quat"},
    "spatial": {"name"},
    "general": {"name", "tendon", "gainprm", "lengthrange"},
}
UPRIGHT = "0.5 0.5 -0.5 -0.5"  # upstream says euler 1.57 -1.57: forward is -y, up is z, the participant's left is +x


def load_upstream_mjcf() -> Element:
    """<mujoco> with one free body holding pelvis, trunk and legs: bones, joints, muscle paths, couplings.

    A tree of the caller's own, to be changed.
    """
    return deepcopy(_upstream())


@cache
def _upstream() -> Element:
    home = get_xml_path("myofullbody").parent.parent
    tree = Element("mujoco", model="everyrung body")
    ElementTree.SubElement(tree, "compiler", angle="radian", inertiafromgeom="false", autolimits="false")
    option = ElementTree.SubElement(tree, "option", gravity="0 0 -9.80665")  # standard gravity, exact by definition
    ElementTree.SubElement(option, "flag", contact="disable", equality="disable", limit="disable")
    root = ElementTree.SubElement(ElementTree.SubElement(tree, "worldbody"), "body", name="root")
    for part in DEFINITIONS:
        tree.extend(prune(ElementTree.parse(home / part).getroot()))
    for part in BODIES:
        root.extend(prune(ElementTree.parse(home / part).getroot()))
    for half in root:
        half.set("quat", UPRIGHT)
    root.insert(0, Element("freejoint", name="root"))
    return tree


def prune(element: Element) -> Element:
    """`element` without drawing, contact, arms, head, and the muscles that are replaced here."""
    for child in list(element):
        if is_dropped(child):
            element.remove(child)
            continue
        if child.tag == "geom" and child.get("name"):
            child.set("type", wrap_type(child))
        attributes = KEPT_ATTRIBUTES.get(child.tag, set())
        for attribute in set(child.attrib) - attributes:
            del child.attrib[attribute]
        prune(child)
    return element


def is_dropped(element: Element) -> bool:
    """Whether nothing here needs it: drawing, contact, arms, head, or a muscle that is replaced."""
    name = element.get("name", "")
    return (
        element.tag not in KEPT_TAGS
        or (element.tag == "geom" and "geom" not in element.attrib and not name.endswith(WRAPS))
        or (element.tag == "body" and name in DROPPED_BODIES)
        or (element.tag in ("general", "spatial") and name.startswith(DROPPED_MUSCLES))
    )


def wrap_type(geom: Element) -> str:
    """The shape of a wrapping surface whose type stood in a default class: one size is a sphere, two a cylinder.

    >>> wrap_type(Element("geom", size="0.02")), wrap_type(Element("geom", size="0.02 0.1"))
    ('sphere', 'cylinder')
    """
    return "sphere" if len(geom.get("size", "").split()) == 1 else "cylinder"


def numbers(text: str) -> list[float]:
    """What an attribute of the tree says, in the unit that it has there. Raises ValueError for words.

    >>> numbers("0 -0.25 1e-3")
    [0.0, -0.25, 0.001]
    """
    return [float(word) for word in text.split()]


def words(values: list[float]) -> str:
    """Numbers as MuJoCo reads them, none of their digits lost.

    >>> words([0.1, 2])
    '0.1 2.0'
    """
    return " ".join(repr(float(value)) for value in values)
