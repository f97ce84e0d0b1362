"""A brief in plain words: a small grammar that says what it understood, and which words it did not."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from everyrung.moves.library import Library, standard_library
from everyrung.moves.limit_words import questions
from everyrung.moves.trade_names import kit_pattern
from everyrung.proposals.brief_moves import FOCUS, HURT, kit_of_moves, moves_by_whole_name, moves_in
from everyrung.proposals.brief_reader import BriefText, Meaning
from everyrung.proposals.kit_words import COUNT, NO_KIT, kit_in, number
from everyrung.terms.enums import Caution, KitItem, Level, Pattern
from everyrung.terms.errors import nearest
from everyrung.terms.plan import Stock
from everyrung.terms.session_brief import SessionBrief, Style

SOME = 4  # at home, where the text only says that there are; chosen
_NOT = "(?:nothing|no|not|never|without)"
_OLDER = (
    r"(?:over|above|past)[- ]?(?:6\d|7\d|8\d|sixty|seventy)(?:'?s|-fives?)?|(?:6\d|7\d|8\d)(?:(?=\+)| plus| and over)"
    r"|seniors?'?|pensioners|older (?:people|adults|members)"
)
_HOURS = {
    "three quarters of an hour": 45, "half an hour": 30, "half[- ]hour": 30, "an hour and a half": 90, "an hour": 60,
    "one hour": 60,
}  # fmt: skip
# A part of the body is something to train, unless one of these stands beside it.
_TROUBLE = re.compile(rf"\b({HURT}|one)\b")
_PARTS = re.compile(r"\b(knees?|shoulders?|backs?|hips?|wrists?|balance)\b")
_SILENT = re.compile(
    "the|and|or|of|with|at|in|on|for|to|some|them|who|comes?|everyone|each|any|none|an?|one|two|session|evening|morning"
    "|class|group|please|want|like|is|are|be|it|they|shall|as|same|not|but|mostly|only|season|wall"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What a text came to: the brief, what was understood as what, and the words that were not."""

    brief: SessionBrief
    meanings: tuple[tuple[str, str], ...]
    unknown: tuple[str, ...]


def unknown_words(reading: Reading) -> str:
    """What was not understood, each word with the nearest that would have been.

    >>> unknown_words(read_brief("30 min, dumbell, moonlight"))
    "dumbell (nearest: 'dumbbells'), moonlight"
    """
    names = [str(each) for each in (*KitItem, *Pattern, *Level)]
    near = ((word, nearest(word, names)) for word in reading.unknown)
    return ", ".join(f"{word}{_hint(word, other)}" for word, other in near)


def _hint(word: str, other: str | None) -> str:
    """The nearest word that is understood; of one that is, but not by itself, what is missing."""
    if other == word.casefold():
        return " (how heavy? '5 kg')" if KitItem(other).has_mass else ""
    return f" (nearest: {other!r})" if other else ""


def read_brief(
    sentence: str, library: Library | None = None, start: SessionBrief | None = None, at_hand: Sequence[Stock] = ()
) -> Reading:
    """A coach's words as a brief; what they do not say is as in `start`, and how heavy kit is that they name alone as
    in `at_hand`. Raises Invalid for a number out of bounds.

    >>> reading = read_brief("25 min arms and core, two 2.5 kg, one knee")
    >>> reading.brief.minutes, [str(each) for each in reading.brief.focus], reading.unknown
    (25, ['push', 'pull', 'trunk'], ())
    """
    text = BriefText(rest=sentence, brief=start or SessionBrief(), meanings=[])
    _minutes(text)
    _lips(text)
    _shape(text)
    moves = library or standard_library()
    by_name = moves_by_whole_name(text, moves)
    _wishes(text)
    _kit(text, at_hand)
    kit_of_moves(text, moves, by_name)
    _people(text)
    _limits(text)
    moves_in(text, moves)
    for words, patterns in FOCUS.items():
        names = ", ".join(patterns) if patterns else "all patterns"
        text.take_more(words, f"focus: {names}", "focus", patterns)
    unknown = [word for word in re.findall(r"[^\W_][\w'-]*", text.rest) if not _SILENT.fullmatch(word.casefold())]
    meanings = tuple(each for each in text.meanings if each[1])
    return Reading(brief=text.brief, meanings=meanings, unknown=tuple(unknown))


