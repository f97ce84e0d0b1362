"""Kit in plain words: 'two 2.5 kg', 'pairs of tens', 'eight balls', 'a light band each'."""

import re
from collections.abc import Callable, Iterator
from typing import NamedTuple

from everyrung.cues.speech import number_words
from everyrung.moves.trade_names import kit_names, kit_pattern
from everyrung.terms.enums import BandGrade, KitItem
from everyrung.terms.errors import Invalid
from everyrung.terms.plan import Stock
from everyrung.terms.units import Mass, MassUnit

STEP_KG = 2.0  # between the weights of a range; chosen, because racks are so stocked
USUAL_BALL_CM, USUAL_RATED_KG = 65.0, 250.0  # chosen: what most people sit on, and the rating that is common
# Of what is lifted where no mass is said; chosen, because most who are no strangers to it can hold as much.
USUAL_KG = {
    KitItem.DUMBBELLS: 5.0, KitItem.KETTLEBELL: 8.0, KitItem.MEDICINE_BALL: 3.0, KitItem.RUCKSACK: 5.0,
    KitItem.WATER_CAN: 5.0,
}  # fmt: skip
NUMBERS = {
    "a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
    "ten": 10, "eleven": 11, "twelve": 12, "fifteen": 15, "twenty": 20, "thirty": 30, "forty": 40,
    "fifty": 50, "sixty": 60,
}  # fmt: skip
NUMBERS |= {number_words(number).replace(" ", "-"): number for number in range(21, 60) if number % 10}
COUNT = rf"(\d{{1,5}}|{'|'.join(sorted(NUMBERS, key=len, reverse=True))})"
_NUMBER = COUNT.replace("(", "(?P<n>", 1)
_TENS = {"fives": 5, "eights": 8, "tens": 10, "twelves": 12, "fifteens": 15, "twenties": 20}
_PLAIN = (
    KitItem.CHAIR, KitItem.BENCH, KitItem.TABLE, KitItem.SLIDERS, KitItem.TOWEL, KitItem.PILLOW,
    KitItem.MAT,
)  # fmt: skip
KIT = f"(?:{'|'.join(kit_pattern(item) for item in KitItem if item is not KitItem.WALL)})"
_NO = "(?:no|not|without)(?: any| an?| the)?"
_DENIED = re.compile(rf"\b{_NO} $", re.IGNORECASE)
_ENDS = r"(?= *(?:[^\w\s-]|$|(?:and|or|but|at|in|for|with|here|there|today|tonight|please)\b))"
NO_KIT = rf"{_NO} {KIT}(?: (?:or|and|nor) (?:no )?{KIT})*{_ENDS}"  # none of these is there; "no ball squats" is a move
_LIFTED = (KitItem.KETTLEBELL, KitItem.MEDICINE_BALL, KitItem.RUCKSACK, KitItem.WATER_CAN)
_GRADE = r"light|medium|heavy"
_GRADES = rf"(?:{_GRADE})(?:(?:, | and | or |, and )(?:{_GRADE}))*"
_NOT_LIFTED = "".join(f"(?<!{each.removesuffix('ball')})" for each in kit_names(KitItem.MEDICINE_BALL))
_NO_MASS = "".join(f"(?<!{unit} )" for unit in ("kg", "kilo", "kilos", "lb", "lbs", "pound", "pounds"))
_HAND_WEIGHT = f"(?:{kit_pattern(KitItem.DUMBBELLS)})"
_VALUE = rf"(?:\d{{1,2}}(?:\.\d)?|{'|'.join(sorted(NUMBERS, key=len, reverse=True))})(?: and a half)?"
_UNIT = r"(?P<unit>kg|kilo(?:gram)?s?|lbs?|pounds?)"
_AND = r"(?:, and |, | and | or )"
# Of what is named, "900 kg" too: it is then refused with its bounds. "Rated 250 kg" is nothing to hold.
_NAMED_MASS = (
    rf"(?P<lighter>(?:{_VALUE}{_AND})*)(?P<low>\d{{3,4}}|{_VALUE})(?:(?: to | ?- ?)(?P<high>{_VALUE}))?[ -]?{_UNIT}"
)
_MASS = rf"(?P<lighter>(?:{_VALUE}{_AND})*)(?P<low>{_VALUE})(?:(?: to | ?- ?)(?P<high>{_VALUE}))?[ -]?{_UNIT}"


