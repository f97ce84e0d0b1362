"""Sets to music end with it."""

from collections.abc import Iterator

from everyrung.checks.cells import every_cell, group_by_column, refs
from everyrung.checks.rule import TIMELINE, rule
from everyrung.plan.music import PHRASE, counts_a_rep, into_phrase, reps_by_phrase
from everyrung.terms.enums import Severity
from everyrung.terms.errors import or_list
from everyrung.terms.finding import Finding
from everyrung.terms.session import Bout, Cell, Session
from everyrung.terms.timeline import Timeline


@rule(TIMELINE)
def mid_phrase(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Repetitions to music end with a phrase.

    Severity: note
    Limit: whole phrases of 32 counts, to half a count
    Source: common practice, no source: music to move to is built of eights
    """
    del timeline  # what is counted needs no clock
    off = ((cell, bout) for cell in every_cell(session) if (bout := _off_the_phrase(cell)))
    for cells, words in group_by_column((cell, _end_words(bout, cell.beats_a_minute)) for cell, bout in off):
        yield Finding(
            rule=mid_phrase.id,
            severity=Severity.NOTE,
            where=cells[0].where,
            places=refs(cells),
            measured=words,
            limit=f"whole phrases of {PHRASE} counts",
            source=mid_phrase.source,
            remedy=_remedy(cells[0]),
        )


def _off_the_phrase(cell: Cell) -> Bout | None:
    beats = cell.beats_a_minute
    return next((bout for bout in cell.bouts if beats and bout.reps and into_phrase(bout, beats)), None)


def _end_words(bout: Bout, beats_a_minute: float) -> str:
    counts = counts_a_rep(bout, beats_a_minute)
    over = into_phrase(bout, beats_a_minute)
    return f"{bout.reps} repetitions of {counts:.3g} counts end {over:.3g} counts into a phrase"


def _remedy(cell: Cell) -> str:
    bout = _off_the_phrase(cell) or cell.bouts[0]
    doses = [str(each) for each in reps_by_phrase(bout, cell.beats_a_minute)]
    reps = f"Ask for {or_list(doses)} repetitions, " if doses else "Make a repetition whole counts long, "
    return f"{reps}take another tempo for {cell.rung.name}, or leave the music out of it."
