"""The room from above as SVG, in centimetres: floor, what stands there, places with numbers, aisle and way out.

Nothing is said by colour alone: every kind of thing has its own line or hatching, and its name.
"""

from collections.abc import Iterable, Iterator
from html import escape

from everyrung.room.capacity import RoomUse
from everyrung.room.places import Layout
from everyrung.terms.room import Point, Room, Stretch

EDGE_CM, LETTER_CM, KEY_CM = 60, 22, 34
INK, PAPER, LAKE = "#16242b", "#fdfcf8", "#23596f"
LETTERS = f'font-family="Hanken Grotesk, sans-serif" font-size="22" fill="{INK}"'
# By kind of mark, as attributes: a page that allows no styles of its own shows them all the same.
LOOKS = {
    "floor": f'fill="{PAPER}" stroke="{INK}" stroke-width="6"',
    "aisle": 'fill="url(#dots)"',
    "place": f'fill="#e3eef2" stroke="{LAKE}" stroke-width="2"',
    "number": 'text-anchor="middle" font-size="26" font-weight="600"',
    "blocked": f'fill="url(#hatch)" stroke="{INK}" stroke-width="2"',
    "step": f'fill="none" stroke="{INK}" stroke-width="3" stroke-dasharray="10 6"',
    "door": f'stroke="{PAPER}" stroke-width="8"',
    "screen": f'stroke="{INK}" stroke-width="10" stroke-dasharray="24 6" fill="none"',
    "wall": f'stroke="{LAKE}" stroke-width="10"',
    "mirror": f'stroke="{INK}" stroke-width="3" stroke-dasharray="2 5"',
    "person": f'fill="{INK}"',
    "ring": f'fill="none" stroke="{INK}" stroke-width="2" stroke-dasharray="6 5"',
    "seat": f'fill="none" stroke="{INK}" stroke-width="3"',
    "middle": 'text-anchor="middle"',
}
PATTERNS = (
    '<pattern id="hatch" width="12" height="12" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<rect width="12" height="12" fill="#ffffff"/><path d="M0 0V12" stroke="#5b6b73" stroke-width="3"/></pattern>'
    '<pattern id="dots" width="18" height="18" patternUnits="userSpaceOnUse">'
    '<rect width="18" height="18" fill="#ffffff"/><circle cx="9" cy="9" r="2.4" fill="#5b6b73"/></pattern>'
)


class _Paper:
    """Turns places in m, y up, into centimetres, y down."""

    def __init__(self, room: Room) -> None:
        xs, ys = zip(*room.outline, strict=True)
        self.left, self.top = min(xs), max(ys)
        self.wide = (max(xs) - self.left) * 100 + 2 * EDGE_CM
        self.high = (self.top - min(ys)) * 100 + 2 * EDGE_CM

    def at(self, point: Point) -> tuple[float, float]:
        return round((point[0] - self.left) * 100 + EDGE_CM, 1), round((self.top - point[1]) * 100 + EDGE_CM, 1)

    def line(self, points: Iterable[Point]) -> str:
        return " ".join(f"{x:g},{y:g}" for x, y in map(self.at, points))


def room_svg(use: RoomUse) -> str:
    """The room with a place for each person in the round that takes the most floor, and a key under it."""
    return _svg(use.room, use.layout, key_lines(use))


def floor_svg(room: Room, layout: Layout | None = None) -> str:
    """The same without a key; without a layout the room alone."""
    return _svg(room, layout, [])


def _svg(room: Room, layout: Layout | None, key: list[str]) -> str:
    paper = _Paper(room)
    marks = [
        *_floor(paper, room),
        *(_aisle(paper, layout) if layout else ()),
        *(_places(paper, layout) if layout else ()),
        *_things(paper, room),
        *_people(paper, room),
    ]
    marks += [
        f'<text x="{EDGE_CM}" y="{paper.high + KEY_CM * at:g}">{escape(each)}</text>' for at, each in enumerate(key)
    ]
    high = paper.high + KEY_CM * len(key)
    wide = max([paper.wide, *(len(each) * 11 + 2 * EDGE_CM for each in key)])
    title = f"{room.name} from above" + (f", with {len(layout.places)} places" if layout else "")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:g} {high:g}" role="img" '
        f'aria-label="{escape(title)}">\n<title>{escape(title)}</title>\n<defs>{PATTERNS}</defs>\n'
        f'<rect width="{wide:g}" height="{high:g}" fill="#ffffff"/>\n<g {LETTERS}>\n'
        + "\n".join(marks)
        + "\n</g>\n</svg>\n"
    )


def _floor(paper: _Paper, room: Room) -> Iterator[str]:
    yield f'<polygon {LOOKS["floor"]} points="{paper.line(room.outline)}"/>'
    for wall in room.usable_walls:
        yield f'<polyline {LOOKS["wall"]} points="{paper.line((wall.start, wall.end))}"/>'
    for mirror in room.mirrors:
        yield f'<polyline {LOOKS["mirror"]} points="{paper.line((mirror.start, mirror.end))}"/>'
        yield _name(paper, _middle((mirror.start, mirror.end)), mirror.name or "mirror", down_cm=-14)


