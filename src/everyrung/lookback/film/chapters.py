"""Chapters of a recording: those of the plan, where they really began; again where the session went back."""

from itertools import pairwise

from everyrung.lookback.film.material import Material
from everyrung.publish.captions.format import ARROW
from everyrung.publish.chapters import LEAST_COUNT, LEAST_MS, Chapter, chapters, long_enough

BEFORE, AFTER = "Before the session", "After the session"


def film_chapters(film: Material) -> tuple[Chapter, ...]:
    """From 0:00 to the recording's end without a gap, as hosts ask for; none where no beginning is known."""
    starts = sorted(_starts(film))
    if not starts:
        return ()
    if starts[0][0] < LEAST_MS:
        starts[0] = (0, starts[0][1])
    else:
        starts.insert(0, (0, BEFORE))
    end_ms = round(film.picture.length_ms)
    last_ms = round(max(take.pieces[-1][1] for take in film.takes))
    if end_ms - last_ms >= LEAST_MS:
        starts.append((last_ms, AFTER))
    once = [each for before, each in pairwise([(-1, ""), *starts]) if each[1] != before[1]]
    rows = [
        Chapter(at_ms=at_ms, end_ms=next_ms, title=title)
        for (at_ms, title), (next_ms, _) in pairwise([*once, (end_ms, "")])
        if next_ms > at_ms
    ]
    result = long_enough(rows)
    return result if len(result) >= LEAST_COUNT else ()


def _starts(film: Material) -> list[tuple[int, str]]:
    """Where each chapter of the plan begins, or goes on; with the words alone, where each move is named."""
    if not film.passages:
        return [
            (round(take.pieces[0][0]), " ".join(film.sets[take.place].cell.rung.name.replace(ARROW, "→").split()))
            for take in film.takes
        ]
    return [
        (round(passage.at(max(each.at_ms, passage.plan_ms))), each.title)
        for passage in film.passages
        for each in chapters(film.variants[passage.way].timeline)
        if max(each.at_ms, passage.plan_ms) < min(each.end_ms, passage.plan_end_ms)
    ]
