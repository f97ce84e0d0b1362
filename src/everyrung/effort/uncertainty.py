"""How far the model itself may be off, apart from how much people differ: the one place for what is said and decided.

Measured on docs/accuracy-audience.md, whole tests of ordinary people: 24 medians of five tests, both sexes. Both
figures are held by tests/published/test_field_tests.py, so that they follow the model.
"""

import numpy as np
from numpy.typing import NDArray

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
