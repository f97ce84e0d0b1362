"""How long words take to say, from their syllables, at the coach's own rate."""

import re

from everyrung.cues.aloud import aloud

# Syllables of English words in running speech: 1.4 to 1.5 (from memory; dossier section 8); the middle.
SYLLABLES_A_WORD = 1.45
LEAST_MS = 400  # chosen, because a single short word with its breath takes so long
_WORD = re.compile(r"[a-z]+(?:'[a-z]+)?|[0-9]+", re.IGNORECASE)
_VOWELS = re.compile(r"[aeiouy]+")
_TWO = re.compile(r"ia|io(?!n)|iu|(?<!p)eo|ua|uo|[aeou]ing|ying|ie(?=[rt])|ea$")  # vowels written together, said apart
_SILENT = re.compile(r"(?:[^laeiouy]e|[^aeiouy]le(?=ss)|[^aeiouycsxzhgl]es|[^aeioudty]ed|[aeiouy]l?e|rely)$")
_OTHERWISE = {"hundred": 2, "every": 2, "everyone": 3, "everybody": 4, "careful": 2, "someone": 2, "something": 2}
_ONES = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
)  # fmt: skip
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")


def spoken_ms(text: str, talk_wpm: int) -> int:
    """Milliseconds that `text` takes at a rate of `talk_wpm` words of usual length a minute; 0 for no words."""
    found = sum(map(syllables, _WORD.findall(aloud(text))))
    rate = talk_wpm * SYLLABLES_A_WORD / 60_000
    return max(LEAST_MS, round(found / rate)) if found else 0


def words(text: str) -> int:
    """How many words are said."""
    return len(_WORD.findall(text))


def syllables(word: str) -> int:
    """Syllables of an English word or number, by its letters: right for nineteen of twenty words of the library."""
    if word.isdecimal():
        return sum(map(syllables, number_words(int(word[:3])).split()))
    plain = word.casefold().replace("'", "").replace("qu", "kw")
    if plain in _OTHERWISE:
        return _OTHERWISE[plain]
    groups = len(_VOWELS.findall(plain)) + len(_TWO.findall(plain))
    if groups > 1 and _SILENT.search(plain):
        groups -= 1
    return max(1, groups)


def number_words(value: int) -> str:
    """A whole number below a thousand as it is said: 'twenty five'."""
    if value < len(_ONES):
        return _ONES[value]
    if value >= 100:
        rest = f" {number_words(value % 100)}" if value % 100 else ""
        return f"{_ONES[value // 100]} hundred{rest}"
    return f"{_TENS[value // 10 - 2]} {_ONES[value % 10] if value % 10 else ''}"