class NamedKit(NamedTuple):
    """Kit as a text names it: the words, what they come to, and whether its mass is the usual one, for none is said."""

    words: str
    stocks: tuple[Stock, ...]
    is_usual: bool = False


def kit_in(sentence: str) -> Iterator[NamedKit]:
    """Each piece of kit that a text names, the longest words first, but what it says is not there. A number says how
    many are in the room; without one, everybody has it.
    """
    for readers, is_usual in ((_READERS, False), (_USUAL_READERS, True)):
        for pattern, make in readers:
            for match in list(re.finditer(rf"\b{pattern}", sentence, re.IGNORECASE)):
                if not _DENIED.search(sentence[: match.start()]):
                    yield NamedKit(match[0], tuple(make(match)), is_usual)
                    sentence = blank_out(sentence, match)


def blank_out(sentence: str, match: re.Match[str]) -> str:
    """The sentence with spaces where a match was, so that all else keeps its place."""
    return f"{sentence[: match.start()]}{' ' * len(match[0])}{sentence[match.end() :]}"


def number(word: str) -> int:
    """7 for '7' and for 'seven'. Raises Invalid for what is neither."""
    value = NUMBERS.get(word.casefold())
    if value is None and not word.isdigit():
        raise Invalid("number", "a number in figures or words", word)
    return int(word) if value is None else value


def _count(word: str | None) -> int:
    """How many in the room a word says; 0 where it says none, or one for everybody ('a chair')."""
    return 0 if not word or word.casefold() in ("a", "an", "one") else number(word)


def _dumbbells(match: re.Match[str]) -> Iterator[Stock]:
    """'two 2.5 kg', '2 x 5 kg', 'a 12 kg dumbbell', 'dumbbells 4 to 12 kg': what everybody has."""
    pieces = 2 if match["pair"] or not match["n"] else _count(match["n"]) or 1
    for mass in _masses(match):
        yield Stock(item=KitItem.DUMBBELLS, mass=mass, each=min(20, pieces))


def _weights(item: KitItem) -> Callable[[re.Match[str]], Iterator[Stock]]:
    """'two 8 kg kettlebells each', 'kettlebells, 8 and 12 kg', 'a 3 kg medicine ball'."""

    def make(match: re.Match[str]) -> Iterator[Stock]:
        number = _count(match["n"])
        count = 0 if match[0].endswith(" each") else number
        for mass in _masses(match):
            yield Stock(item=item, mass=mass, count=count, each=0 if count else number or 1)

    return make


def _usual_weights(item: KitItem) -> Callable[[re.Match[str]], Iterator[Stock]]:
    """'a kettlebell', 'eight kettlebells', 'eight pairs of dumbbells', of the usual mass; 'dumbbells' are two."""

    def make(match: re.Match[str]) -> Iterator[Stock]:
        number, pairs = _count(match["n"]), match["pairs"] is not None
        is_of_each = match[0].endswith(" each") or (item is KitItem.DUMBBELLS and number == 2 and not pairs)
        count = 0 if is_of_each else number
        few = 2 if item is KitItem.DUMBBELLS and not match["n"] and not pairs else 1
        mass = Mass(amount=USUAL_KG[item], unit=MassUnit.KG)
        yield Stock(item=item, mass=mass, count=count, each=0 if count else min(20, number or few), pairs=pairs)

    return make


def _masses(match: re.Match[str]) -> Iterator[Mass]:
    """The masses that are named, '8 and 12 kg', or those of a range."""
    unit = MassUnit.KG if match["unit"].casefold().startswith("k") else MassUnit.LB
    for words in filter(None, re.split(_AND, match["lighter"], flags=re.IGNORECASE)):
        yield Mass(amount=_value(words), unit=unit)
    low = _value(match["low"])
    high = _value(match["high"]) if match["high"] else low
    for step in range(int((high - low) / STEP_KG) + 1):
        yield Mass(amount=low + step * STEP_KG, unit=unit)


def _value(words: str) -> float:
    """2.5 for '2.5' and for 'two and a half'."""
    whole = words.casefold().removesuffix(" and a half")
    half = 0.5 if whole != words.casefold() else 0.0
    return (float(whole) if whole[0].isdigit() else number(whole)) + half


