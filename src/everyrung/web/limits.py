"""What has to be avoided, as ticks of a form; and the questions that plain words lead to, which are not kept."""

from collections.abc import Mapping

from everyrung.moves.limit_words import Question, questions
from everyrung.terms.enums import Caution
from everyrung.terms.errors import Invalid

LIMIT = "limit."  # before a limit, in the names of a form's boxes
SAID = "said"  # the field for plain words
LIMIT_WORDS = {"limits": list(Caution), "limit": LIMIT, "said": SAID}  # for templates


def ticked(form: Mapping[str, str]) -> list[str]:
    """The limits whose boxes are ticked."""
    return [str(each) for each in Caution if form.get(f"{LIMIT}{each}")]


def to_ask(form: Mapping[str, str]) -> tuple[Question, ...]:
    """What to ask after plain words, but what is ticked already. Raises Invalid, without them, where none is known."""
    said = form.get(SAID, "")
    own = [Question(name="So", limit=each) for each in Caution if said.strip().casefold() == str(each)]
    found = (*own, *questions(said))
    if said.strip() and not found:
        remedy = "Tick what is to be avoided. What was typed is not kept."
        raise Invalid(SAID, "words that lead to a question, such as sore knee or pregnant", "others", remedy=remedy)
    return tuple(each for each in found if str(each.limit) not in ticked(form))
