"""Durations, tempos, masses, loads and doses from the forms that a coach writes; anything else is refused."""

import re
from typing import Any

from everyrung.terms.enums import BandGrade
from everyrung.terms.errors import Invalid
from everyrung.terms.units import Dose, Load, Mass, MassUnit, Per, Tempo

_CLOCK = re.compile(r"(\d{1,4}):([0-5]\d)(?:\.(\d{1,3}))?")
_SECONDS = re.compile(r"(\d{1,6}(?:\.\d{1,3})?)\s*(?:s|sec|seconds?)")
_MINUTES = re.compile(r"(\d{1,4}(?:\.\d{1,3})?)\s*(?:min|minutes?)")
_ISO = re.compile(r"PT(?=.)(?:(\d{1,4})M)?(?:(\d{1,6}(?:\.\d{1,3})?)S)?")
_TEMPO = re.compile(r"-".join([r"(\d{1,2}(?:\.\d{1,3})?)"] * 4))
_MASS = re.compile(r"(\d{1,4}(?:\.\d{1,3})?)\s*(kg|lb|lbs)")
_PIECES = re.compile(r"(?:([12])\s*[x×]\s*)?(.+)")
_REPS = re.compile(r"(\d{1,7})(?:\s*reps?)?(?:\s+(a side|in all))?")
_A_SIDE = re.compile(r"(\d+)\s*(?:x|reps?)?\s*(?:per|each|a|on each)[ -]?(?:side|leg|arm)")
_DURATION = 'a time such as "0:40", "40 s", "PT40S" or a whole number of seconds'


def duration(value: Any) -> int:
    """Milliseconds from "0:40", "40 s", "2 min", "PT40S" or whole seconds. Raises Invalid for anything else.

    >>> duration("1:30"), duration("40 s"), duration(40)
    (90000, 40000, 40000)
    """
    if isinstance(value, int) and not isinstance(value, bool):
        return _limit(value * 1000, value)
    if isinstance(value, str):
        text = value.strip()
        if match := _CLOCK.fullmatch(text):
            minutes, seconds, part = match.groups()
            return _limit(int(minutes) * 60_000 + int(seconds) * 1000 + int((part or "0").ljust(3, "0")), value)
        if match := _SECONDS.fullmatch(text):
            return _limit(round(float(match[1]) * 1000), value)
        if match := _MINUTES.fullmatch(text):
            return _limit(round(float(match[1]) * 60_000), value)
        if match := _ISO.fullmatch(text):
            return _limit(int(match[1] or 0) * 60_000 + round(float(match[2] or 0) * 1000), value)
    raise Invalid("", _DURATION, value, remedy=_duration_hint(value))


def _limit(duration_ms: int, value: object) -> int:
    if not 0 <= duration_ms <= 14_400_000:
        raise Invalid("", "a time from 0 to four hours", value)
    return duration_ms


def _duration_hint(value: Any) -> str:
    if isinstance(value, float):
        return f'Write "{value:g} s" or "{value:g} min".'
    if isinstance(value, str) and re.fullmatch(r"\d+:\d", value.strip()):
        return 'Seconds have two digits: "1:05".'
    if isinstance(value, str) and re.fullmatch(r"\d+,\d+.*", value.strip()):
        return "Write a decimal point, not a comma."
    if isinstance(value, str) and (match := re.fullmatch(r"(\d{1,2}):([6-9]\d)", value.strip())):
        return f'Write "{int(match[1]) + 1}:{int(match[2]) - 60:02d}".'
    if isinstance(value, str) and (match := re.fullmatch(r"(\d{1,3})\s*m(?:in)?\s*(\d{1,2})\s*s?", value.strip())):
        return f'Write "{match[1]}:{int(match[2]):02d}".'
    if isinstance(value, str) and re.fullmatch(r"\d+", value.strip()):
        return f'Say which unit: "{value.strip()} s" or "{value.strip()} min".'
    return ""


