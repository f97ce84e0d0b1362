"""How many people a room holds for a session: each round by what its rungs sweep, the worst round decides."""

from collections.abc import Iterator, Mapping

from everyrung.body.mechanics import Failure, Progress
from everyrung.moves.library import Library
from everyrung.room.envelope import Envelope, envelopes, largest_body
from everyrung.room.places import (
    Floor,
    Layout,
    count_places,
    first_places,
    floor_of,
    layout,
    usable_area_m2,
    wall_places,
)
from everyrung.store.cache import Cache
from everyrung.terms.brief import Brief
from everyrung.terms.errors import Invalid
from everyrung.terms.frozen import dataclass
from everyrung.terms.move import Rung
from everyrung.terms.person import BodySize
from everyrung.terms.room import MAX_PEOPLE, Room
from everyrung.terms.session import Block, Cell, Round, Session
from everyrung.terms.units import Load

FLAT_M2 = 3.25  # a person, 35 square feet; common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class CellSpace(Brief):
    """What one cell takes of the room: its widest box over the led rung and its options that need no wall (`side_m`,
    `depth_m`, turned where that saves floor), the highest point, and how many people have room for it, on the floor
    or, when the led rung needs one, along the walls: in `waves` waves so many times as many, who take turns there.
    `at_wall` are options that need a wall, and how many it holds likewise.
    """

    cell: Cell
    side_m: float
    depth_m: float
    height_m: float
    widest: str
    highest: str
    people: int
    led_wall_m: float
    at_wall: tuple[tuple[str, int], ...]
    roll_m: float
    falls: tuple[str, ...]
    waves: int = 1


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class RoundSpace(Brief):
    """One round: a place for each person that is enough for all its cells, and the cell that lets the fewest in."""

    block: Block
    round: Round
    cells: tuple[CellSpace, ...]
    layout: Layout
    people: int
    worst: CellSpace

    @property
    def name(self) -> str:
        same = self.round.name in ("", self.block.name)
        return self.block.name if same else f"{self.block.name} / {self.round.name}"

    @property
    def decided_by(self) -> str:
        """The wall that a led rung needs, or the rungs that are widest and deepest on the floor."""
        if self.worst.led_wall_m and self.people == self.worst.people:
            return f"wall for {self.worst.cell.rung.name}"
        wide = max(self.cells, key=lambda one: one.side_m).widest
        deep = max(self.cells, key=lambda one: one.depth_m).widest
        return f"floor for {wide}" if wide == deep else f"floor for {wide} and {deep}"


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class RoomUse(Brief):
    """A session in a room: `people` is how many it holds when places may change from round to round, `by_area` what
    the flat rule says. `layout` has a place for each of the people `in_room`, or as many as there are, in the round
    that takes the most floor (`tightest`).
    """

    session: Session
    room: Room
    body: BodySize
    in_room: int
    rounds: tuple[RoundSpace, ...]
    people: int
    by_area: int
    area_m2: float
    layout: Layout
    without_pose: tuple[str, ...]
    envelopes: Mapping[str, Envelope]

    @property
    def wall_people(self) -> dict[str, int]:
        """For each rung that needs a wall, led or offered, how many people the usable walls hold, by its address."""
        boxes = self.envelopes.items()
        return {address: wall_places(self.room.usable_walls, one.wall_m) for address, one in boxes if one.wall_m}

    @property
    def worst(self) -> RoundSpace:
        """The round that lets the fewest in."""
        return min(self.rounds, key=lambda each: each.people)

    @property
    def tightest(self) -> RoundSpace:
        """The round with the fewest places on the floor."""
        return min(self.rounds, key=lambda each: len(each.layout.places))


