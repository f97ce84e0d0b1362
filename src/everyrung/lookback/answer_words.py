"""What people write into a form: which column asks what, numbers, yes and no, in the languages of our neighbours.

Words are common ones of each language, from memory; a form in another one needs its headings renamed.
"""

import re
import unicodedata
from enum import StrEnum


class Asks(StrEnum):
    """What a column asks."""

    NAME = "name"
    DATE = "date"
    ROUND = "round"
    SET = "set"
    LEFT = "left"
    EFFORT = "effort"
    PAIN = "pain"
    COMMENT = "comment"


# Stems by which a heading is known, the surest first: "Did anything hurt?" asks pain though it says "anything".
STEMS: dict[Asks, tuple[str, ...]] = {
    Asks.PAIN: ("pain", "hurt", "ache", "sore", "schmerz", "weh", "douleur", "mal ", "dolor", "dolore", "kipu", "sattu",
                "smart", "smert", "ont ", "vondt", "pijn", "bol", "ból", "dor "),
    Asks.LEFT: ("left", "in reserve", "reserve", "rir", "more could", "could you have", "how many more", "ubrig",
                "noch geschafft", "noch moglich", "wiederholungen noch", "encore", "restant", "reserva", "quedaban",
                "mas podrias", "jaljella", "jaksanut", "kvar", "igjen", "tilbage", "rimast"),
    Asks.EFFORT: ("effort", "exertion", "rpe", "how hard", "hard was", "felt", "anstreng", "belastung", "schwer",
                  "effort", "difficult", "esfuerzo", "sforzo", "rasit", "raskasta", "kuormit", "anstrang", "zwaar",
                  "slit", "wysil"),
    Asks.COMMENT: ("comment", "remark", "note", "else", "feedback", "message", "bemerkung", "kommentar", "anmerkung",
                   "sonst", "remarque", "commentaire", "comentario", "huomio", "kommentti", "palaute", "ovrig",
                   "opmerking", "commenti", "uwag"),
    Asks.SET: ("exercise", "move", "which set", "set", "ubung", "exercice", "ejercicio", "esercizio", "liike", "sarja",
               "ovning", "ovelse", "oefening", "cell", "cwiczen"),
    Asks.ROUND: ("round", "runde", "tour", "ronda", "vuelta", "kierros", "varv", "omgang", "ronde", "giro"),
    Asks.DATE: ("timestamp", "date", "day", "when", "datum", "zeit", "horodat", "fecha", "paiva", "aika", "tid", "dag",
                "data", "giorno"),
    Asks.NAME: ("name", "who", "nom", "nombre", "nimi", "kuka", "navn", "namn", "naam", "wer", "person", "qui",
                "participant", "imie"),
}  # fmt: skip
YES = {"yes", "y", "ja", "j", "oui", "si", "sim", "kylla", "joo", "tak", "true", "1", "x", "da"}
NO = {"no", "n", "none", "nein", "nej", "nei", "non", "ei", "nao", "nie", "false", "0", "-", "nothing", "nope", "keine",
      "rien", "nada", "niente", "ingen", "inget", "nee"}  # fmt: skip
NUMBERS = {
    "zero": 0, "none": 0, "no": 0, "nothing": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6,
    "seven": 7, "eight": 8, "nine": 9, "ten": 10, "null": 0, "keine": 0, "eins": 1, "zwei": 2, "drei": 3, "vier": 4,
    "funf": 5, "sechs": 6, "nolla": 0, "yksi": 1, "kaksi": 2, "kolme": 3, "nelja": 4, "viisi": 5, "un": 1, "une": 1,
    "deux": 2, "trois": 3, "quatre": 4, "cinq": 5, "uno": 1, "dos": 2, "tres": 3, "ett": 1, "tva": 2, "tre": 3,
    "fyra": 4, "fem": 5,
}  # fmt: skip
_NUMBER = r"(\d{1,4}(?:[.,]\d{1,2})?)"
_OUT_OF = re.compile(rf"{_NUMBER}\s*(?:/|out of|of|von|sur|de|av)\s*(\d{{1,3}})")
_RANGE = re.compile(rf"{_NUMBER}\s*(?:-|–|—|to|or|bis|oder|a|à|ou|o|tai|eller)\s*{_NUMBER}")


def plain(text: str) -> str:
    """Without capitals, accents and marks, for comparing."""
    letters = unicodedata.normalize("NFKD", text.casefold().replace("ł", "l").replace("ø", "o").replace("æ", "ae"))
    return "".join(sign for sign in letters if not unicodedata.combining(sign)).strip()


def asks_of(heading: str) -> Asks | None:
    """What a heading asks; None for one that is not known."""
    words = f" {re.sub(r'[^a-z0-9]+', ' ', plain(heading)).strip()} "
    for asks, stems in STEMS.items():
        if any(f" {stem}" in words for stem in stems):
            return asks
    return None


def number_of(text: str) -> tuple[float | None, str]:
    """A number as people write it, None where it is none; and in words what was made of it ('' for nothing).

    >>> number_of("2,5"), number_of("7/10"), number_of("3-4"), number_of("two")
    ((2.5, ''), (7.0, ''), (3.5, "'3-4' taken for 3.5"), (2.0, ''))
    """
    words = plain(text)
    if match := _OUT_OF.search(words):
        value, most = _float(match[1]), float(match[2])
        if most == 10:
            return value, ""
        return (10 * value / most, f"{text!r} taken for {10 * value / most:g} of 10") if most else (None, "")
    if match := _RANGE.search(words):
        low, high = _float(match[1]), _float(match[2])
        return (low + high) / 2, f"{text!r} taken for {(low + high) / 2:g}"
    if match := re.fullmatch(
        rf"(?:about|ca\.?|circa|around|~|>|more than|at least|uber|yli)?\s*{_NUMBER}\s*(\D*)", words
    ):
        rest = match[2].strip(" .!")
        return _float(match[1]), f"{text!r} taken for {_float(match[1]):g}" if rest or not words[0].isdigit() else ""
    first = re.sub(r"[^a-z ]", "", words).split()
    if first and first[0] in NUMBERS:
        note = f"{text!r} taken for {NUMBERS[first[0]]}" if len(first) > 1 else ""
        return float(NUMBERS[first[0]]), note
    return None, ""


def _float(text: str) -> float:
    return float(text.replace(",", "."))


def yes_of(text: str) -> tuple[bool | None, str]:
    """Whether somebody said yes; words beside it are theirs to be read. Words that say neither are taken for yes, for
    who describes a pain has one.
    """
    words = re.sub(r"[^\w-]+", " ", plain(text)).split()
    if not words:
        return (False, "") if text.strip() in ("-", "–", "—") else (None, "")
    rest = text.strip() if len(words) > 1 else ""
    if words[0] in NO:
        return False, rest
    return True, rest if words[0] in YES else text.strip()
