"""What differs between two versions of a session, as a coach says it: sets, doses, rungs, people, kit."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields

from everyrung.checks.cells import and_list, every_block
from everyrung.moves.library import Library
from everyrung.parsing.body_size import written_mass, written_stature
from everyrung.plan.diff import Change
from everyrung.plan.resolve import session_from_text
from everyrung.runsheet.words import dose_words, sides_words
from everyrung.terms.finding import location_words
from everyrung.terms.plan import Ref, Stock
from everyrung.terms.session import Block, Cell, Clock, Session
from everyrung.terms.units import clock_text
from everyrung.web.field_words import field_label

MOST_SAID = 2  # differences in the list of versions; chosen, because a line has room for no more
Values = Mapping[str, str]


def between(before: str, after: str, library: Library, file: str) -> tuple[Change, ...]:
    """The differences of two plans' texts. Raises Faults for a text that is no plan."""
    one, two = (session_from_text(text, file, library) for text in (before, after))
    return differences(one, two)


def differences(before: Session, after: Session) -> tuple[Change, ...]:
    """The head's, then each part's, then the sets'; the same in several rounds is one."""
    return (*_differing(_head(before), _head(after)), *_parts(before, after), *_sets(before, after))


def in_short(changes: tuple[Change, ...]) -> str:
    """For a list: 'Round Two, squat, dose: 8 reps → 10 reps; and 3 more'."""
    lines = [f"{each.place}: {each.was or 'nothing'} → {each.now or 'nothing'}" for each in changes[:MOST_SAID]]
    more = [f"and {len(changes) - MOST_SAID} more"] if len(changes) > MOST_SAID else []
    return "; ".join([*lines, *more]) or "No difference in what is led"


def stock_words(stock: Stock) -> str:
    """'6 × pairs of 2.5 kg dumbbells'."""
    mass = f"{'pairs of ' if stock.pairs else ''}{stock.mass} " if stock.mass else ""
    ball = f", {stock.diameter_cm:g} cm, rated {stock.rated_kg:g} kg" if stock.diameter_cm and stock.rated_kg else ""
    return f"{'each has ' if stock.each else ''}{stock.count or stock.each} × {mass}{stock.grade or stock.item}{ball}"


def _differing(one: Values, two: Values) -> Iterator[Change]:
    for place in dict.fromkeys((*two, *one)):
        if one.get(place, "") != two.get(place, ""):
            yield Change(place=place, was=one.get(place, ""), now=two.get(place, ""))


def _head(session: Session) -> Values:
    who, leader = session.who, session.leader
    facts = {
        "title": session.title,
        "slot_minutes": f"{session.slot_ms // 60_000}",
        "level": str(session.level),
        "view": str(session.view),
        "in_room": str(who.in_room),
        "at_home": str(who.at_home),
        "newcomers": "yes" if who.newcomers else "no",
        "live": "yes" if who.live else "no",
        "lip_readers": "yes" if who.lip_readers else "no",
        "newcomer_rounds": str(session.newcomer_rounds),
        "limits": ", ".join(who.limits),
        "cut_order": location_words(session.cut_order),
        "cover_notes": session.cover_notes,
    }
    lead = {
        "stature": written_stature(leader.stature_m),
        "mass": written_mass(leader.mass_kg) if leader.mass_kg else "",
        "age": str(leader.age or ""),
        "sex": str(leader.sex or ""),
        "level": str(leader.level or ""),
    }
    return {
        **{field_label(name): value for name, value in facts.items()},
        **{f"Who leads, {field_label(name).lower()}": value for name, value in lead.items()},
        "Kit": "; ".join(map(stock_words, session.kit)),
        **_clock(session.clock),
    }


def _clock(clock: Clock) -> Values:
    values = {each.name: getattr(clock, each.name) for each in fields(clock)}
    return {
        f"Clock, {name.removesuffix('_ms').replace('_', ' ')}": _time(name, value) for name, value in values.items()
    }


def _time(name: str, value: int) -> str:
    return f"{value / 1000:g} s" if name.endswith("_ms") else str(value)


