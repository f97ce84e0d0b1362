"""What someone has to hand, in the words that they would write: "2 x 10 lb", "ball 55 cm", "rucksack 6 kg"."""

import re
from typing import Any

from everyrung.moves.trade_names import kit_by_name, kit_names
from everyrung.parsing.body_size import decimal, plain
from everyrung.parsing.table_reader import Table, text
from everyrung.parsing.units import mass
from everyrung.terms.enums import BandGrade, KitItem
from everyrung.terms.errors import Invalid, nearest, or_list
from everyrung.terms.person import Own
from everyrung.terms.units import KG_PER_LB

NO_KIT = ("none", "no kit")
_BETWEEN = re.compile(r"[;+\n]|,\s+|,$")  # a comma inside "2,5 kg" has no space after it
_NUMBER = r"([0-9]{1,4}(?:[.,][0-9]{1,20})?)"
_PIECES = re.compile(r"(?:([0-9]{1,3})\s*[x×*]\s*|(a\s+)?(pair)\s+(?:of\s+)?)?(.*)", re.IGNORECASE)
_BALL_NAMES = "|".join(name.replace(" ", r"\s+") for name in kit_names(KitItem.BALL))
_BALL = re.compile(rf"(?:{_BALL_NAMES})\s+{_NUMBER}\s*cm(?:\s+rated\s+{_NUMBER}\s*(kg|lb))?", re.IGNORECASE)
_LIFTED = re.compile(rf"(?:(\D*?\S)\s+(?:of\s+)?)?{_NUMBER}\s*(kg|lbs|lb)?", re.IGNORECASE)
_DUMBBELL = ("dumbbell", "dumbbells", "db")
_STEP = re.compile(rf"step\s+{_NUMBER}\s*cm", re.IGNORECASE)
_LIFTED_ITEMS = {item.value: item for item in KitItem if item.has_mass and item is not KitItem.DUMBBELLS}
_PLAIN = [item.value for item in KitItem if not (item.has_mass or item.has_grade or item is KitItem.BALL)]
_GRADES = [grade.value for grade in BandGrade]
_FORMS = '"10 lb", "2 x 4 kg", "ball 65 cm", "light band", "rucksack 6 kg", ' + or_list(
    [f'"{word}"' for word in _PLAIN]
)
MAX_WORD = 40  # chosen, because it has to fit into one column of a list
MIN_RATED_KG, MAX_RATED_KG = 20.0, 2000.0  # chosen, because a ball rated outside is a typing slip


def take_kit(table: Table) -> tuple[Own, ...]:
    """The field `kit` of one person, each bad entry a fault of its own."""
    nothing: tuple[str, ...] = ()
    kit = table.take("kit", entries, nothing) or nothing
    if len(kit) == 1 and kit[0].casefold() in NO_KIT:
        return ()
    result: list[Own] = []
    for place, entry in enumerate(kit):
        try:
            result.append(own(entry))
        except Invalid as problem:
            table.reading.fault((*table.path, "kit", place), problem)
    return tuple(result)


def entries(value: Any) -> tuple[str, ...]:
    """The entries of a cell or of a list of texts, in their order."""
    texts = value if isinstance(value, list) else [value]
    parts = [part.strip() for each in texts for part in _BETWEEN.split(text(each))]
    return tuple(part for part in parts if part)


def own(value: Any) -> Own:
    """One entry. Raises Invalid with the nearest known word."""
    entry = text(value)
    match = _PIECES.fullmatch(" ".join(entry.split()))
    if match is None:  # the last group takes anything
        raise AssertionError(entry)
    pieces, name = int(match[1] or (2 if match[3] else 1)), match[4].strip()
    word = name.casefold()
    if (item := kit_by_name(word)) and item.value in _PLAIN:
        return Own(item=item, pieces=pieces)
    if grade := _grade(word):
        return Own(item=grade.item, pieces=pieces, grade=grade)
    if step := _STEP.fullmatch(name):
        return Own(item=KitItem.STEP, pieces=pieces, height_cm=decimal(step[1]))
    if ball := _BALL.fullmatch(name):
        return Own(item=KitItem.BALL, pieces=pieces, diameter_cm=decimal(ball[1]), rated_kg=_rated_kg(ball, entry))
    if weight := _LIFTED.fullmatch(name):
        return _weight(weight, pieces, entry)
    raise _unknown(word, entry)