def _minutes(text: BriefText) -> None:
    for words, minutes in _HOURS.items():
        text.take_as(words, f"{minutes} minutes", minutes=minutes)
    text.take_as(rf"{COUNT} min(?:utes?)? shorter", "")
    text.take_number(rf"{COUNT} instead of \d+", "{} minutes", "minutes")
    text.take(rf"{COUNT} hours", lambda match: ({"minutes": 60 * number(match[1])}, f"{60 * number(match[1])} minutes"))
    text.take_number(rf"{COUNT}[ -]?(?:mins?|minutes?)", "{} minutes", "minutes")


def _lips(text: BriefText) -> None:
    """Who may read lips; before the level, of which "hard of hearing" does not speak."""
    some = rf"(?:{COUNT}|somebody|someone|some|a)"
    them = "(?:members?|people|persons?|participants?|of (?:them|us))"
    who = rf"(?:{some} )?(?:{them} )?(?:who )?(?:(?:is|are|wears?|has|have) )?(?:an? )?"
    no = "(?:does not|doesn['’]t|do not|don['’]t|cannot|can['’]t)"
    hears = rf"{no} hear(?: (?:well|much|me))?|hears? (?:badly|little|nothing)"
    reads = r"(?:reads?|reading) (?:my |the )?lips|lip[- ]?read(?:s|ers?|ing)?"
    deaf = r"deaf(?:ened)?|hard[- ]of[- ]hearing|hearing[- ](?:impaired|loss|aids?)"
    meaning = "somebody may read lips: nothing is said while your face is down or turned"
    text.take_as(rf"{who}(?:{reads}|{deaf}|{hears})(?: {them})?", meaning, lip_readers=True)


def _shape(text: BriefText) -> None:
    """Rounds, how the moves follow each other, and the level."""
    text.take_number(rf"{COUNT} rounds?", "{} rounds", "rounds")
    text.take_as("in pairs(?: of moves)?|pairs of moves", "two moves take turns", style=Style.PAIRS)
    text.take_as("(?:at |in )?stations|by the clock", "all sets equally long, by the clock", style=Style.STATIONS)
    text.take_as("straight sets", "all sets of a move on end", style=Style.STRAIGHT)
    text.take_as(_OLDER, "older people: offered as gentle, where nothing else is said", level=Level.GENTLE)
    text.once.pop("level", None)
    words = {"gentle|gently|easy|light": Level.GENTLE, "moderate": Level.MODERATE, "hard|tough": Level.HARD}
    for pattern, level in words.items():
        text.take_as(rf"(?:{pattern})(?! (?:mini |long )?bands?)", f"offered as {level}", level=level)


def _wishes(text: BriefText) -> None:
    """What is not to be, said outright."""
    off = r"no floor|off the floor|standing only|without (?:the )?floor|office clothes"
    text.take_as(off, "nobody gets down to the floor", floor=False)
    hands = (Caution.WRIST_LOAD, Caution.SHOULDER_LOAD)
    text.take_more("(?:nothing|no|not|never) overhead", "nothing overhead", "limits", (Caution.OVERHEAD,))
    text.take_more("no weight on (?:the )?hands", "no weight on hands", "limits", hands)
    lying = {"back": Caution.LYING_BACK, "front|stomach|belly|tummy": Caution.LYING_FRONT}
    for side, limit in lying.items():
        words = rf"{_NOT} (?:lying |lie )?(?:flat )?on (?:the |their |your )?(?:{side})"
        text.take_more(words, f"no {limit}", "limits", (limit,))
    text.take_more(f"{_NOT} kneel(?:ing)?", "no kneeling", "limits", (Caution.KNEELING,))
    quiet = "quiet(?:ly)?|(?:flat |room )?above (?:the )?neighbours|neighbours below"
    text.take_more(f"no impact|no jump(?:s|ing)?|{quiet}", "no impact", "limits", (Caution.IMPACT,))
    text.take_as("come back", "")


