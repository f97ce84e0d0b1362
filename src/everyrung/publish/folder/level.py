"""The level that a session is offered under: from what its rungs ask of bodies, and never milder than the plan says."""

from dataclasses import dataclass
from statistics import median

from everyrung.results.analysis import Analysis
from everyrung.terms.enums import BlockKind, Level

# Parts of the hardest joint's strength up to which a main set counts as gentle or moderate; chosen, because sets of
# ten at under two fifths leave most people plenty, and at three fifths few have more than a handful left.
GENTLE, MODERATE = 0.4, 0.6
HARD_TENTH = 0.9  # the level is that of the hardest tenth of the sets; chosen, because a label is trusted at its worst


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelLabel:
    """`part` is the asked part of strength that decides (the median body), `computed` what follows from it."""

    level: Level
    declared: Level
    computed: Level
    part: float

    def __str__(self) -> str:
        why = f"the hardest tenth of the sets asks {self.part:.0%} of what a middling body's hardest joint can do"
        if self.level is not self.declared:
            return f"{str(self.level).capitalize()}, although the plan says {self.declared}: {why}."
        if self.level is self.computed:
            return f"{str(self.level).capitalize()}: {why}."
        return f"{str(self.level).capitalize()}, as the plan says; computed {self.computed}: {why}."


def level_label(run: Analysis) -> LevelLabel:
    """The label; needs the run's mechanics."""
    assert run.mechanics is not None
    main = {cell.ref for block in run.session.of_kind(BlockKind.MAIN) for cell in block.cells}
    asked = []
    for ref in main:
        parts = [one.hardest.fraction for _, one in run.mechanics.of(ref) if one.hardest]
        if parts:
            asked.append(median(parts))
    part = sorted(asked)[min(len(asked) - 1, int(HARD_TENTH * len(asked)))] if asked else 0.0
    computed = Level.GENTLE if part <= GENTLE else Level.MODERATE if part <= MODERATE else Level.HARD
    declared = run.session.level
    levels = list(Level)
    return LevelLabel(level=max(declared, computed, key=levels.index), declared=declared, computed=computed, part=part)
