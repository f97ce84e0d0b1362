"""Written words as they are said: units, ranges and signs in full, so that a voice reads them as a person would.

How long words take to say, from their syllables, at the coach's own rate.
"""

import re

# One and several; "in" is left out, for it mostly is the word: "eight in a row".
_UNITS = {
    "kg": ("kilogram", "kilograms"), "g": ("gram", "grams"), "lb": ("pound", "pounds"), "lbs": ("pound", "pounds"),
    "cm": ("centimetre", "centimetres"), "mm": ("millimetre", "millimetres"), "m": ("metre", "metres"),
    "ft": ("foot", "feet"), "s": ("second", "seconds"), "sec": ("second", "seconds"), "min": ("minute", "minutes"),
    "%": ("per cent", "per cent"),
}  # fmt: skip
_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
_RANGE = re.compile(rf"(?<![\w.-])({_NUMBER}) ?[-–] ?({_NUMBER})(?![\w-]|\.[0-9])")
_TIMES = re.compile(rf"(?<![\w.])({_NUMBER}) ?[x×] ?(?={_NUMBER})")
_MEASURE = re.compile(rf"(?<![\w.])({_NUMBER})([ -]?)({'|'.join(sorted(_UNITS, key=len, reverse=True))})(?!\w)")
_SIGNS = {"and/or": "or", "&": " and ", "+": " plus ", "=": " is ", "/": " or ", "~": " about ", "→": " then "}


def speech_text(text: str) -> str:
    """A text as it is said, units and signs in full. What has no such sign comes back as it is.

    >>> speech_text("3x10 with 10 lb")
    '3 times 10 with 10 pounds'
    """
    speech = _RANGE.sub(r"\1 to \2", text)
    speech = _TIMES.sub(r"\1 times ", speech)
    speech = _MEASURE.sub(_in_full, speech)
    for sign, word in _SIGNS.items():
        speech = speech.replace(sign, word)
    return " ".join(speech.split())


def _in_full(measure: re.Match[str]) -> str:
    one, several = _UNITS[measure[3]]
    return f"{measure[1]} {one if measure[1] == '1' or measure[2] == '-' else several}"  # a 10-pound ball


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


def speech_ms(text: str, talk_wpm: int) -> int:
    """How long `text` takes to say at a rate of `talk_wpm` words of usual length a minute; 0 for no words.

    >>> speech_ms("Lower slowly", talk_wpm=120)
    1379
    """
    total = sum(map(syllables, _WORD.findall(speech_text(text))))
    rate = talk_wpm * SYLLABLES_A_WORD / 60_000
    return max(LEAST_MS, round(total / rate)) if total else 0


def words(text: str) -> int:
    """How many words are said; a number is one."""
    return len(_WORD.findall(text))


def syllables(word: str) -> int:
    """Syllables of an English word or number, by its letters: right for nineteen of twenty words of the library.

    >>> syllables("shoulder"), syllables("25")
    (2, 3)
    """
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
    ones = f" {_ONES[value % 10]}" if value % 10 else ""
    return f"{_TENS[value // 10 - 2]}{ones}"
