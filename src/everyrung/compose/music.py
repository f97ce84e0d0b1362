"""Candidates for sets that end in mid-phrase."""

from collections.abc import Iterator
from dataclasses import replace

from everyrung.compose.case import Case, Remedy
from everyrung.compose.rungs import set_dose
from everyrung.plan.music import COUNTS, counts_a_rep, on_the_beat, reps_by_phrase
from everyrung.terms.edit import SetCell
from everyrung.terms.session import Bout


def mid_phrase(case: Case) -> Iterator[Remedy]:
    """The next numbers of repetitions that end with a phrase, another number of counts for each, or no music."""
    cells = case.cells
    beats, bout = cells[0].beats_a_minute, cells[0].bouts[0]
    for reps in reps_by_phrase(bout, beats):
        doses = [(cell, replace(cell.dose, reps=reps)) for cell in cells]
        edits = tuple(edit for cell, dose in doses for edit in set_dose(cell, dose))
        yield Remedy(words=f"{doses[0][1]}, to the end of a phrase", edits=edits)
    for counts in _other_counts(bout, beats):
        tempo = str(on_the_beat(bout.tempo, beats, counts))
        slower = tuple(SetCell(ref=cell.ref, field="tempo", value=tempo) for cell in cells)
        yield Remedy(words=f"{counts} counts a repetition", edits=slower)
    without = SetCell(ref=cells[0].ref, field="beats_a_minute", value=None, column=True)
    yield Remedy(words="No music for this move", edits=(without,), silent=True)


def _other_counts(bout: Bout, beats_a_minute: float) -> Iterator[int]:
    """Half or twice as many as now, but no quicker than four to a repetition."""
    now = round(counts_a_rep(bout, beats_a_minute))
    yield from (counts for counts in COUNTS if counts != now and counts >= 4 and now / 2 <= counts <= 2 * now)
