"""Whether a body was put into a rung's pose as it is described."""

import re

from everyrung.checks.rules.bodies import MOST_OFF_DEG, MOST_OFF_MM
from everyrung.terms.demand import RungDemand

BY_THE_POSE = ("share", "a push", "a turning")  # the others name a joint that is too weak
# Of what stays over between the ground's push and the body's own motion. Hicks et al. 2015 (hicks2015, from memory)
# accept a twentieth of the force from outside; this is less than a hundredth of the weight of the lightest body here.
MOST_PUSH_N = 4
_PUSH = re.compile(r"a push .*: off by (\d+) N ")


def misses(answer: RungDemand) -> list[str]:
    """What says that a pose was not found; a want of strength does not, nor what then gives way with it."""
    off = answer.farthest_mm > MOST_OFF_MM or answer.farthest_deg > MOST_OFF_DEG
    weak = any(not short.startswith(BY_THE_POSE) for short in answer.shortfalls)
    unposable = [] if weak else [short for short in answer.shortfalls if _counts(short)]
    return [*(["unsettled"] if not answer.settled else []), *([answer.misfits[0]] if off else []), *unposable]


def _counts(short: str) -> bool:
    push = _PUSH.match(short)
    return int(push[1]) > MOST_PUSH_N if push else short.startswith("share")
