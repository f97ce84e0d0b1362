"""Repetitions in time with music: each phase in whole counts of the beat, and where a phrase ends."""

from math import log

from everyrung.terms.session import Bout
from everyrung.terms.units import Tempo

COUNTS = (2, 4, 8, 16)  # of a repetition; common practice, no source: they share out a phrase
PHRASE = 32  # counts, four times eight; common practice, no source
NEAR = 0.5  # of a count, by which an end may be off; chosen, because nobody hears less in a room
PHASES = ("lower_ms", "bottom_ms", "rise_ms", "top_ms")


def beat_ms(beats_a_minute: float) -> float:
    """The time of one count."""
    return 60_000 / beats_a_minute


def on_the_beat(tempo: Tempo, beats_a_minute: float, counts: int | None = None) -> Tempo:
    """The tempo with each of its phases in whole counts: `counts` a repetition, or as many of COUNTS as come nearest to
    its time. What takes no time stays so.

    >>> str(on_the_beat(Tempo(lower_ms=2000, bottom_ms=0, rise_ms=1000, top_ms=0), 120))
    '2.5-0-1.5-0'
    """
    times = [getattr(tempo, name) for name in PHASES]
    total = counts or _nearest(tempo.rep_ms / beat_ms(beats_a_minute), sum(map(bool, times)))
    ends = [round(end * beat_ms(beats_a_minute)) for end in _ends(times, total)]
    return Tempo(**dict(zip(PHASES, (end - begin for begin, end in zip((0, *ends), ends, strict=False)), strict=True)))


def _nearest(counts: float, least: int) -> int:
    return min((each for each in COUNTS if each >= least), key=lambda each: abs(log(each / counts)))


def _ends(times_ms: list[int], total: int) -> list[int]:
    """The count with which each phase ends: as near to its share as whole counts are, and at least one each."""
    shares = [total * each / sum(times_ms) for each in times_ms]
    counts = [max(1, round(share)) if share else 0 for share in shares]
    while (over := sum(counts) - total) != 0:
        sign = 1 if over > 0 else -1
        free = [at for at, count in enumerate(counts) if count > (sign > 0)]
        farthest = max(free, key=lambda at: sign * (counts[at] - shares[at]))
        counts[farthest] -= sign
    return [sum(counts[: at + 1]) for at in range(len(counts))]


def counts_a_rep(bout: Bout, beats_a_minute: float) -> float:
    """How many counts a repetition takes, what is done at its depth among them."""
    return bout.rep_ms / beat_ms(beats_a_minute)


def into_phrase(bout: Bout, beats_a_minute: float) -> float:
    """How many counts into a phrase the last repetition ends: 0 where it ends with one."""
    return _over(bout.reps * counts_a_rep(bout, beats_a_minute))


def reps_by_phrase(bout: Bout, beats_a_minute: float) -> tuple[int, ...]:
    """The numbers of repetitions next to the bout's that end with a phrase, fewer first; none where none does."""
    counts = counts_a_rep(bout, beats_a_minute)
    ends = [reps for reps in range(1, 2 * PHRASE + bout.reps) if not _over(reps * counts)]
    below, above = [each for each in ends if each < bout.reps], [each for each in ends if each > bout.reps]
    return tuple(below[-1:] + above[:1])


def _over(counts: float) -> float:
    """What is over whole phrases; 0 where that is nothing that one hears."""
    over = counts % PHRASE
    return 0.0 if min(over, PHRASE - over) <= NEAR else over
