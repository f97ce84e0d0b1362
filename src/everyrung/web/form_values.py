"""What fields of forms hold: amounts with their units, and the limits that are ticked."""

import re
from collections.abc import Mapping

from everyrung.moves.limit_words import Question, questions
from everyrung.terms.enums import Caution
from everyrung.terms.errors import Invalid

LIMIT = "limit."  # before a limit, in the names of a form's boxes
ALL = f"{LIMIT}all"  # the box that ticks several limits at once; its value names them
SAID = "said"  # the field for plain words
LIMIT_WORDS = {"limits": list(Caution), "limit": LIMIT, "all": ALL, "said": SAID}  # for templates


def ticked_limits(form: Mapping[str, str]) -> list[str]:
    """The limits whose boxes are ticked, or that are in a ticked box for several."""
    several = form.get(ALL, "").split("|")
    return [str(each) for each in Caution if form.get(f"{LIMIT}{each}") or str(each) in several]


def to_ask(form: Mapping[str, str]) -> tuple[Question, ...]:
    """What to ask after plain words, but what is ticked already. Raises Invalid, without them, where none is known."""
    text = form.get(SAID, "")
    own = [Question(name="So", limit=each) for each in Caution if text.strip().casefold() == str(each)]
    asking = (*own, *questions(text))
    if text.strip() and not asking:
        remedy = "Tick what is to be avoided. What was typed is not kept."
        raise Invalid(SAID, "words that lead to a question, such as sore knee or pregnant", "others", remedy=remedy)
    return tuple(each for each in asking if str(each.limit) not in ticked_limits(form))


def plain_number(text: str) -> float | str:
    """128.5 for '128.5' or '128,5'; what is none as it was typed."""
    bare = _NUMBER.fullmatch(text.strip())
    return float(f"{bare[1]}.{bare[2] or 0}") if bare else text


_NUMBER = re.compile(r"(\d{1,4})(?:[.,](\d{1,3}))?")
_UNITS = {
    "load": "kg",
    "mass": "kg",
    "rated": "kg",
    "diameter": "cm",
    "stature": "cm",
    "rest": "s",
}  # as the fields' labels say
_BARE = re.compile(r"(\d+ ?x ?)?(\d+)(?:[.,](\d+))?")  # a decimal comma is what half of Europe types


def with_unit(field: str, text: str, unit: str = "") -> str:
    """'2.5 kg' for '2.5' or '2,5', '2 x 4 kg' for '2 x 4'; whatever is more than a number stays as it was typed.

    `unit` is what the field shows beside itself where that is not always the same, as for a dose.
    """
    unit = unit or _UNITS.get(field.rpartition(".")[2], "")
    bare = _BARE.fullmatch(text.strip())
    if not unit or not bare or (bare[1] and unit != "kg"):
        return text
    pieces = f"{bare[1].strip(' x')} x " if bare[1] else ""
    return f"{pieces}{bare[2]}{f'.{bare[3]}' if bare[3] else ''} {unit}"
