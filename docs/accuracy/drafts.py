"""How well a plan is drafted from a transcript alone: `python docs/accuracy/drafts.py` prints the table of the page.

Two made transcripts of each of the twelve examples at each level of word errors, the same sessions at every level
(paired seeds), faults of leaders put in. What is counted: sets as they were led. Five minutes of one core.
"""

import sys
from collections import Counter
from collections.abc import Iterator
from difflib import SequenceMatcher
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from looking_back import EXAMPLES, LEVELS, script
from made_transcripts import Truth, make
from spoilt_words import rolling_captions, spoil

from everyrung.lookback.drafted_plan import DraftedPlan, plan_heard, plan_text
from everyrung.lookback.heard_cells import SAID
from everyrung.lookback.outcome import SURE
from everyrung.lookback.plan_sets import PlanSet
from everyrung.lookback.read import read_transcript
from everyrung.moves.library import standard_library
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.terms.enums import Side
from everyrung.terms.units import Dose

PLANS = tuple(sorted(path.stem for path in EXAMPLES.glob("*.toml") if path.stem != "faulty"))
FIRST_SEED = 7000  # 100 to 111 were used while prices were chosen, these never
SEEDS = 2  # a plan
NEAR_S = 15


def drafted(plan: str, seed: int, level: float) -> tuple[DraftedPlan, Truth, tuple[PlanSet, ...]]:
    """One made session, spoilt, written to a file, read, and drafted without its plan."""
    sets, cues = script(plan)
    words, truth = make(sets, cues, standard_library(), seed)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "made.vtt"
        path.write_text(rolling_captions(spoil(words, level, seed)), encoding="utf-8")
        return plan_heard(read_transcript(path), standard_library()), truth, sets


def score(draft: DraftedPlan, truth: Truth, sets: tuple[PlanSet, ...]) -> Counter[str]:
    """Sets as they were led against those heard: a move counts within fifteen seconds of its beginning."""
    led = [(each.at_s, sets[each.place]) for each in truth.sets if each.place is not None and not sets[each.place].part]
    heard = list(draft.cells)
    counts: Counter[str] = Counter({"led": len(led), "heard": len(heard)})
    pairs = []
    for at_s, each in led:
        near = [cell for cell in heard if abs(cell.at_ms / 1000 - at_s) <= NEAR_S and cell.move is each.cell.move]
        if near:
            pairs.append((each, near[0]))
    matched = {id(cell) for _, cell in pairs}
    for cell in heard:
        kind = "sure" if cell.chance >= SURE else "unsure"
        counts.update({kind: 1, f"{kind} right": id(cell) in matched})
    keys = [each.cell.move.key for _, each in led]
    same = SequenceMatcher(None, keys, [cell.move.key for cell in heard], autojunk=False).get_matching_blocks()
    counts.update({"moves": len(pairs), "order": sum(block.size for block in same)})
    written = {
        (cell.move.key, cell.at_ms): (block.kind, number)
        for block in draft.blocks
        for number, cells in enumerate(block.rounds)
        for cell in cells
    }
    for each, cell in pairs:
        is_right = _amount(cell.dose) == _amount(each.cell.dose)
        counts["doses"] += is_right
        if cell.dose_from == SAID:
            counts.update({"said": 1, "said right": is_right})
        one_sided = each.bout.side is not Side.BOTH
        counts["sides"] += one_sided == (cell.dose.per.value == "a side")
        counts["versions"] += cell.rung.address == each.cell.rung.address
        counts["blocks"] += written[cell.move.key, cell.at_ms][0] is each.block_kind
        counts["rounds"] += written[cell.move.key, cell.at_ms][1] == each.round_place
    return counts


def _amount(dose: Dose) -> tuple[int | None, int | None]:
    return dose.reps, dose.duration_ms


def reads(draft: DraftedPlan) -> bool:
    """Whether the draft is a plan file that can be worked out."""
    return bool(resolve(plan_from_text(plan_text(draft), "draft"), standard_library()).blocks)


@cache
def totals(plan: str, level: float) -> Counter[str]:
    """The sums over sessions of one example."""
    sums: Counter[str] = Counter()
    for number in range(SEEDS):
        draft, truth, sets = drafted(plan, FIRST_SEED + SEEDS * PLANS.index(plan) + number, level)
        sums += score(draft, truth, sets) + Counter(drafts=1, reads=reads(draft))
    return sums


def rows() -> Iterator[str]:
    """The tables, line by line: by level, then the moves of each example."""
    yield (
        "| word errors | sets | move and time | right of those drafted | in order | dose | of those said | sides "
        "| version | block | round | sure: right | unsure: right | drafts that can be checked |"
    )
    yield "|---|---|---|---|---|---|---|---|---|---|---|---|---|---|"
    for level in LEVELS:
        sums = sum((totals(plan, level) for plan in PLANS), Counter[str]())
        of_matched = ["doses", "sides", "versions", "blocks", "rounds"]
        shares = {name: _share(sums, name, "moves") for name in of_matched}
        yield (
            f"| {level:.0%} | {sums['led']} | **{_share(sums, 'moves', 'led')}** | {_share(sums, 'moves', 'heard')} "
            f"| {_share(sums, 'order', 'led')} | {shares['doses']} | {_share(sums, 'said right', 'said')} "
            f"| {shares['sides']} | {shares['versions']} | {shares['blocks']} | {shares['rounds']} "
            f"| {_share(sums, 'sure right', 'sure')} | {_share(sums, 'unsure right', 'unsure')} "
            f"| {sums['reads']} of {sums['drafts']} |"
        )
    yield ""
    yield f"| example | {' | '.join(f'{level:.0%}' for level in LEVELS)} |"
    yield f"|---|{'---|' * len(LEVELS)}"
    for plan in PLANS:
        yield f"| {plan} | {' | '.join(_share(totals(plan, level), 'moves', 'led') for level in LEVELS)} |"


def _share(sums: Counter[str], part: str, whole: str) -> str:
    return f"{100 * sums[part] / sums[whole]:.0f} %" if sums[whole] else "none"


if __name__ == "__main__":
    if len(sys.argv) > 1:
        FIRST_SEED = int(sys.argv[1])
    print("\n".join(rows()))
