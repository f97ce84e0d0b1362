"""One person's heart rate as a thin line under the score: a gap where nothing was measured, none on such medicine."""

from collections.abc import Sequence

import numpy as np

from everyrung.lookback.heart_on_plan import HeartOutcome
from everyrung.score.layout import SMALL, System
from everyrung.score.marks import cut, group, line, num, tag, text, words

STRIP = 46.0  # height of one person's
INNER = 32.0  # of which the line takes
STEP_BPM = 20  # chosen, because a session goes through three or four such steps
NOT_CLEAR = "where the session begins in it is not clear: not drawn"
MEDICINE = "medicine limits this rate: not drawn"


def draw_heart(heart: HeartOutcome, whose: str, system: System, top: float, hearts: Sequence[HeartOutcome]) -> str:
    """The line of one system; all people of a picture share one scale."""
    low, high = scale(hearts)
    paper, right, bottom = system.paper, system.x(system.end_ms), top + 8 + INNER
    parts = [
        tag("title", words(f"Heart rate, {whose}")),
        text(paper.left - 6, top + 18, cut(whose, paper.left - 8, SMALL), SMALL, text_anchor="end"),
        line(paper.left, bottom, right, bottom, stroke="currentColor", stroke_width="0.4", opacity="0.5"),
    ]
    if why := why_hidden(heart):
        parts.append(text(paper.left + 3, bottom - 10, cut(why, paper.inner, SMALL), SMALL))
        return group(parts, class_="heart")
    for bpm in range(low, high + 1, STEP_BPM):
        y = bottom - (bpm - low) / (high - low) * INNER
        parts.append(line(paper.left, y, right, y, stroke="currentColor", stroke_width="0.3", opacity="0.35"))
    parts += [text(right + 1, bottom, str(low), 8), text(right + 1, bottom - INNER + 5, str(high), 8)]
    path = _path(heart, system, bottom, low, high)
    parts.append(tag("path", d=path or "M0 0", stroke="currentColor", stroke_width="1.1", fill="none", class_="rate"))
    return group(parts, class_="heart")


def why_hidden(heart: HeartOutcome) -> str:
    """Why no line is drawn; '' where one is."""
    if heart.on_medicine:
        return MEDICINE
    return "" if heart.beginning.is_sure else NOT_CLEAR


def scale(hearts: Sequence[HeartOutcome]) -> tuple[int, int]:
    """From and to, beats a minute, in whole steps around all that is drawn."""
    rates = [each.rates[~np.isnan(each.rates)] for each in hearts if not why_hidden(each)]
    there = np.concatenate(rates) if rates else np.array([])
    if not len(there):
        return 60, 60 + STEP_BPM
    low = int(there.min() // STEP_BPM) * STEP_BPM
    return low, max(low + STEP_BPM, -int(-there.max() // STEP_BPM) * STEP_BPM)


def _path(heart: HeartOutcome, system: System, bottom: float, low: int, high: int) -> str:
    """Second by second; the pen is lifted where there is no rate."""
    result, is_down = [], False
    last = min(len(heart.rates), system.end_ms // 1000 + 1)
    for second in range(system.at_ms // 1000, last):
        rate = heart.rates[second]
        if np.isnan(rate):
            is_down = False
            continue
        y = bottom - (rate - low) / (high - low) * INNER
        result.append(f"{'L' if is_down else 'M'}{num(system.x(1000 * second))} {num(float(y))}")
        is_down = True
    return "".join(result)
