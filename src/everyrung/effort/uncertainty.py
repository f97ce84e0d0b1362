"""How far the model itself may be off, apart from how much people differ: the one place for what is said and decided.

Measured on docs/accuracy-audience.md, whole tests of ordinary people: 24 medians of five tests, both sexes. Both
figures are held by tests/published/test_field_tests.py, so that they follow the model.
"""

import math
from functools import cache

import numpy as np
from numpy.typing import NDArray

from everyrung.effort.strength import GRIP, unsided
from everyrung.tables.reader import read_table

# Root mean square of ln(model / published) over the 20 of those medians that no factor was derived from.
COUNT_LOG_ERROR = 0.48
# As many times too much as the model foretells at most, in all of those tests but one: a man's side plank, published
# from memory. What is advised or offered has to stand up to that.
OVERSTATED = 1.25


def count_range(count: float) -> tuple[float, float]:
    """A forecast number of repetitions or seconds, one model error down and up."""
    return count * float(np.exp(-COUNT_LOG_ERROR)), count * float(np.exp(COUNT_LOG_ERROR))


def at_least(possible: NDArray[np.float64]) -> NDArray[np.float64]:
    """Repetitions or seconds that are there even if the model foretells too many."""
    return possible / OVERSTATED


# ---- by what it rests on: each independent of the others ----------------------------------------------------------

# Logarithmic standard deviations.
# D: eleven values of tables/joint_strength.csv from memory against what was found since, root mean square 0.17
# (docs/accuracy-audience.md lists them); V: the knee's, seen, against another source, 0.10.
MEMORY_LOG_SD, SEEN_LOG_SD = 0.17, 0.10
POSE_LOG_SD = 0.05  # of the hardest joint: twice the median of docs/accuracy/pose_error.py, for bodies differ as well
GROUP_LOG_SD = 0.10  # of a muscle group's effort, by the pose: checks/difficulty.py
FIELD_LOG_SD = 0.05  # of all strengths: the factor is 1.00 by men's push-ups alone, 1.10 by women's (D)
RECOVERY_LOG_SD = 0.43  # r from 5 to 15 is four of five (band of rates in tables/fatigue.csv)
ENDURANCE_LOG_SD = 0.25  # holds are off by up to 0.39, women's repetitions by 0.4 (docs/accuracy-audience.md)
PACE_LOG_SD = 0.10  # of a repetition's time; chosen, as 15 % slower or quicker is four of five
EIGHTY = 1.2816  # standard deviations either side that hold four of five


@cache
def flags() -> dict[str, str]:
    """How each motion's strength is known: V, V2 seen, D derived from what was seen, M and M- from memory."""
    rows = {row["motion"]: row["flag"] for row in read_table("joint_strength").rows}
    return {**rows, GRIP: "V"}  # strength_people.csv, Dodds 2014


def from_memory(motion: str) -> bool:
    """Whether the strength of 'knee_extension' (or '..._left') is from memory."""
    known = flags()
    return known.get(motion, known.get(unsided(motion), "M")).startswith("M")


def row_log_sd(motion: str) -> float:
    """How far one motion's strength may be off."""
    return MEMORY_LOG_SD if from_memory(motion) else SEEN_LOG_SD


def part_between(part: float, motion: str) -> tuple[float, float]:
    """The part of a strength that a pose asks, and where it lies in four of five cases: (0.50, 0.76) for 0.62."""
    width = EIGHTY * math.hypot(row_log_sd(motion), POSE_LOG_SD)
    return part * math.exp(-width), part * math.exp(width)


def effort_between(part: float) -> tuple[float, float]:
    """A muscle group's effort and where it lies in four of five cases: its strength is fitted to rows from memory."""
    width = EIGHTY * math.hypot(MEMORY_LOG_SD, GROUP_LOG_SD)
    return part * math.exp(-width), min(1.0, part * math.exp(width))
