"""One small change of the clean plan that breaks one rule alone."""

from dataclasses import dataclass

LUNGE = '  as = "lunge"\n'
THREE = '  cell.bridge = { dose = "12 reps" }'


@dataclass(frozen=True, slots=True, kw_only=True)
class Broken:
    """Edits that break one rule, and words that its finding must hold."""

    rule: str
    severity: str
    place: str
    measured: str
    remedy: str
    edits: tuple[tuple[str, str], ...]