def room_use(
    session: Session,
    room: Room,
    library: Library,
    *,
    people: int | None = None,
    body: BodySize | None = None,
    cache: Cache | None = None,
    progress: Progress | None = None,
) -> RoomUse:
    """The session in the room for `people` (None: those the plan expects there), by default on the largest reference
    body; `progress` hears how many rungs are swept, of how many. Raises Invalid for more people than one can lead, and
    for a session without rounds.
    """
    in_room = session.who.in_room if people is None else people
    if not 1 <= in_room <= MAX_PEOPLE:
        raise Invalid("people", f"1 to {MAX_PEOPLE:,} people in one room", in_room)
    size = body or largest_body()
    by_address = envelopes(_rungs(session), library, size, cache, progress)
    boxes = {address: one for address, one in by_address.items() if isinstance(one, Envelope)}
    names = {rung.address: rung.name for rung, _ in _rungs(session)}
    floor = floor_of(room)
    layouts = _Layouts(floor=floor, by_size={}, counts={})
    rounds = tuple(_round(block, each, room, boxes, layouts) for block, each in _rounds(session, boxes))
    if not rounds:
        raise Invalid("plan", "at least one round with a rung that can be posed", "none")
    tightest = min(rounds, key=lambda each: len(each.layout.places))
    area_m2 = usable_area_m2(room)
    return RoomUse(
        session=session,
        room=room,
        body=size,
        in_room=in_room,
        rounds=rounds,
        people=min(each.people for each in rounds),
        by_area=int(area_m2 / FLAT_M2),
        area_m2=area_m2,
        layout=first_places(tightest.layout, floor, in_room),
        without_pose=tuple(names[address] for address, one in by_address.items() if isinstance(one, Failure)),
        envelopes=boxes,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Layouts:
    """Layouts by size of box, each computed once; sizes rounded up to a centimetre."""

    floor: Floor
    by_size: dict[tuple[int, int], Layout]
    counts: dict[tuple[int, int], int]

    def of(self, side_m: float, depth_m: float) -> Layout:
        key = _centimetres(side_m), _centimetres(depth_m)
        if key not in self.by_size:
            self.by_size[key] = layout(self.floor, key[0] / 100, key[1] / 100)
        return self.by_size[key]

    def count(self, side_m: float, depth_m: float) -> int:
        """How many places, without where they are."""
        key = _centimetres(side_m), _centimetres(depth_m)
        if key not in self.counts:
            self.counts[key] = count_places(self.floor, key[0] / 100, key[1] / 100)
        return self.counts[key]


def _centimetres(length_m: float) -> int:
    return int(-(-length_m * 100 // 1))


def _rungs(session: Session) -> Iterator[tuple[Rung, Load | None]]:
    for cell in session.cells:
        yield cell.rung, cell.bouts[0].load
        yield from ((option.rung, option.load) for option in cell.options)


def _rounds(session: Session, boxes: Mapping[str, Envelope]) -> Iterator[tuple[Block, Round]]:
    for block in session.blocks:
        yield from ((block, each) for each in block.rounds if any(cell.rung.address in boxes for cell in each.cells))


def _round(block: Block, each: Round, room: Room, boxes: Mapping[str, Envelope], layouts: _Layouts) -> RoundSpace:
    with_pose = [cell for cell in each.cells if cell.rung.address in boxes]
    cells = tuple(_cell(cell, len(each.group_of(cell.ref.cell)), room, boxes, layouts) for cell in with_pose)
    place = layouts.of(max(one.side_m for one in cells), max(one.depth_m for one in cells))
    worst = min(cells, key=lambda one: one.people)
    return RoundSpace(
        block=block,
        round=each,
        cells=cells,
        layout=place,
        people=min(len(place.places), worst.people),
        worst=worst,
    )


def _cell(cell: Cell, waves: int, room: Room, boxes: Mapping[str, Envelope], layouts: _Layouts) -> CellSpace:
    addresses = [cell.rung.address, *(option.rung.address for option in cell.options)]
    mine = [boxes[address] for address in dict.fromkeys(addresses) if address in boxes]
    lead = mine[0]
    on_floor = [one for one in mine if not one.wall_m] or [lead]
    side_m, depth_m = _box(on_floor)

    def at_wall(one: Envelope) -> int:
        return waves * wall_places(room.usable_walls, one.wall_m)

    return CellSpace(
        cell=cell,
        side_m=side_m,
        depth_m=depth_m,
        height_m=max(one.height_m for one in mine),
        widest=max(on_floor, key=lambda one: one.side_m * one.depth_m).name,
        highest=max(mine, key=lambda one: one.height_m).name,
        people=at_wall(lead) if lead.wall_m else layouts.count(side_m, depth_m),
        led_wall_m=lead.wall_m,
        at_wall=tuple((one.address, at_wall(one)) for one in mine if one.wall_m),
        roll_m=max(one.roll_m for one in mine),
        falls=tuple(dict.fromkeys(one.falls for one in mine if one.falls)),
        waves=waves,
    )


def _box(on_floor: list[Envelope]) -> tuple[float, float]:
    """Wide and deep enough for all of them. Whoever works on the floor may lie along the row or across it: the way that
    takes less floor beside the others.
    """
    upright = [(one.side_m, one.depth_m) for one in on_floor if not one.on_floor]
    lying = [(one.side_m, one.depth_m) for one in on_floor if one.on_floor]
    ways = ([*upright, *lying], [*upright, *((depth, side) for side, depth in lying)])
    boxes = [(max(side for side, _ in way), max(depth for _, depth in way)) for way in ways]
    return min(boxes, key=lambda each: each[0] * each[1])
