"""What the room says against a session: too many people, too low, too little wall, a floor or a light that matters."""

from collections.abc import Iterator

from everyrung.room.capacity import FLAT_M2, CellSpace, RoomUse, RoundSpace
from everyrung.room.envelope import CATCH_M, FLESH_M, MARGIN_M, OVERHEAD_M
from everyrung.room.places import AISLE_M, seats_in_aisle
from everyrung.room.sight import sight
from everyrung.room.view_findings import camera_findings, lips_findings, of_room
from everyrung.terms.enums import Caution, Severity
from everyrung.terms.finding import Finding, Location, name_list
from everyrung.terms.plan import Ref
from everyrung.terms.room import FloorKind, Light
from everyrung.timing.turns import wave_sizes

SWEPT = f"swept by the figure, with {100 * FLESH_M:.0f} cm for flesh and {100 * MARGIN_M:.0f} cm free on each side"
HARD_FLOORS = (FloorKind.TILES, FloorKind.CONCRETE)
ON_HARD = (Caution.KNEELING, Caution.IMPACT)
COMMON = "common practice, no source"


def room_findings(use: RoomUse) -> tuple[Finding, ...]:
    """All that the room forbids or makes harder, the gravest first."""
    rules = (
        _full,
        _ceiling,
        _way_out,
        _wall,
        _options_at_wall,
        _sight,
        _seats,
        camera_findings,
        lips_findings,
        _floor,
        _light,
        _no_pose,
    )
    each = (one for rule in rules for one in rule(use))
    return tuple(sorted(each, key=lambda one: list(Severity).index(one.severity)))


def _full(use: RoomUse) -> Iterator[Finding]:
    """Rounds in which the floor is too small; the wall has a finding of its own."""
    worst = use.tightest
    small = [each for each in use.rounds if len(each.layout.places) < use.in_room]
    if not small:
        return
    count = len(worst.layout.places)
    wide, deep = max(worst.cells, key=lambda one: one.side_m), max(worst.cells, key=lambda one: one.depth_m)
    yield Finding(
        rule="room-full",
        severity=Severity.ERROR,
        where=use.session.place("who"),
        places=tuple(Ref(block=one.block.name, round=one.round.name) for one in small),
        measured=f"{use.in_room} people, and places for {count} in {worst.name}: {_size(worst)} each",
        limit=f"{count} places, at most {worst.layout.bound} in any arrangement; by area alone {use.by_area}",
        source=f"{SWEPT} (chosen), {100 * CATCH_M:.0f} cm to catch a fall; the rule by area is {FLAT_M2:g} m2 a person",
        remedy=(
            f"Let {count} in, or change what takes the floor: {wide.widest} is {wide.side_m:.2f} m from side to side, "
            f"{deep.widest} {deep.depth_m:.2f} m from front to back."
        ),
    )


def _size(one: RoundSpace) -> str:
    return f"{one.layout.side_m:.2f} by {one.layout.depth_m:.2f} m"


def _ceiling(use: RoomUse) -> Iterator[Finding]:
    low = [one for one in _cells(use) if one.height_m + OVERHEAD_M > use.room.ceiling_m]
    if low:
        most = max(low, key=lambda one: one.height_m)
        yield Finding(
            rule="room-ceiling",
            severity=Severity.ERROR,
            where=most.cell.where,
            places=_refs(low),
            measured=f"{most.highest} reaches {most.height_m:.2f} m on a body of {100 * use.body.stature_m:.0f} cm",
            limit=f"{use.room.ceiling_m - OVERHEAD_M:.2f} m under a ceiling of {use.room.ceiling_m:.2f} m",
            source=f"the figure's highest point; {100 * OVERHEAD_M:.0f} cm free above it (chosen)",
            remedy="Choose a rung with the arms lower, or a seated one.",
        )


def _wall(use: RoomUse) -> Iterator[Finding]:
    short = [one for one in _cells(use) if one.led_wall_m and one.people < use.in_room]
    if short:
        worst = min(short, key=lambda one: one.people)
        length_m = sum(one.length_m for one in use.room.usable_walls)
        at_once = wave_sizes(use.in_room, worst.waves)[0]
        more = "Lead it in waves" if worst.waves == 1 else "Lead it in more waves"
        yield Finding(
            rule="room-wall",
            severity=Severity.WARNING,
            where=worst.cell.where,
            places=_refs(short),
            measured=f"{at_once} people at the wall at once for {worst.cell.rung.name}",
            limit=f"{worst.people // worst.waves} at {worst.led_wall_m:.2f} m each along {length_m:.1f} m of wall",
            source=SWEPT,
            remedy=f"{more}, or lead the version that needs no wall and offer this one.",
        )