def tempo(value: Any) -> Tempo:
    """A tempo from "3-1-2-0": lowering, bottom pause, rising, top pause, in seconds."""
    if isinstance(value, str) and (match := _TEMPO.fullmatch(value.strip())):
        phases = [round(float(part) * 1000) for part in match.groups()]
        return Tempo(lower_ms=phases[0], bottom_ms=phases[1], rise_ms=phases[2], top_ms=phases[3])
    remedy = ""
    if re.fullmatch(r"\d{3,4}", str(value).strip()):
        remedy = f'Write "{"-".join(str(value).strip().rjust(4, "0"))}".'
    raise Invalid("", 'lowering-pause-rising-pause in seconds, such as "3-1-2-0"', value, remedy=remedy)


LEAST_BEATS, MOST_BEATS = 40, 220  # a minute; chosen, because nobody moves to slower or faster ones


def beats(value: Any) -> float:
    """The beats a minute of a piece of music, such as 128."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not LEAST_BEATS <= value <= MOST_BEATS:
        raise Invalid("", f"beats a minute, {LEAST_BEATS} to {MOST_BEATS}, such as 128", value)
    return float(value)


def mass(value: Any) -> Mass:
    """A mass from "10 lb" or "4.5 kg": the unit is always written."""
    if isinstance(value, str) and (match := _MASS.fullmatch(value.strip())):
        return Mass(amount=float(match[1]), unit=MassUnit(match[2].removesuffix("s")))
    remedy = ""
    if isinstance(value, int | float) or re.fullmatch(r"[\d.]+", str(value)):
        remedy = f'Say which unit: "{value} kg" or "{value} lb".'
    elif "," in str(value):
        remedy = "Write a decimal point, not a comma."
    raise Invalid("", 'a mass with its unit, such as "10 lb" or "4.5 kg"', value, remedy=remedy)


def load(value: Any) -> Load:
    """A load from "10 lb", "2 x 10 lb", "20 lb + 15 lb" or "light band"; how it is carried is another field."""
    if isinstance(value, str) and value.strip() in [grade.value for grade in BandGrade]:
        return Load(band=BandGrade(value.strip()))
    if isinstance(value, str) and value.count("+") == 1:
        first, second = value.split("+")
        return Load(pieces=(mass(first), mass(second)))
    if isinstance(value, str) and (match := _PIECES.fullmatch(value.strip())):
        try:
            return Load(pieces=(mass(match[2]),) * int(match[1] or 1))
        except Invalid as problem:
            expected = 'a load such as "10 lb", "2 x 4.5 kg" or "light band"'
            if problem.field:  # the mass was read but is out of bounds
                raise
            raise Invalid("", expected, value, remedy=problem.remedy) from None
    return Load(pieces=(mass(value),))


def dose(value: Any) -> Dose:
    """A dose from "10 a side", "12 in all", "12 reps", "0:40" or "40 s a side"."""
    if isinstance(value, str):
        text = " ".join(value.split())
        match = _REPS.fullmatch(text)
        if match and (match[2] or "rep" in text):
            return Dose(reps=int(match[1]), per=Per(match[2] or ""))
        per = next((each for each in (Per.SIDE, Per.ALL) if text.endswith(f" {each}")), Per.PLAIN)
        try:
            return Dose(duration_ms=duration(text.removesuffix(f" {per}") if per else text), per=per)
        except Invalid as problem:
            if problem.field:
                raise
    remedy = ""
    if isinstance(value, int) or re.fullmatch(r"\d+", str(value)):
        remedy = f'Say of what: "{value} reps", "{value} a side" or "{value} s".'
    elif re.fullmatch(r"\d+\s*(-|to|–)\s*\d+.*", str(value)):
        remedy = "A led set has one count: choose a number, and give the rest as options."
    elif match := _A_SIDE.fullmatch(str(value).strip()):
        remedy = f'Write "{match[1]} a side".'
    elif match := re.fullmatch(r"(\d+)\s*[x×]", str(value).strip()):
        remedy = f'Write "{match[1]} reps" or "{match[1]} a side".'
    else:
        remedy = _duration_hint(value)
    raise Invalid(
        "",
        'a dose such as "10 a side", "12 in all", "12 reps", "0:40" or "40 s a side"',
        value,
        remedy=remedy,
    )
