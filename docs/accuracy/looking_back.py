"""How well a transcript is laid on its plan: `python docs/accuracy/looking_back.py` prints the table of the page.

30 made transcripts a level of word errors (16 with a mark each 40 s), the same sessions at every level (paired seeds),
plans in turn. Boundaries within five seconds, faults found and false alarms. Four minutes of one core.
"""

from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from made_transcripts import Truth, make
from spoilt_words import marked_text, rolling_captions, spoil

from everyrung.cues.tracks import cue_tracks
from everyrung.lookback.outcome import Change, Outcome, lay_on_plan
from everyrung.lookback.plan_sets import PlanSet, plan_sets
from everyrung.lookback.read import read_transcript
from everyrung.moves.library import standard_library
from everyrung.plan.read import read_plan
from everyrung.plan.resolve import resolve
from everyrung.terms.timeline import SaidCue
from everyrung.timing.timeline import build_timeline

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
PLANS = (
    "bare-floor-30", "boathouse-30", "first-evening-30", "office-20", "one-dumbbell-30", "seated-30",
    "upper-body-30", "whole-body-45",
)  # fmt: skip
LEVELS = (0.0, 0.1, 0.2, 0.35)
TARGETS = (0.95, 0.93, 0.90, 0.80)  # issue 23, part 3
PUT_IN = (Change.SKIPPED, Change.SWAPPED, Change.AGAIN, Change.STRAY)  # what is done to a made session
FIRST_SEED = 5000  # 1 to 40 were used while prices were chosen, these never
NEAR_S = 5
ROLLING, MARKED = "rolling captions", "a mark each 40 s"
FORMS = {ROLLING: rolling_captions, MARKED: marked_text}
SESSIONS = {ROLLING: 30, MARKED: 16}


@cache
def script(plan: str) -> tuple[tuple[PlanSet, ...], tuple[SaidCue, ...]]:
    """The sets of an example, and what its leader says on the first evening."""
    session = resolve(read_plan(EXAMPLES / f"{plan}.toml"), standard_library())
    timeline = build_timeline(session)
    return plan_sets(session, timeline), cue_tracks(session, timeline)[0][0].said


def laid(seed: int, level: float, form: str = ROLLING) -> tuple[Outcome, Truth]:
    """One made session, spoilt, written to a file, read and laid on its plan."""
    sets, cues = script(PLANS[seed % len(PLANS)])
    words, truth = make(sets, cues, standard_library(), seed)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "made.vtt"
        path.write_text(FORMS[form](spoil(words, level, seed)), encoding="utf-8")
        return lay_on_plan(read_transcript(path), sets, standard_library()), truth


def score(outcome: Outcome, truth: Truth) -> Counter[str]:
    """Counts of what was put in, and of what was made of it."""
    counts: Counter[str] = Counter()
    for each in truth.sets:
        if each.place is None:
            continue
        alike = [led for led in outcome.steps if led.place == each.place and led.change is not Change.STRAY]
        off = [(abs(led.at_ms / 1000 - each.at_s), led) for led in alike if led.at_ms is not None]
        nearest = min(off, key=lambda pair: pair[0], default=None)
        counts["sets"] += 1
        counts["within 5 s"] += nearest is not None and nearest[0] <= NEAR_S
        counts["within 10 s"] += nearest is not None and nearest[0] <= 2 * NEAR_S
        counts["within 60 s"] += nearest is not None and nearest[0] <= 60
        if nearest is not None:
            kind = "sure" if nearest[1].chance >= 0.8 else "unsure"
            counts[f"{kind} sets"] += 1
            counts[f"{kind} within"] += nearest[0] <= outcome.transcript.resolution_ms / 1000
    return counts + _faults(outcome, truth)


def _faults(outcome: Outcome, truth: Truth) -> Counter[str]:
    """By cell, for both sides of one are one fault; strays by their time."""
    counts: Counter[str] = Counter()
    cell = [each.cell_place for each in outcome.sets]
    true_cells = {
        Change.SKIPPED: {cell[place] for place in truth.skips},
        Change.SWAPPED: {cell[place] for place in truth.swaps},
        Change.AGAIN: {cell[place] for place in truth.doubles},
    }
    for change, true in true_cells.items():
        claims = {cell[each.place] for each in outcome.changes if each.change is change}
        sure = {cell[each.place] for each in outcome.changes if each.change is change and each.is_sure}
        counts.update({f"{change} put in": len(true), f"{change} found": len(true & claims)})
        counts.update({f"{change} surely found": len(true & sure), f"{change} false": len(claims - true)})
        counts["sure false alarms"] += len(sure - true)
    times = [each.at_s for each in truth.sets if each.place is None]
    claims_at = [each for each in outcome.changes if each.change is Change.STRAY and each.at_ms is not None]
    hit = [each for each in claims_at if any(abs((each.at_ms or 0) / 1000 - at_s) <= 15 for at_s in times)]
    counts.update({f"{Change.STRAY} put in": len(times), f"{Change.STRAY} found": min(len(times), len(hit))})
    counts[f"{Change.STRAY} surely found"] = min(len(times), sum(each.is_sure for each in hit))
    counts[f"{Change.STRAY} false"] = len(claims_at) - len(hit)
    counts["sure false alarms"] += sum(each.is_sure for each in claims_at if each not in hit)
    counts["false alarms"] = sum(counts[f"{change} false"] for change in PUT_IN)
    return counts


@cache
def totals(level: float, form: str = ROLLING) -> Counter[str]:
    """The sums over sessions."""
    seeds = range(FIRST_SEED, FIRST_SEED + SESSIONS[form])
    return sum((score(*laid(seed, level, form)) for seed in seeds), Counter[str]())


def rows() -> Iterator[str]:
    """The table, line by line."""
    yield "| word errors | sets | within 5 s | asked | within 10 s | within 60 s | sure: right | unsure: right |"
    yield "|---|---|---|---|---|---|---|---|"
    faults = [
        "",
        "| word errors | skipped | swapped | a side twice | stray | false alarms a session | of them shown as sure |",
        "|---|---|---|---|---|---|---|",
    ]
    for form in FORMS:
        for level, asked in zip(LEVELS, TARGETS, strict=True):
            sums = totals(level, form)
            name = f"{level:.0%}, {form}"
            target = f"{asked:.0%}" if form == ROLLING else "none"
            yield (
                f"| {name} | {sums['sets']} | **{_share(sums, 'within 5 s', 'sets')}** | {target} "
                f"| {_share(sums, 'within 10 s', 'sets')} | {_share(sums, 'within 60 s', 'sets')} "
                f"| {_share(sums, 'sure within', 'sure sets')} | {_share(sums, 'unsure within', 'unsure sets')} |"
            )
            kinds = [
                f"{sums[f'{each} found']} of {sums[f'{each} put in']}, {sums[f'{each} surely found']} sure"
                for each in PUT_IN
            ]
            faults.append(
                f"| {name} | {' | '.join(kinds)} | {sums['false alarms'] / SESSIONS[form]:.2f} "
                f"| {sums['sure false alarms'] / SESSIONS[form]:.2f} |"
            )
    yield from faults


def _share(sums: Counter[str], part: str, whole: str) -> str:
    return f"{100 * sums[part] / sums[whole]:.1f} %" if sums[whole] else "none"


if __name__ == "__main__":
    print("\n".join(rows()))