def _kit(text: BriefText, at_hand: Sequence[Stock]) -> None:
    """What is there and what is not; of kit whose mass is not said, what is listed or at hand, else the usual one."""
    text.take(NO_KIT, lambda match: _without_kit(text.brief, match[0]))
    for words, stocks, is_usual in list(kit_in(text.rest)):
        from_list = tuple(each for each in (*text.brief.kit, *at_hand) if each.item is stocks[0].item and is_usual)
        one = stocks[0]
        amounts = " and ".join(str(stock.mass or stock.grade or stock.item) for stock in from_list or stocks)
        where = f"{one.count} in the room" if one.count else f"{one.pieces} for everyone"
        if from_list:
            where = "as listed"
        elif is_usual:
            amounts += ", the usual, as it is not said how heavy"
        text.take_more(re.escape(words), f"{amounts}: {where}", "kit", () if from_list else stocks)


def _without_kit(brief: SessionBrief, words: str) -> Meaning:
    """What is said not to be there is not, though it may have been listed."""
    missing = [item for item in KitItem if re.search(rf"\b(?:{kit_pattern(item)})\b", words, re.IGNORECASE)]
    kit = tuple(stock for stock in brief.kit if stock.item not in missing)
    return {"kit": kit}, f"without {' or '.join(missing)}"


def _people(text: BriefText) -> None:
    text.take_number(
        rf"{COUNT} (?:newcomers?|beginners?)(?: of \w+)?", "{} for the first time", "in_room", newcomers=True
    )
    text.take_as("newcomers?|beginners?|first evening|first time", "some for the first time", newcomers=True)
    text.take_as("(?:just )?me alone|(?:just|only) me|on my own|by myself", "one in the room", in_room=1)
    text.take_number(rf"{COUNT} (?:people|members|participants|regulars)", "{} in the room", "in_room")
    text.take_number(rf"{COUNT} (?:here|in the (?:room|hall|boathouse))", "{} in the room", "in_room")
    text.take("some at home with nothing", lambda _: (_kit_in_the_room(text.brief), "some at home, without kit"))
    text.take_number(rf"{COUNT} at home", "{} at home", "at_home")
    text.take_as("(?:some )?at home", "some at home", at_home=text.brief.at_home or SOME)
    live = r"(?:led |held )?live(?: online)?(?: on (?:a |the )?(?:call|screen|video))?|(?:on|by) (?:a )?video call"
    text.take_as(live, "led live online for those at home", live=True, at_home=text.brief.at_home or SOME)
    none = "(?:no|without|bare|with|or) (?:kit|hands|nothing)|nothing|body ?weight(?: only)?"
    text.take_as(none, "a version without kit, as always")


def _kit_in_the_room(brief: SessionBrief) -> dict[str, Any]:
    """What everyone has is there for those in the room alone."""
    kit = tuple(
        replace(stock, count=stock.each * brief.in_room, each=0) if stock.each else stock for stock in brief.kit
    )
    return {"kit": kit, "at_home": brief.at_home or SOME}


def _limits(text: BriefText) -> None:
    """Words that may mean limits, clause by clause. Only the limits are kept."""
    for clause in re.findall(r"[^,.;:]+", text.rest):
        words = clause.strip()
        doubts = questions(words)
        trains = _PARTS.search(words.casefold()) and not _TROUBLE.search(words.casefold())
        if words and doubts and not trains:
            limits = tuple(dict.fromkeys(each.limit for each in doubts))
            limit_words = ", ".join(limits)
            text.take_more(
                re.escape(words),
                f"a version without {limit_words}; who is not sure asks {doubts[0].ask}",
                "limits",
                limits,
            )
