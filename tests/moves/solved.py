"""Whether a body was put into a rung's pose as it is described."""

from everyrung.checks.bodies import MOST_OFF_DEG, MOST_OFF_MM
from everyrung.terms.rung_demand import RungDemand

BY_THE_POSE = ("share", "a push", "a turning")  # the others name a joint that is too weak


def misses(answer: RungDemand) -> list[str]:
    """What says that a pose was not found; a want of strength does not, nor what then gives way with it."""
    off = answer.farthest_mm > MOST_OFF_MM or answer.farthest_deg > MOST_OFF_DEG
    weak = any(not short.startswith(BY_THE_POSE) for short in answer.shortfalls)
    unposable = [] if weak else [short for short in answer.shortfalls if short.startswith(("share", "a push"))]
    return [*(["unsettled"] if not answer.settled else []), *([answer.misfits[0]] if off else []), *unposable]
