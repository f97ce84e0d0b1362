"""List what does not fit in the poses of strength moves: misfits, poses not held, searches that did not settle.

Usage: python scripts/pose_faults.py [MOVE ...]     (every strength rung on a short, a middle and a tall body)
Bodies that were not computed before start processes, which read this script anew: hence its guard below.
"""

import sys

from everyrung.body.mechanics import Failure, Job, demands
from everyrung.moves.library import standard_library
from everyrung.terms.enums import MoveKind
from everyrung.terms.person import BodySize, Sex

BODIES = [
    BodySize(sex=Sex.FEMALE, stature_m=1.52, mass_kg=70.0),
    BodySize(sex=Sex.FEMALE, stature_m=1.65, mass_kg=62.0),
    BodySize(sex=Sex.MALE, stature_m=1.86, mass_kg=80.0),
]


def main() -> None:
    library = standard_library()
    moves = [library.move(key) for key in sys.argv[1:] or library.keys]
    rungs = [rung for move in moves for rung in move.ladder if rung.form.move == move.key]
    if not sys.argv[1:]:
        rungs = [rung for rung in rungs if library.move(rung.form.move).kind is MoveKind.STRENGTH]
    jobs = [Job(form=rung.form, layer=library.pose(rung.form), size=body) for rung in rungs for body in BODIES]
    names = [f"{rung.address} {body}" for rung in rungs for body in BODIES]
    for place, found in sorted(demands(jobs), key=lambda each: each[0]):
        if isinstance(found, Failure):
            print(f"{names[place]}: FAILED {found.why}")
            continue
        faults = [*found.misfits[:4], *(f"NOT HELD {short}" for short in found.shortfalls[:3])]
        faults += [] if found.has_converged else ["NOT SETTLED"]
        hardest = found.hardest
        print(f"{names[place]}: {hardest.motion if hardest else '-'} {hardest.fraction if hardest else 0:.0%}")
        for fault in faults:
            print(f"    {fault}")


if __name__ == "__main__":
    main()
