"""A room as a coach measures it: floor, walls, what stands in it, and what to do there when somebody needs help."""

from enum import StrEnum

from everyrung.terms.brief import Brief
from everyrung.terms.errors import require
from everyrung.terms.frozen import dataclass

Point = tuple[float, float]  # m from a corner of the coach's choice
MAX_ROOM_M = 150.0  # chosen, because a longer hall is a slip of units
MAX_CORNERS = 200  # chosen, because nobody measures more
LEAST_CEILING_M, MOST_CEILING_M = 1.9, 20.0  # chosen, because people must stand in it, and halls are no higher
MAX_PEOPLE = 2000  # chosen, because more are not led by one person in one room


class FloorKind(StrEnum):
    """What the floor is made of."""

    WOOD = "wood"
    RUBBER = "rubber"
    CARPET = "carpet"
    TILES = "tiles"
    CONCRETE = "concrete"


class Light(StrEnum):
    """How well lips and feet are seen."""

    BRIGHT = "bright"
    DIM = "dim"
    DARK = "dark"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A straight piece of wall, or what is in it or on it: a door, a mirror, a screen."""

    start: Point
    end: Point
    name: str = ""
    is_exit: bool = False

    @property
    def length_m(self) -> float:
        (x, y), (to_x, to_y) = self.start, self.end
        return float(((to_x - x) ** 2 + (to_y - y) ** 2) ** 0.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """A part of the floor: a rack, a step, a kind of floor. `height_m` is of a step."""

    corners: tuple[Point, ...]
    name: str = ""
    height_m: float = 0.0
    kind: FloorKind | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """Where a camera stands, how high, where it looks, and how wide: degrees from side to side."""

    at: Point
    height_m: float
    toward: Point
    angle_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Emergency:
    """What to do in this room when somebody needs help: who goes where; each line is the coach's own words."""

    number: str = ""
    address: str = ""
    phone: str = ""
    defibrillator: str = ""
    first_aid: str = ""
    door: str = ""
    calls: str = ""
    fetches: str = ""
    meets: str = ""


HELP = {
    "number": "Call",
    "address": "We are at",
    "phone": "Telephone",
    "defibrillator": "Defibrillator",
    "first_aid": "First aid",
    "door": "Way out",
    "calls": "Who calls",
    "fetches": "Who fetches the defibrillator",
    "meets": "Who meets the ambulance",
}  # what each line of an Emergency says, on paper and on screens


def help_lines(emergency: Emergency | None) -> tuple[tuple[str, str], ...]:
    """The lines that are filled in, each by its name."""
    lines = ((words, getattr(emergency, name, "")) for name, words in HELP.items())
    return tuple((name, words) for name, words in lines if words)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Room(Brief):
    """All lengths in m. `leader` stands where everybody looks; `usable_walls` can be leaned on; `steps` are edges to
    fall over: nobody has a place there.
    """

    name: str
    outline: tuple[Point, ...]
    ceiling_m: float
    light: Light
    leader: Point
    doors: tuple[Stretch, ...]
    usable_walls: tuple[Stretch, ...] = ()
    mirrors: tuple[Stretch, ...] = ()
    pillars: tuple[Area, ...] = ()
    steps: tuple[Area, ...] = ()
    storage: tuple[Area, ...] = ()
    floors: tuple[Area, ...] = ()
    screen: Stretch | None = None
    camera: Camera | None = None
    demonstrator: Point | None = None
    seats: tuple[Point, ...] = ()
    emergency: Emergency | None = None

    def __post_init__(self) -> None:
        count = len(self.outline)
        require(3 <= count <= MAX_CORNERS, "outline", f"3 to {MAX_CORNERS} corners", f"{count} corners")
        low, high = LEAST_CEILING_M, MOST_CEILING_M
        require(low <= self.ceiling_m <= high, "ceiling", f"{low:g} to {high:g} m", f"{self.ceiling_m:g} m")
        require(any(one.is_exit for one in self.doors), "door", "a [[door]] that leads out", "none")

    @property
    def obstacles(self) -> tuple[Area, ...]:
        """What nobody can stand on."""
        return (*self.pillars, *self.steps, *self.storage)