def own_words(thing: Own) -> str:
    """An entry that `own` reads back as the same."""
    name = str(thing.grade or thing.item)
    if thing.mass:
        name = f"{thing.thing_name} {plain(thing.mass.amount)} {thing.mass.unit}".strip()
    if thing.height_cm:
        name = f"step {plain(thing.height_cm)} cm"
    if thing.diameter_cm:
        rating = f" rated {plain(thing.rated_kg)} kg" if thing.rated_kg else ""
        name = f"ball {plain(thing.diameter_cm)} cm{rating}"
    return name if thing.pieces == 1 else f"{thing.pieces} x {name}"


def _grade(word: str) -> BandGrade | None:
    """Of 'light band', and of 'light loop band', which the trade calls a mini band so."""
    strength, _, thing = word.partition(" ")
    item = kit_by_name(thing) if thing else None
    return next((grade for grade in BandGrade if grade.item is item and grade.value.startswith(f"{strength} ")), None)


def _rated_kg(ball: re.Match[str], entry: str) -> float | None:
    if ball[2] is None:
        return None
    rated_kg = decimal(ball[2]) * (1.0 if ball[3].casefold() == "kg" else KG_PER_LB)
    if not MIN_RATED_KG <= rated_kg <= MAX_RATED_KG:
        bounds = f"a rated load of {MIN_RATED_KG:g} to {MAX_RATED_KG:g} kg"
        raise Invalid("", bounds, entry, remedy="Copy it from the ball, or leave it out.")
    return rated_kg


def _weight(match: re.Match[str], pieces: int, entry: str) -> Own:
    word, unit = match[1] or "", (match[3] or "").casefold()
    if word.casefold() in _DUMBBELL:
        word = ""
    item = _LIFTED_ITEMS.get(word.casefold(), KitItem.DUMBBELLS)
    if item is not KitItem.DUMBBELLS:
        word = ""
    if near := nearest(word, [*_DUMBBELL[:2], *(item.value for item in KitItem)]):
        question = f'Say what it is: "ball 65 cm", or call a weight something less like {near}.'
        remedy = 'Write the mass alone: "10 lb".' if near in _DUMBBELL else question
        raise Invalid("", f"kit such as {_FORMS}", entry, nearest=near, remedy=remedy)
    if word and (len(word) > MAX_WORD or not re.fullmatch(r"[^\W\d_][^\W\d_' -]*(?:[' -]+[^\W\d_]+)*", word)):
        raise Invalid("", f"a name of up to {MAX_WORD} letters and a mass", entry)
    return Own(item=item, pieces=pieces, mass=mass(f"{decimal(match[2]):.12g} {unit}".strip()), word=word)


def _unknown(word: str, entry: str) -> Invalid:
    head = re.split(r"\s*\d", word)[0] or word
    near = nearest(head, [*_PLAIN, *_GRADES, "ball", *_DUMBBELL[:2], *NO_KIT])
    remedy = ""
    if word == "ball" or word.startswith("ball "):
        near, remedy = "", 'Say how wide: "ball 65 cm", and its rated load if you know it: "ball 65 cm rated 250 kg".'
    elif word == "band" or word.endswith(" band"):
        near, remedy = near, f"Say which: {or_list(_GRADES)}."
    elif near in _DUMBBELL:
        remedy = 'Say how heavy: "2 x 4 kg".'
    elif word in NO_KIT:
        near, remedy = "", "Write it alone, or leave the kit empty."
    elif re.search(r",\D|\d [a-z]+ \d", word):
        remedy = "Put a semicolon between one thing and the next."
    elif not near:
        remedy = 'A thing that is lifted needs its mass: "rucksack 6 kg".'
    return Invalid("", f"kit such as {_FORMS}", entry, nearest=near, remedy=remedy)