def _options_at_wall(use: RoomUse) -> Iterator[Finding]:
    """Versions that only some take: how many the wall holds is for the coach to know."""
    few = [
        (one, address, count)
        for one in _cells(use)
        for address, count in one.at_wall
        if count < use.in_room and address != one.cell.rung.address
    ]
    if few:
        least = min(few, key=lambda each: each[2])
        names = [f"{use.envelopes[address].name} ({count})" for _, address, count in few]
        yield Finding(
            rule="room-wall-options",
            severity=Severity.NOTE,
            where=least[0].cell.where,
            places=_refs([each[0] for each in few]),
            measured=f"offered versions need a wall: {name_list(names, '; ')}",
            limit=f"in brackets how many of {use.in_room} people the wall holds",
            source=SWEPT,
            remedy="Keep the wall free for those who ask for it, and offer a chair's back to the others.",
        )


def _way_out(use: RoomUse) -> Iterator[Finding]:
    count = seats_in_aisle(use.room, use.layout)
    if count:
        yield of_room(
            use,
            "room-way-out",
            Severity.ERROR,
            f"{count} of {len(use.room.seats)} seats stand in the aisle",
            f"{AISLE_M:g} m free from front to back at the way out",
            "Move them in the room file's seats, or write another door as the first that leads out.",
            source="chosen: one person with a ball walks through; local rules come first",
        )


def _sight(use: RoomUse) -> Iterator[Finding]:
    """Places from which a pillar hides somebody who shows, and those behind another person's back."""
    lines = sight(use)
    if lines.behind_pillar:
        places = [f"{number} ({', '.join(names)})" for number, names in lines.behind_pillar.items()]
        yield of_room(
            use,
            "room-blind",
            Severity.WARNING,
            f"a pillar hides what is in brackets from places {name_list(places)}",
            "the leader, the demonstrator and the screen seen from each place",
            "Leave these places free, or have the leader step aside for them.",
        )
    if lines.behind_person:
        names = [f"{number} behind {others[0]}" for number, others in lines.behind_person.items()]
        yield of_room(
            use,
            "room-behind",
            Severity.NOTE,
            f"straight behind another: {name_list(names)}",
            "a line to the leader that passes no one nearer than half a shoulder",
            "Let every second row stand half a place to the side.",
        )


def _seats(use: RoomUse) -> Iterator[Finding]:
    hidden = sight(use).seats_hidden
    if hidden:
        names = [f"seat {number} behind place {others[0]}" for number, others in hidden.items()]
        yield of_room(
            use,
            "room-seat-hidden",
            Severity.WARNING,
            f"somebody stands in front of those who sit: {name_list(names)}",
            "a free line from each seat to the leader",
            "Put the seats at the front sides.",
        )


def _floor(use: RoomUse) -> Iterator[Finding]:
    hard = [one.kind for one in use.room.floors if one.kind in HARD_FLOORS]
    cells = [one for one in _cells(use) if set(one.cell.rung.cautions) & set(ON_HARD)]
    if hard and cells:
        yield Finding(
            rule="room-floor",
            severity=Severity.NOTE,
            where=cells[0].cell.where,
            places=_refs(cells),
            measured=f"kneeling or landing on {hard[0]}",
            limit="a mat under knees, no landing on a hard floor",
            source=COMMON,
            remedy="Lay mats out before they come, and lead the version without a jump.",
        )


def _light(use: RoomUse) -> Iterator[Finding]:
    if use.room.light is not Light.BRIGHT:
        yield of_room(
            use,
            "room-light",
            Severity.WARNING if use.session.who.lip_readers else Severity.NOTE,
            f"the light is {use.room.light}",
            "lips, feet and hand signs seen from each place",
            "Light the leader's face, and give start and stop by hand and by light as well as by voice.",
            source=COMMON,
        )


def _no_pose(use: RoomUse) -> Iterator[Finding]:
    if use.without_pose:
        yield of_room(
            use,
            "room-no-figure",
            Severity.NOTE,
            f"no figure for {name_list(use.without_pose, '; ')}",
            "a solved pose for each rung",
            "Measure the room for these by eye: they are not in any number here.",
            source="the body engine",
        )


def _cells(use: RoomUse) -> list[CellSpace]:
    return [one for each in use.rounds for one in each.cells]


def _refs(cells: list[CellSpace]) -> tuple[Location, ...]:
    return tuple(dict.fromkeys(one.cell.ref for one in cells))