def _tens(match: re.Match[str]) -> Iterator[Stock]:
    """'pairs of tens': pounds, as a coach says it."""
    mass = Mass(amount=_TENS[match["tens"].casefold()], unit=MassUnit.LB)
    count = _count(match["n"])
    yield Stock(item=KitItem.DUMBBELLS, mass=mass, pairs=True, count=count, each=0 if count else 1)


def _balls(match: re.Match[str]) -> Iterator[Stock]:
    count = _count(match["n"])
    size = float(match["cm"]) if match["cm"] else USUAL_BALL_CM
    yield Stock(item=KitItem.BALL, diameter_cm=size, rated_kg=USUAL_RATED_KG, count=count, each=0 if count else 1)


def _bands(match: re.Match[str]) -> Iterator[Stock]:
    """'a light band each', 'light, medium and heavy mini bands', 'bands, light and heavy'."""
    kind = KitItem.MINI_BAND if match["mini"] else KitItem.BAND
    grades = re.findall(_GRADE, f"{match['grades'] or ''} {match['after'] or ''}", re.IGNORECASE) or ["medium"]
    count = _count(match["n"])
    for grade in grades:
        yield Stock(item=kind, grade=BandGrade(f"{grade.casefold()} {kind}"), count=count, each=0 if count else 1)


def _steps(match: re.Match[str]) -> Iterator[Stock]:
    """'a 20 cm step each', 'eight steps of 15 cm'."""
    count = _count(match["n"])
    height = match["low"] or match["high"]
    yield Stock(item=KitItem.STEP, height_cm=float(height) if height else None, count=count, each=0 if count else 1)


def _plain(item: KitItem) -> Callable[[re.Match[str]], Iterator[Stock]]:
    def make(match: re.Match[str]) -> Iterator[Stock]:
        count = _count(match["n"])
        yield Stock(item=item, count=count, each=0 if count else 1)

    return make


_READERS: tuple[tuple[str, Callable[[re.Match[str]], Iterator[Stock]]], ...] = (
    *((rf"(?:{_NUMBER} )?{_NAMED_MASS} (?:{kit_pattern(item)})(?: each)?\b", _weights(item)) for item in _LIFTED),
    *(
        (
            rf"(?:{_NUMBER} )?(?:{kit_pattern(item)})(?: of|[,:])? {_NAMED_MASS}(?! {_HAND_WEIGHT})(?: each)?\b",
            _weights(item),
        )
        for item in _LIFTED
    ),
    (
        rf"(?<!of )(?:(?P<pair>pairs? of )|{_NUMBER}(?: ?[x×] ?| times | ))?(?:{_HAND_WEIGHT}(?: of)? )?{_MASS}"
        rf"(?: {_HAND_WEIGHT})?(?: each)?\b",
        _dumbbells,
    ),
    (rf"(?:{_NUMBER} )?pairs? of (?P<tens>{'|'.join(_TENS)})\b", _tens),
    (rf"(?:{_NUMBER} )?(?:(?P<cm>\d\d) ?cm )?{_NOT_LIFTED}(?:{kit_pattern(KitItem.BALL)})\b", _balls),
    (
        rf"(?:{_NUMBER} )?(?:(?P<grades>{_GRADES}) )?(?:(?P<mini>{kit_pattern(KitItem.MINI_BAND)})"
        rf"|{kit_pattern(KitItem.BAND)})(?:[,:]? (?P<after>{_GRADES}))?(?: each| only)?\b",
        _bands,
    ),
    (
        rf"(?:{_NUMBER} )?(?:(?P<low>\d\d) ?cm )?(?:{kit_pattern(KitItem.STEP)})"
        rf"(?:(?: of)? (?P<high>\d\d) ?cm(?: high)?)?(?: each| only)?\b",
        _steps,
    ),
    *((rf"(?:{_NUMBER} )?(?:{kit_pattern(item)})(?: each| only)?\b", _plain(item)) for item in _PLAIN),
)

# Tried after all others, so that a mass is never left beside the usual one.
_USUAL_READERS = tuple(
    (
        rf"(?:{_NUMBER} )?(?P<pairs>pairs? of )?{_NO_MASS}(?:{kit_pattern(item)})(?: each| only)?\b",
        _usual_weights(item),
    )
    for item in (KitItem.DUMBBELLS, KitItem.KETTLEBELL, KitItem.MEDICINE_BALL)  # what is filled differs too much
)
