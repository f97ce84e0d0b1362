"""Ink, paper and the textures that stand for effort: lines engraved closer and heavier from grade 1 to 5."""

from everyrung.score.marks import tag

PAPER = "#f8f3e7"
INK = "#1e1a15"
GRADES = range(1, 6)
_PITCH = 2.6
_TILE = 60.0  # chosen, because viewers leave hair seams between tiles, and a long tile has few
_WEIGHTS = {1: 0.35, 2: 0.75, 3: 1.2, 4: 1.75, 5: 2.6}  # of 2.6: from a seventh of the ground to solid


def textures(name: str) -> str:
    """The patterns of one picture; `name` keeps the ids of two pictures on one page apart."""
    grades = [
        _pattern(f"{name}-grade-{grade}", (_TILE, _PITCH), f"M0 {_PITCH / 2}H{_TILE}", _WEIGHTS[grade])
        for grade in GRADES
    ]
    return tag("defs", "".join([*grades, _pattern(f"{name}-change", (4.0, 4.0), "M-1 5L5 -1M-1 1L1 -1M3 5L5 3", 0.8)]))


def grade_fill(name: str, grade: int) -> str:
    return f"url(#{name}-grade-{grade})"


def change_fill(name: str) -> str:
    return f"url(#{name}-change)"


def _pattern(ident: str, size: tuple[float, float], path: str, weight: float) -> str:
    drawn = tag("path", d=path, stroke="currentColor", stroke_width=weight, fill="none")
    return tag("pattern", drawn, id=ident, width=size[0], height=size[1], patternUnits="userSpaceOnUse")
