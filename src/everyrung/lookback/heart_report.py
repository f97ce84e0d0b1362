"""A heart rate beside its session, in lines and as values; none is shown of people on medicine that limits it."""

from collections.abc import Iterator
from itertools import pairwise

from everyrung.lookback.heart_file import HeartFile
from everyrung.lookback.heart_on_plan import LEAST_COVERAGE, HeartOutcome
from everyrung.terms.units import clock_text

MEDICINE = "Medicine limits this heart rate, however hard the work is: go by how hard it felt. No rate is shown."


def heart_lines(outcome: HeartOutcome) -> Iterator[str]:
    """Where the session begins in the file, then a row for each round."""
    yield from heart_sentences(outcome)
    yield "  round                     covered  mean  most"
    for name, coverage, mean, most, between in heart_rows(outcome):
        yield f"  {name:<25} {coverage:>7}  {mean:>4}  {most:>4}{f'   {between}' if between else ''}"
    yield f"Covered: the part of the time with a rate; below {LEAST_COVERAGE:.0%} no mean is given."
    yield from (f"In the file: {problem}." for problem in outcome.file.problems)


def heart_sentences(outcome: HeartOutcome) -> Iterator[str]:
    """Where the session lies in the file, and what is to be thought of it."""
    at = f"{outcome.beginning.at:%Y-%m-%d %H:%M:%S} UTC"
    if outcome.beginning.chance == 1.0:
        yield f"The session began at {at}."
    elif outcome.beginning.is_sure:
        yield f"The session begins at {at} in this file, by its rise and fall ({outcome.beginning.chance:.0%} sure)."
    elif _is_too_short(outcome):
        seconds, session = clock_text(_measured_ms(outcome)), clock_text(1000 * len(outcome.rates))
        yield f"? The file has {seconds} of heart rate: too little to find a session of {session}. Say it: --began."
    else:
        yield f"? Where the session begins in this file is not clear; {at} is likeliest. Say it: --began."
    if outcome.on_medicine:
        yield MEDICINE
    if outcome.resting_bpm is not None and not outcome.on_medicine:
        yield f"Before it: {outcome.resting_bpm:.0f} a minute: the resting rate, if they sat still."
    yield from _gaps(outcome.file)


def _is_too_short(outcome: HeartOutcome) -> bool:
    return _measured_ms(outcome) < 1000 * len(outcome.rates) * LEAST_COVERAGE


def _measured_ms(outcome: HeartOutcome) -> int:
    readings = outcome.file.readings
    return round((readings[-1].at - readings[0].at).total_seconds() * 1000) + 1000


def _gaps(file: HeartFile) -> Iterator[str]:
    """What a curve has no rate for, and why: nothing is dropped without a word."""
    missing, every = sum(each.bpm is None for each in file.readings), len(file.readings)
    if missing:
        yield f"{missing} of {every} readings have no rate: no contact, or one that no heart has (0, 1, 255)."
    stops = [(here.at, there.at) for here, there in pairwise(file.readings) if there.after_pause]
    if stops:
        length = clock_text(sum(round((end - begin).total_seconds() * 1000) for begin, end in stops))
        times = "once" if len(stops) == 1 else f"{len(stops)} times"
        yield f"The watch was stopped {times}, {length} in all: no rate is taken for that time, and no rest."


def heart_rows(outcome: HeartOutcome) -> Iterator[tuple[str, str, str, str, str]]:
    """For each round its name, how much of it is covered, mean and most a minute, and what lies between readings."""
    for each in outcome.stretches:
        hides = outcome.on_medicine or not outcome.beginning.is_sure
        mean, most = ("-" if hides or value is None else f"{value:.0f}" for value in (each.mean_bpm, each.most_bpm))
        yield each.name, f"{each.coverage:.0%}", mean, most, _between(each.between)


def _between(part: float) -> str:
    return f"{part:.0%} between readings" if part >= 0.5 else ""


def heart_values(outcome: HeartOutcome) -> dict[str, object]:
    """The same for programs; rates are left out on medicine, and where the beginning is not sure."""
    hides = outcome.on_medicine or not outcome.beginning.is_sure
    return {
        "file": outcome.file.name,
        "begins": outcome.beginning.at.isoformat(),
        "chance": round(outcome.beginning.chance, 3),
        "on_medicine": outcome.on_medicine,
        "resting_bpm": None if hides else outcome.resting_bpm,
        "rounds": [
            {
                "name": each.name,
                "at": clock_text(each.at_ms),
                "coverage": round(each.coverage, 3),
                "between": round(each.between, 3),
                "mean_bpm": None if hides or each.mean_bpm is None else round(each.mean_bpm, 1),
                "most_bpm": None if hides or each.most_bpm is None else each.most_bpm,
            }
            for each in outcome.stretches
        ],
        "problems": list(outcome.file.problems),
    }
