"""The room from above as SVG, in centimetres: floor, what stands there, places with numbers, aisle and way out.

Nothing is said by colour alone: every kind of thing has its own line or hatching, and its name.
"""

from collections.abc import Iterable, Iterator
from html import escape

from everyrung.room.capacity import RoomUse
from everyrung.terms.room import Point, Room, Stretch

EDGE_CM, LETTER_CM, KEY_CM = 60, 22, 34
STYLE = (
    "text{font-family:'Hanken Grotesk',sans-serif;font-size:22px;fill:#16242b}"
    ".floor{fill:#fdfcf8;stroke:#16242b;stroke-width:6}.aisle{fill:url(#dots)}"
    ".place{fill:#e3eef2;stroke:#23596f;stroke-width:2}.number{text-anchor:middle;font-size:26px;font-weight:600}"
    ".blocked{fill:url(#hatch);stroke:#16242b;stroke-width:2}.step{fill:none;stroke:#16242b;stroke-width:3;"
    "stroke-dasharray:10 6}.door{stroke:#fdfcf8;stroke-width:8}.leaf{stroke:#16242b;stroke-width:3;fill:none}"
    ".wall{stroke:#23596f;stroke-width:10}.mirror{stroke:#16242b;stroke-width:3;stroke-dasharray:2 5}"
    ".person{fill:#16242b}.ring{fill:none;stroke:#16242b;stroke-width:2;stroke-dasharray:6 5}"
    ".seat{fill:none;stroke:#16242b;stroke-width:3}.middle{text-anchor:middle}"
)
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
    paper, room = _Paper(use.room), use.room
    marks = [
        *_floor(paper, room),
        *_aisle(paper, use),
        *_places(paper, use),
        *_things(paper, room),
        *_people(paper, room),
    ]
    words = _key(use)
    high = paper.high + KEY_CM * len(words)
    wide = max(paper.wide, max(len(each) for each in words) * 11 + 2 * EDGE_CM)
    key = [
        f'<text x="{EDGE_CM}" y="{paper.high + KEY_CM * at:g}">{escape(each)}</text>' for at, each in enumerate(words)
    ]
    title = f"{room.name} from above, with {len(use.layout.places)} places"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:g} {high:g}" role="img">\n'
        f"<title>{escape(title)}</title>\n<style>{STYLE}</style>\n<defs>{PATTERNS}</defs>\n"
        f'<rect width="{wide:g}" height="{high:g}" fill="#ffffff"/>\n' + "\n".join([*marks, *key]) + "\n</svg>\n"
    )


def _floor(paper: _Paper, room: Room) -> Iterator[str]:
    yield f'<polygon class="floor" points="{paper.line(room.outline)}"/>'
    for wall in room.usable_walls:
        yield f'<polyline class="wall" points="{paper.line((wall.start, wall.end))}"/>'
    for mirror in room.mirrors:
        yield f'<polyline class="mirror" points="{paper.line((mirror.start, mirror.end))}"/>'
        yield _name(paper, _middle((mirror.start, mirror.end)), mirror.name or "mirror", down_cm=-14)


def _aisle(paper: _Paper, use: RoomUse) -> Iterator[str]:
    for part in use.layout.aisle:
        yield f'<polygon class="aisle" points="{paper.line(part)}"/>'


def _places(paper: _Paper, use: RoomUse) -> Iterator[str]:
    one = use.layout
    across = one.turn_deg in (90.0, -90.0)
    wide, deep = (one.depth_m, one.side_m) if across else (one.side_m, one.depth_m)
    for number, place in enumerate(one.places, start=1):
        x, y = paper.at(place)
        yield (
            f'<rect class="place" x="{x - wide * 50:g}" y="{y - deep * 50:g}" width="{wide * 100:g}" '
            f'height="{deep * 100:g}" rx="8"/><text class="number" x="{x:g}" y="{y + 9:g}">{number}</text>'
        )


def _things(paper: _Paper, room: Room) -> Iterator[str]:
    for thing in (*room.pillars, *room.storage):
        yield f'<polygon class="blocked" points="{paper.line(thing.corners)}"/>'
        if thing not in room.pillars:
            yield _name(paper, _middle(thing.corners), thing.name or "storage", down_cm=8, plate=True)
    for step in room.steps:
        yield f'<polygon class="step" points="{paper.line(step.corners)}"/>'
        yield _name(paper, _middle(step.corners), "step", down_cm=8, plate=True)
    for door in room.doors:
        yield f'<polyline class="door" points="{paper.line((door.start, door.end))}"/>'
        yield _door_name(paper, door, room)
    if room.screen:
        yield f'<polyline class="leaf" points="{paper.line((room.screen.start, room.screen.end))}" stroke-width="10"/>'
        yield _name(paper, _middle((room.screen.start, room.screen.end)), "screen", down_cm=-14)


def _door_name(paper: _Paper, door: Stretch, room: Room) -> str:
    """Outside the wall, read from the side where it is in the left or right wall."""
    words = f"{door.name or 'door'}{': way out' if door.is_exit else ''}"
    x, y = paper.at(_middle((door.start, door.end)))
    inside, _ = paper.at(_middle(room.outline))
    if abs(door.start[0] - door.end[0]) > abs(door.start[1] - door.end[1]):
        return f'<text class="middle" x="{x:g}" y="{y + 34:g}">{escape(words)}</text>'
    aside = 34 if x > inside else -24
    half = len(words) * LETTER_CM * 0.28
    plate = f'<rect x="{-half:g}" y="-20" width="{2 * half:g}" height="26" fill="#ffffff" opacity="0.85"/>'
    transform = f"translate({x + aside:g} {y:g}) rotate(-90)"
    return f'<g transform="{transform}">{plate}<text class="middle">{escape(words)}</text></g>'


def _people(paper: _Paper, room: Room) -> Iterator[str]:
    for at, words in ((room.leader, "leader"), (room.demonstrator, "demonstrator")):
        if at:
            x, y = paper.at(at)
            yield f'<circle class="ring" cx="{x:g}" cy="{y:g}" r="100"/>'
            yield f'<circle class="person" cx="{x:g}" cy="{y:g}" r="16"/>'
            yield _name(paper, at, words, down_cm=44)
    for seat in room.seats:
        x, y = paper.at(seat)
        yield f'<rect class="seat" x="{x - 22:g}" y="{y - 22:g}" width="44" height="44"/>'
        yield _name(paper, seat, "seat", down_cm=48)
    if room.camera:
        x, y = paper.at(room.camera.at)
        yield f'<path class="person" d="M{x - 20:g} {y - 12:g}h28v24h-28z m28 8 l14 -8 v24 l-14 -8z"/>'
        yield _name(paper, room.camera.at, "camera", down_cm=-22)


def _middle(points: Iterable[Point]) -> Point:
    xs, ys = zip(*points, strict=True)
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def _name(paper: _Paper, at: Point, words: str, *, down_cm: float, plate: bool = False) -> str:
    x, y = paper.at(at)
    half = len(words) * LETTER_CM * 0.28 + 6
    back = f'<rect x="{x - half:g}" y="{y + down_cm - 22:g}" width="{2 * half:g}" height="30" fill="#ffffff"/>'
    return f'{back if plate else ""}<text class="middle" x="{x:g}" y="{y + down_cm:g}">{escape(words)}</text>'


def _key(use: RoomUse) -> list[str]:
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
