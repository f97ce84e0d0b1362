"""Whether lips are seen: from which places the leader's face is turned to people in each rung, and which places suit
whom: those who read lips, see poorly, are new, or sit.
"""

from collections.abc import Iterator
from math import cos, radians

import numpy as np

from everyrung.room.capacity import RoomUse
from everyrung.room.in_frame import in_room, leader_way
from everyrung.room.sight import Sight
from everyrung.terms.brief import Brief
from everyrung.terms.frozen import dataclass

FACE_DEG = 45.0  # off the way a face looks, lips are read nearly as well as from the front (Erber 1974, from memory)
MOST = 0.5  # of a repetition; chosen, because words are placed where the face is turned to the room
NAMED = 3  # places; chosen, because more are no help in choosing


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Lips(Brief):
    """By address of a led rung, the places from which lips are seen through most of a repetition, from 1; `without` are
    those that nobody sees, `by_place` in how many of the `sets` each place sees them.
    """

    places_by_rung: dict[str, tuple[int, ...]]
    by_place: dict[int, int]
    sets: int

    @property
    def without(self) -> tuple[str, ...]:
        """Rungs in which nobody in the room sees the leader's lips."""
        return tuple(address for address, places in self.places_by_rung.items() if not places)


def lips(use: RoomUse) -> Lips:
    """From every place of the layout, with everybody's head as high as the leader's in that rung."""
    places_by_rung = {}
    for address in dict.fromkeys(cell.rung.address for cell in use.session.cells):
        if address in use.envelopes:
            places_by_rung[address] = tuple(_places(use, address))
    sets = [cell.rung.address for cell in use.session.cells if cell.rung.address in places_by_rung]
    numbers = range(1, len(use.layout.places) + 1)
    return Lips(
        places_by_rung=places_by_rung,
        by_place={number: sum(number in places_by_rung[address] for address in sets) for number in numbers},
        sets=len(sets),
    )


def _places(use: RoomUse, address: str) -> Iterator[int]:
    faces = use.envelopes[address].view.faces
    way = leader_way(use)
    heads = in_room(np.array([at for at, _ in faces]), use.room.leader, way)
    looks = in_room(np.array([look for _, look in faces]), (0.0, 0.0), way)
    looks /= np.linalg.norm(looks, axis=1, keepdims=True)
    for number, place in enumerate(use.layout.places, start=1):
        viewer = np.column_stack([np.tile(place, (len(heads), 1)), heads[:, 2]])
        line = viewer - heads
        towards = (looks * line).sum(axis=1) / np.linalg.norm(line, axis=1)
        if (towards >= cos(radians(FACE_DEG))).mean() > MOST:
            yield number


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class PlacesFor(Brief):
    """Places by who they suit, the best first; seats for those who sit stand in the room file."""

    lip_readers: tuple[int, ...]
    poor_sight: tuple[int, ...]
    new: tuple[int, ...]


def places_for(use: RoomUse, lines: Sight, one: Lips) -> PlacesFor:
    """The best few: where lips are seen most often, and near; nearest with a clear line; and, for who is new, with a
    clear line but others farther forward to follow.
    """
    places = dict(enumerate(use.layout.places, start=1))
    leader = use.room.leader
    far = {at: ((x - leader[0]) ** 2 + (y - leader[1]) ** 2) ** 0.5 for at, (x, y) in places.items()}
    hidden = {at for at, names in lines.behind_pillar.items() if "leader" in names} | set(lines.behind_person)
    clear = sorted((at for at in places if at not in hidden), key=lambda at: far[at])
    ahead = [at for at in clear if sum(far[other] < far[at] for other in places) >= min(2, len(places) - 1)]
    return PlacesFor(
        lip_readers=tuple(sorted(clear, key=lambda at: (-one.by_place[at], far[at]))[:NAMED]),
        poor_sight=tuple(clear[:NAMED]),
        new=tuple((ahead or clear)[:NAMED]),
    )
