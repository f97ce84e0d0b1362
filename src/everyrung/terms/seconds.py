"""Times as people read them, in whole seconds: sets to music end between two."""

from everyrung.terms.units import clock_text

SECOND_MS = 1000


def moment_text(at_ms: int) -> str:
    """The second that a moment falls in.

    >>> moment_text(90_968)
    '1:30'
    """
    return clock_text(at_ms // SECOND_MS * SECOND_MS)


def whole_ms(duration_ms: int) -> int:
    """The whole seconds that something takes, begun ones too: what is said to fit does fit.

    >>> whole_ms(90_968), whole_ms(90_000)
    (91000, 90000)
    """
    return -(-duration_ms // SECOND_MS) * SECOND_MS