def _aisle(paper: _Paper, layout: Layout) -> Iterator[str]:
    for part in layout.aisle:
        yield f'<polygon {LOOKS["aisle"]} points="{paper.line(part)}"/>'


def _places(paper: _Paper, one: Layout) -> Iterator[str]:
    across = one.turn_deg in (90.0, -90.0)
    wide, deep = (one.depth_m, one.side_m) if across else (one.side_m, one.depth_m)
    for number, place in enumerate(one.places, start=1):
        x, y = paper.at(place)
        yield (
            f'<rect {LOOKS["place"]} x="{x - wide * 50:g}" y="{y - deep * 50:g}" width="{wide * 100:g}" '
            f'height="{deep * 100:g}" rx="8"/><text {LOOKS["number"]} x="{x:g}" y="{y + 9:g}">{number}</text>'
        )


def _things(paper: _Paper, room: Room) -> Iterator[str]:
    for thing in (*room.pillars, *room.storage):
        yield f'<polygon {LOOKS["blocked"]} points="{paper.line(thing.corners)}"/>'
        if thing not in room.pillars:
            yield _name(paper, _middle(thing.corners), thing.name or "storage", down_cm=8, plate=True)
    for step in room.steps:
        yield f'<polygon {LOOKS["step"]} points="{paper.line(step.corners)}"/>'
        yield _name(paper, _middle(step.corners), "step", down_cm=8, plate=True)
    for door in room.doors:
        yield f'<polyline {LOOKS["door"]} points="{paper.line((door.start, door.end))}"/>'
        yield _door_name(paper, door, room)
    if room.screen:
        yield f'<polyline {LOOKS["screen"]} points="{paper.line((room.screen.start, room.screen.end))}"/>'
        yield _name(paper, _middle((room.screen.start, room.screen.end)), "screen", down_cm=-14)


def _door_name(paper: _Paper, door: Stretch, room: Room) -> str:
    """Outside the wall, read from the side where it is in the left or right wall."""
    words = f"{door.name or 'door'}{': way out' if door.is_exit else ''}"
    x, y = paper.at(_middle((door.start, door.end)))
    inside, _ = paper.at(_middle(room.outline))
    if abs(door.start[0] - door.end[0]) > abs(door.start[1] - door.end[1]):
        return f'<text {LOOKS["middle"]} x="{x:g}" y="{y + 34:g}">{escape(words)}</text>'
    aside = 34 if x > inside else -24
    half = len(words) * LETTER_CM * 0.28
    plate = f'<rect x="{-half:g}" y="-20" width="{2 * half:g}" height="26" fill="#ffffff" opacity="0.85"/>'
    transform = f"translate({x + aside:g} {y:g}) rotate(-90)"
    return f'<g transform="{transform}">{plate}<text {LOOKS["middle"]}>{escape(words)}</text></g>'


def _people(paper: _Paper, room: Room) -> Iterator[str]:
    for at, words in ((room.leader, "leader"), (room.demonstrator, "demonstrator")):
        if at:
            x, y = paper.at(at)
            yield f'<circle {LOOKS["ring"]} cx="{x:g}" cy="{y:g}" r="100"/>'
            yield f'<circle {LOOKS["person"]} cx="{x:g}" cy="{y:g}" r="16"/>'
            yield _name(paper, at, words, down_cm=44)
    for seat in room.seats:
        x, y = paper.at(seat)
        yield f'<rect {LOOKS["seat"]} x="{x - 22:g}" y="{y - 22:g}" width="44" height="44"/>'
        yield _name(paper, seat, "seat", down_cm=48)
    if room.camera:
        x, y = paper.at(room.camera.at)
        yield f'<path {LOOKS["person"]} d="M{x - 20:g} {y - 12:g}h28v24h-28z m28 8 l14 -8 v24 l-14 -8z"/>'
        yield _name(paper, room.camera.at, "camera", down_cm=-22)


def _middle(points: Iterable[Point]) -> Point:
    xs, ys = zip(*points, strict=True)
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def _name(paper: _Paper, at: Point, words: str, *, down_cm: float, plate: bool = False) -> str:
    x, y = paper.at(at)
    half = len(words) * LETTER_CM * 0.28 + 6
    back = f'<rect x="{x - half:g}" y="{y + down_cm - 22:g}" width="{2 * half:g}" height="30" fill="#ffffff"/>'
    return f'{back if plate else ""}<text {LOOKS["middle"]} x="{x:g}" y="{y + down_cm:g}">{escape(words)}</text>'


def key_lines(use: RoomUse) -> list[str]:
    """What the drawing shows, in words."""
    one, room = use.layout, use.room
    size = f"{one.side_m:.2f} m from side to side, {one.depth_m:.2f} m from front to back"
    short = "" if len(one.places) == use.in_room else f" of {use.in_room} people"
    return [
        f"{room.name}, {use.area_m2:.0f} m2 free of things, ceiling {room.ceiling_m:.2f} m. {use.session.title}",
        f"{len(one.places)} places{short}, each {size}: {use.tightest.name}, on {use.body}.",
        f"Dots: the aisle. Farthest way to the door {one.farthest_m:.1f} m. Hatched: nobody stands there. "
        "Thick on a wall: to lean on.",
    ]