def _parts(before: Session, after: Session) -> Iterator[Change]:
    one, two = ({block.name: block for block in every_block(session)} for session in (before, after))
    for name in dict.fromkeys((*two, *one)):
        if name in one and name in two:
            yield from _differing(_part(one[name], two[name]), _part(two[name], one[name]))
        else:
            yield Change(place=name, was=_moves(one.get(name)), now=_moves(two.get(name)))


def _part(block: Block, other: Block) -> Values:
    """What a part says of itself, and in which order it has the moves that the other version has too."""
    both = [key for key in _columns(block) if key in _columns(other)]
    return {
        f"{block.name}, what you say first": " ".join(block.say),
        f"{block.name}, talk": clock_text(block.talk_ms),
        f"{block.name}, lock": "on" if block.lock else "off",
        f"{block.name}, rounds": and_list([each.name for each in block.rounds]),
        f"{block.name}, moves": _moves(block) if set(_columns(block)) != set(_columns(other)) else "",
        f"{block.name}, order": ", ".join(_columns(block)[key] for key in both),
        **{f"{block.name}, rest after round {each.name}": clock_text(each.rest_ms) for each in block.rounds},
    }


def _columns(block: Block) -> dict[str, str]:
    return {cell.ref.cell: cell.move.name for cell in block.cells}


def _moves(block: Block | None) -> str:
    return ", ".join(_columns(block).values()) or "words alone" if block else ""


def _sets(before: Session, after: Session) -> Iterator[Change]:
    """Differences of sets that stand in a round and a move of both versions, those of one move together."""
    one, two = ({cell.ref: cell for block in every_block(each) for cell in block.cells} for each in (before, after))
    rounds, columns = (_both(before, after, each) for each in (_round_of, _column_of))
    places: dict[tuple[str, str, str, str], list[Ref]] = {}
    names: dict[tuple[str, str], str] = {}
    for ref in dict.fromkeys((*two, *one)):
        if _round_of(ref) not in rounds or _column_of(ref) not in columns:
            continue
        names.setdefault(_column_of(ref), (two.get(ref) or one[ref]).move.name.lower())
        for each in _differing(*_values(one.get(ref), two.get(ref))):
            places.setdefault((ref.block, ref.cell, each.place, f"{each.was}\0{each.now}"), []).append(ref)
    for (block, cell, what, ends), refs in places.items():
        was, _, now = ends.partition("\0")
        yield Change(place=_set_place(refs, names[block, cell], what), was=was or "left out", now=now or "left out")


def _values(first: Cell | None, second: Cell | None) -> tuple[Values, Values]:
    """What two versions say of one set; of one that is there in one of them alone, that it is led."""
    if first and second:
        return _set(first), _set(second)
    return {"": "led" if first else ""}, {"": "led" if second else ""}


def _both(before: Session, after: Session, part: Callable[[Ref], tuple[str, str]]) -> set[tuple[str, str]]:
    one, two = ({part(cell.ref) for block in every_block(each) for cell in block.cells} for each in (before, after))
    return one & two


def _round_of(ref: Ref) -> tuple[str, str]:
    return ref.block, ref.round


def _column_of(ref: Ref) -> tuple[str, str]:
    return ref.block, ref.cell


def _set_place(refs: list[Ref], move: str, what: str) -> str:
    rounds = [ref.round for ref in refs if ref.round != ref.block]
    where = f"{refs[0].block}, round{'s' if len(rounds) > 1 else ''} {and_list(rounds)}" if rounds else refs[0].block
    return ", ".join(each for each in (where, move, what) if each)


def _set(cell: Cell) -> Values:
    return {
        "rung": cell.rung.name,
        "dose": dose_words(cell),
        "load": "; ".join(dict.fromkeys(str(bout.load or "none") for bout in cell.bouts)),
        "tempo": "; ".join(dict.fromkeys(_tempo(bout.tempo.is_hold, str(bout.tempo)) for bout in cell.bouts)),
        "sides": sides_words(cell),
        "rest after it": clock_text(cell.rest_ms),
        "entry test": cell.rung.entry_test,
        "points": " ".join(cue.text for cue in cell.rung.cues),
        "note": cell.note or "none",
        "lock": "on" if cell.lock else "off",
        **{f"{option.kind} option": option.rung.name for option in cell.options},
    }


def _tempo(is_hold: bool, tempo: str) -> str:
    return "held still" if is_hold else tempo
