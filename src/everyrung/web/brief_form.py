"""A brief as a form has it and as an address keeps it: the same fields by the same names, and her words on top."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from everyrung.moves.library import Library
from everyrung.parsing.table_reader import FileFaults, Skip, Table
from everyrung.plan.read import read_stock
from everyrung.plan.serialize import stock_values
from everyrung.proposals.brief_text import Reading, read_brief
from everyrung.proposals.kit_words import kit_in
from everyrung.terms.enums import Caution, Level, Pattern
from everyrung.terms.errors import Faults, Invalid, member
from everyrung.terms.person import Person
from everyrung.terms.plan import Stock
from everyrung.terms.session_brief import SessionBrief, Style
from everyrung.web.difference import stock_words
from everyrung.web.form_values import LIMIT, ticked_limits

Form = Mapping[str, str]
FOCUS, KIT = "focus.", "kit."  # before a pattern, and before an entry of kit, in the names of a form's boxes
PERSON = "person."  # before the number of somebody on her list
NOBODY: Mapping[str, Person] = {}
PATTERNS = tuple(each for each in Pattern if each not in (Pattern.MOBILITY, Pattern.STRETCH))
MOST_KIT = 30  # entries; chosen, because no boathouse lists more kinds of kit
NUMBERS = ("minutes", "rounds", "in_room", "at_home")
MOVES = ("include", "exclude", "lately")


def read_form_brief(form: Form, library: Library, people: Mapping[str, Person] = NOBODY) -> Reading:
    """What a form asks for: its fields, over them what its own words say, and of the `people` on her list, by the
    names of their boxes, those that are ticked. Raises Invalid or Faults.
    """
    numbers: dict[str, Any] = {name: _whole(name, form[name]) for name in NUMBERS if form.get(name, "").strip()}
    moves: dict[str, Any] = {name: tuple(_moves(form.get(name, ""), name, library)) for name in MOVES}
    brief = SessionBrief(
        **numbers,
        **moves,
        focus=tuple(each for each in PATTERNS if form.get(f"{FOCUS}{each}")),
        kit=tuple(_kit(form)),
        newcomers=form.get("newcomers") == "yes",
        live=form.get("live") == "yes",
        lip_readers=form.get("lip_readers") == "yes",
        limits=tuple(Caution(each) for each in ticked_limits(form)),
        level=member(Level, "level", form.get("level") or Level.MODERATE),
        style=member(Style, "style", form.get("style") or Style.ROUNDS),
        floor=form.get("floor", "yes") != "no",
        title=form.get("title", "").strip()[:120],
    )
    brief = replace(brief, kit=(*brief.kit, *_more_kit(form, brief)))
    those = [person for box, person in people.items() if form.get(box)]
    at_home = form.get("their_kit") == "at home"
    reading = read_brief(form.get("say", ""), library, brief, brief.for_people(those, at_home=at_home).kit)
    return replace(reading, brief=reading.brief.for_people(those, at_home=at_home))


def _whole(name: str, text: str) -> int:
    if not text.strip().isdecimal() or len(text.strip()) > 6:
        raise Invalid(name, "a whole number", text)
    return int(text)


def _moves(text: str, name: str, library: Library) -> Iterator[str]:
    """The keys of moves that are named with commas between."""
    for words in filter(None, (each.strip() for each in text.split(","))):
        key = library.key_of(words)
        if not key:
            try:
                library.move(words)
            except Invalid as problem:
                raise Invalid(name, problem.expected, words, nearest=problem.nearest) from None
        yield key


def _kit(form: Form) -> Iterator[Stock]:
    """The entries that are ticked."""
    for at in range(MOST_KIT):
        if text := form.get(f"{KIT}{at}", ""):
            try:
                values = json.loads(text)
            except (ValueError, RecursionError):
                values = None
            if not isinstance(values, dict):
                raise Invalid("kit", "an entry of kit", text)
            yield _stock(values)


def _stock(values: dict[str, Any]) -> Stock:
    reading = FileFaults("kit", "")
    try:
        return read_stock(Table(reading, values))
    except Skip:
        raise Faults(reading.faults) from None


def _more_kit(form: Form, brief: SessionBrief) -> Iterator[Stock]:
    """What is named in words: kit of the room by its number, and what everybody has, at home too."""
    for field in ("kit_in_room", "kit_each"):
        text = form.get(field, "").strip()
        stocks = [stock for each in kit_in(text) for stock in each.stocks]
        if text and not stocks:
            raise Invalid(field, "kit with its mass or number, such as eight balls, or two 2.5 kg", text)
        for stock in stocks:
            if field == "kit_each":
                yield replace(stock, each=min(20, stock.each or stock.count), count=0)
            else:
                yield replace(stock, count=stock.count or stock.each * max(1, brief.in_room), each=0)


def brief_fields(brief: SessionBrief) -> dict[str, str]:
    """The fields that say a brief: `read_form_brief` makes the same of them again."""
    start = SessionBrief()
    fields = {name: str(getattr(brief, name)) for name in NUMBERS}
    fields |= {name: ", ".join(getattr(brief, name)) for name in MOVES}
    fields |= {"level": str(brief.level), "style": str(brief.style), "title": brief.title}
    fields |= {name: "yes" if getattr(brief, name) else "no" for name in ("newcomers", "live", "lip_readers", "floor")}
    fields |= {f"{FOCUS}{each}": "on" for each in brief.focus}
    fields |= {f"{LIMIT}{each}": "on" for each in brief.limits}
    fields |= {f"{KIT}{at}": json.dumps(stock_values(stock)) for at, stock in enumerate(brief.kit[:MOST_KIT])}
    plain = dict.fromkeys(("newcomers", "live", "lip_readers"), "no")
    plain |= {"floor": "yes", "level": str(start.level), "style": str(start.style)}
    return {name: text for name, text in fields.items() if text and plain.get(name) != text}


def brief_words(brief: SessionBrief, library: Library) -> tuple[str, ...]:
    """The same in words, for her to see what was understood."""
    at_home = f" and {brief.at_home} at home{', live online' if brief.live else ''}" if brief.at_home else ""
    words = [
        f"{brief.minutes} minutes, {brief.level}",
        f"for {', '.join(brief.focus)}" if brief.focus else "for the whole body",
        f"{brief.in_room} in the room{at_home}{', some for the first time' if brief.newcomers else ''}",
        "somebody reads lips" if brief.lip_readers else "",
        "; ".join(map(stock_words, brief.kit)) or "nothing to bring",
        f"{brief.rounds} rounds" if brief.rounds else "",
        f"in {brief.style}" if brief.style is not Style.ROUNDS else "",
        "" if brief.floor else "nobody gets down to the floor",
        f"a version without {', '.join(brief.limits)}" if brief.limits else "",
    ]
    for name, begin in (("include", "with"), ("exclude", "without"), ("lately", "led lately:")):
        if keys := getattr(brief, name):
            words.append(f"{begin} {', '.join(library.move(key).name.lower() for key in keys)}")
    return tuple(filter(None, words))
