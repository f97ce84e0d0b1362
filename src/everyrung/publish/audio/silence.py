"""Where a track is silent. Most of a session is, and silence has neither to be computed with nor to be encoded."""

from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

QUIET_SAMPLES = 4_800  # a tenth of a second; chosen, because pauses between words and beeps are longer


def silent_blocks(samples: NDArray[Any], size: int) -> NDArray[np.bool_]:
    """Which blocks of `size` samples hold nothing but zeros (block); the last may be shorter."""
    whole = len(samples) // size
    result = np.empty(-(-len(samples) // size), dtype=bool)
    result[:whole] = ~samples[: whole * size].reshape(whole, size).any(axis=1)
    result[whole:] = not samples[whole * size :].any()
    return result


def sounding_runs(silent: NDArray[np.bool_]) -> Iterator[tuple[int, int]]:
    """The first block of each run that is not silent, and the one after it."""
    edges = np.flatnonzero(np.diff(silent, prepend=True, append=True))
    yield from zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)


def sounding(samples: NDArray[Any], size: int) -> Iterator[slice]:
    """The stretches of whole blocks that are not silent; all else is zero."""
    for first, after in sounding_runs(silent_blocks(samples, size)):
        yield slice(first * size, min(after * size, len(samples)))
