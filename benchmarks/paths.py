"""Who is left out of a hundred proposals: every set of three cautions through one proposal for each brief.

`nice python benchmarks/paths.py [FIRST] [LAST]`: the briefs from 1 to 100, all of them unless named; a line each, then
what they come to. A search that takes longer than LIMIT_S of the processor is given up, and counted as such.
"""

import sys
import time
from collections import Counter
from itertools import product
from statistics import median

from everyrung.moves.library import standard_library
from everyrung.parsing.units import mass
from everyrung.proposals.search import SearchStep, propose
from everyrung.room.paths import Coverage, Source, coverage, path_findings
from everyrung.store.cache import default_cache
from everyrung.terms.enums import KitItem, Pattern
from everyrung.terms.plan import Stock
from everyrung.terms.session_brief import SessionBrief

LIMIT_S = 240.0  # chosen, because the worst brief known took half of it
MINUTES = (20, 25, 30, 40)
FOCUS: tuple[tuple[Pattern, ...], ...] = (
    (),
    (Pattern.KNEE, Pattern.HIP),
    (Pattern.PUSH, Pattern.PULL),
    (Pattern.KNEE, Pattern.PUSH, Pattern.TRUNK),
    (Pattern.HIP, Pattern.OVERHEAD, Pattern.BRIDGE),
)
PAIR = Stock(item=KitItem.DUMBBELLS, each=2, mass=mass("4 kg"))
BALL = Stock(item=KitItem.BALL, each=1, diameter_cm=65, rated_kg=300)
KIT: tuple[tuple[Stock, ...], ...] = (
    (),
    (PAIR,),
    (BALL,),
    (PAIR, BALL, Stock(item=KitItem.CHAIR, each=1)),
    (Stock(item=KitItem.KETTLEBELL, each=1, mass=mass("8 kg")),),
)


class TooLong(Exception):
    """A search that was given up."""


def main() -> None:
    """Prints a line a brief, and what all of them come to."""
    first, last = int(sys.argv[1]) if len(sys.argv) > 1 else 1, int(sys.argv[2]) if len(sys.argv) > 2 else 100
    briefs = [SessionBrief(minutes=at, focus=focus, kit=kit) for at, focus, kit in product(MINUTES, FOCUS, KIT)]
    counts, offered, whole, missing = Counter[Source](), [], 0, 0
    for number, brief in enumerate(briefs, 1):
        if not first <= number <= last:
            continue
        one = _one(brief)
        if one is None:
            missing += 1
            print(f"{number}: no proposal", flush=True)
            continue
        cover, findings = one
        counts.update(cover.by_source)
        offered.append(cover.whole_offered)
        whole += cover.whole == cover.sets
        print(f"{number}: {cover.whole} of {cover.sets}, offered {cover.whole_offered}", *findings, flush=True)
    print(f"{whole} of {len(offered)} proposals have a way through for every set; {missing} without a proposal")
    if offered:
        print(f"offered: {min(offered)} to {max(offered)}, middle {median(offered):g}")
        print({str(each): f"{count / counts.total():.1%}" for each, count in counts.items()})


def _one(brief: SessionBrief) -> tuple[Coverage, list[str]] | None:
    """How many sets of cautions the first proposal has a way for, and what its findings say of those without."""
    begin, library = time.process_time(), standard_library()

    def on_step(_: SearchStep) -> None:
        if time.process_time() - begin > LIMIT_S:
            raise TooLong

    try:
        proposal = next(propose(brief, library, count=1, cache=default_cache(), on_step=on_step), None)
    except TooLong:
        return None
    if proposal is None:
        return None
    session = proposal.run.session
    cover = coverage(session, library)
    return cover, [
        f"{one.measured} {one.remedy}" for one in path_findings(session, library, cover) if "missing" in one.rule
    ]


if __name__ == "__main__":
    main()
