"""What the Room screen shows of a session in its room, as plain values."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from everyrung.room.capacity import RoomUse
    from everyrung.room.in_frame import Frame
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
    if whole.frame:
        yield from _camera(whole.frame)
    yield from _who_suits(whole)
    if not (view.behind_pillar or view.behind_person or view.seats_hidden):
        yield "Everybody sees the leader, the demonstrator and the screen."


def _camera(one: "Frame") -> Iterator[str]:
    """What the camera has, and what not."""
    from everyrung.room.in_frame import behind_words, out_words  # shapely: only when asked for

    if not one.leader_in:
        yield f"The leader stands {one.leader_off_deg:.0f} degrees off the camera's line, out of its picture."
    else:
        whole = sum(not (each.out or each.hides) for each in one.rungs)
        yield f"Camera: figure, hands and kit all in the picture in {whole} of {len(one.rungs)} versions that are led."
        yield from (f"Camera: out of the picture at some moment: {words}." for words in out_words(one))
        yield from (f"Camera: hidden behind somebody or a pillar: {words}." for words in behind_words(one))


def _who_suits(whole: "RoomPlan") -> Iterator[str]:
    """Places by who they suit, and in how many sets lips are seen there."""
    from everyrung.room.lips import places_for

    lips = whole.lips
    one = places_for(whole.use, whole.sight, lips)
    if one.lip_readers:
        best = one.lip_readers[0]
        yield (
            f"For those who read lips: {_numbers(one.lip_readers)}. From place {best} the leader's face is seen in "
            f"{lips.by_place[best]} of {lips.sets} sets."
        )
        yield f"For those who see poorly: {_numbers(one.poor_sight)}, nearest with a clear line."
        yield f"For those who are new: {_numbers(one.new)}, with others farther forward to follow."
    if whole.use.room.seats:
        yield f"For those who sit: {len(whole.use.room.seats)} seats, as the room has them."


def _numbers(numbers: tuple[int, ...]) -> str:
    words = [str(number) for number in numbers]
    return f"place {words[0]}" if len(words) == 1 else f"places {', '.join(words[:-1])} and {words[-1]}"


def _places(numbers: tuple[int, ...]) -> str:
    return f"{_numbers(numbers)} {'is' if len(numbers) == 1 else 'are'}"
