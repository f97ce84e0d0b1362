"""Who sees the leader, the demonstrator and the screen from each place.

Lines on the floor plan: a pillar hides what is behind it, and a standing person whoever stands straight before another.
"""

from collections.abc import Iterator

from shapely import distance, points
from shapely.geometry import LineString, Polygon

from everyrung.room.capacity import RoomUse
from everyrung.terms.brief import Brief
from everyrung.terms.frozen import dataclass
from everyrung.terms.room import Point, Room

SHOULDER_M = 0.25  # half of what a standing person hides; chosen, because shoulders are about half a metre wide


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Sight(Brief):
    """By the number of a place, from 1: which of 'leader', 'demonstrator' and 'screen' a pillar hides from it, and
    which other places stand straight between it and the leader; seats by their own numbers, hidden by whom.
    """

    behind_pillar: dict[int, tuple[str, ...]]
    behind_person: dict[int, tuple[int, ...]]
    seats_hidden: dict[int, tuple[int, ...]]


def sight(use: RoomUse) -> Sight:
    """The lines from every place of the layout, and from every seat."""
    places = dict(enumerate(use.layout.places, start=1))
    pillars = {number: tuple(_hidden(use.room, at)) for number, at in places.items()}
    persons = {number: _between(at, use.room.leader, places, number) for number, at in places.items()}
    seats = dict(enumerate(use.room.seats, start=1))
    return Sight(
        behind_pillar={number: names for number, names in pillars.items() if names},
        behind_person={number: others for number, others in persons.items() if others},
        seats_hidden={
            number: others for number, at in seats.items() if (others := _between(at, use.room.leader, places))
        },
    )


def _hidden(room: Room, at: Point) -> Iterator[str]:
    """What a pillar hides from a place."""
    screen = room.screen and tuple((a + b) / 2 for a, b in zip(room.screen.start, room.screen.end, strict=True))
    for name, target in (("leader", room.leader), ("demonstrator", room.demonstrator), ("screen", screen)):
        if target and any(LineString([at, target]).intersects(Polygon(one.corners)) for one in room.pillars):
            yield name


def _between(at: Point, target: Point, places: dict[int, Point], own: int | None = None) -> tuple[int, ...]:
    """The places whose people stand on the line from one place to a target."""
    if not places:
        return ()
    far = distance(LineString([at, target]), points(list(places.values())))  # m, one for each place
    return tuple(number for number, away in zip(places, far, strict=True) if number != own and away < SHOULDER_M)
