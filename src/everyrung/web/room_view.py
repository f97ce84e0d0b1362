"""What the Room screen shows of a session in its room, as plain values."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from everyrung.room.capacity import RoomUse
    from everyrung.room.room_plan import RoomPlan
    from everyrung.room.wave_words import WaveWords
    from everyrung.terms.room import Room


FILE = "room.toml"  # in what is said of a room that is kept


def read_text(text: str) -> "Room":
    """A room from the text that is kept. Raises Faults."""
    from everyrung.room.read import room_from_text  # shapely: only when asked for

    return room_from_text(text, FILE)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundRow:
    """One round: how many it lets in, how many places there are on the floor and at most, and what decides."""

    name: str
    people: int
    places: int
    most: int
    size: str
    decided_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomView:
    """The whole of it; `drawing` is an SVG, `sight` sentences about who sees what."""

    in_room: int
    places: int
    people: int
    by_area: int
    worst: str
    decided_by: str
    drawing: str
    key: tuple[str, ...]
    rounds: tuple[RoundRow, ...]
    waves: "tuple[WaveWords, ...]"
    sight: tuple[str, ...]


def room_view(whole: "RoomPlan") -> RoomView:
    """From a session in its room."""
    from everyrung.room.draw import floor_svg, key_lines  # shapely: only when asked for

    use = whole.use
    return RoomView(
        in_room=use.in_room,
        places=len(use.layout.places),
        people=use.people,
        by_area=use.by_area,
        worst=use.worst.name,
        decided_by=use.worst.decided_by,
        drawing=floor_svg(use.room, use.layout),
        key=tuple(key_lines(use)),
        rounds=tuple(_rounds(use)),
        waves=whole.wave_words,
        sight=tuple(_sight(whole)),
    )


def _rounds(use: "RoomUse") -> Iterator[RoundRow]:
    for one in use.rounds:
        yield RoundRow(
            name=one.name,
            people=one.people,
            places=len(one.layout.places),
            most=one.layout.bound,
            size=f"{one.layout.side_m:.2f} by {one.layout.depth_m:.2f} m",
            decided_by=one.decided_by,
        )


def _sight(whole: "RoomPlan") -> Iterator[str]:
    """Who does not see what; a sentence too where everybody sees."""
    view = whole.sight
    for number, names in view.behind_pillar.items():
        yield f"Place {number}: a pillar hides the {' and the '.join(names)}."
    for number, others in view.behind_person.items():
        yield f"Place {number}: {_places(others)} straight in front of it."
    for number, others in view.seats_hidden.items():
        yield f"Seat {number}: {_places(others)} between it and the leader."
    if whole.frame and not whole.frame.leader_in:
        yield f"The leader stands {whole.frame.leader_off_deg:.0f} degrees off the camera's line, out of its picture."
    if not (view.behind_pillar or view.behind_person or view.seats_hidden):
        yield "Everybody sees the leader, the demonstrator and the screen."


def _places(numbers: tuple[int, ...]) -> str:
    words = [str(number) for number in numbers]
    if len(words) == 1:
        return f"place {words[0]} is"
    return f"places {', '.join(words[:-1])} and {words[-1]} are"
