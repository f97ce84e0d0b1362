"""Colour is never alone: what a hue says on a screen, on the score or on a figure, a form, a weight or a word says too.

WCAG 2.2, 1.4.1 (Use of Color) and 1.4.11 (Non-text Contrast).
"""

import re
from collections.abc import Iterator
from functools import cache
from importlib.resources import files
from itertools import combinations, pairwise
from pathlib import Path

import pytest
from contrast import contrast, parts

from everyrung import load_plan
from everyrung.moves.library import standard_library
from everyrung.plan.resolve import resolve
from everyrung.publish.figure import draw as figure
from everyrung.score import marks
from everyrung.score.draw import score_svg
from everyrung.timing.timeline import build_timeline

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*-[0-9][0-9].toml"))
SHEETS = [
    *(("static", name) for name in ("stage", "studio", "help")),
    *(("publish/templates", name) for name in ("sheet", "card", "player")),
]
HEX = re.compile(r"#[0-9a-fA-F]{6}\b|#[0-9a-fA-F]{3}\b")
# What is not a colour, and tells one thing from another beside it; a form control has its tick or its dot.
FORM = re.compile(
    r"^(?:border(?:-(?:left|right|top|bottom))?(?:-(?:width|style))?|outline|box-shadow|font-weight|font-size|"
    r"text-decoration|stroke-(?:width|dasharray)|accent-color)$"
)
PAINT = re.compile(r"^(?:color|background|background-color|border(?:-[a-z-]+)?|outline|fill|stroke|box-shadow)$")
NON_TEXT = 3.0  # WCAG 2.2, 1.4.11


def has_hue(colour: str) -> bool:
    """Seen as a colour beside ink and paper, whose own parts lie no farther apart than a quarter."""
    return max(parts(colour)) - min(parts(colour)) > 0.25


@cache
def tokens() -> dict[str, set[str]]:
    css = (files("everyrung.publish") / "templates" / "tokens.css").read_text(encoding="utf-8")
    found: dict[str, set[str]] = {}
    for name, colour in re.findall(r"--(\w+): (#[0-9a-f]{6})", css):
        found.setdefault(name, set()).add(colour)
    return found


def rules(css: str) -> Iterator[tuple[str, dict[str, str]]]:
    css = re.sub(r"/\*.*?\*/", "", css, flags=re.DOTALL)
    for selector, body in re.findall(r"([^{};]+)\{([^{}]*)\}", css):
        yield (
            " ".join(selector.split()),
            {
                key.strip(): value.strip()
                for key, _, value in (each.partition(":") for each in body.split(";") if ":" in each)
                if not key.strip().startswith("--")
            },
        )


def hued(value: str) -> bool:
    by_name = [tokens().get(name, set()) for name in re.findall(r"var\(--(\w+)\)", value)]
    colours = set(HEX.findall(value)).union(*by_name)
    return any(has_hue(colour) for colour in colours)


def by_hue_alone(css: str) -> list[str]:
    """Selectors whose rule paints something in a hue, and changes nothing else that is seen."""
    return [
        selector
        for selector, said in rules(css)
        if any(PAINT.match(key) and hued(value) for key, value in said.items())
        and not any(FORM.match(key) for key in said)
    ]


@pytest.mark.parametrize(("folder", "name"), SHEETS)
def test_no_rule_of_a_screen_says_by_hue_alone(folder: str, name: str) -> None:
    root = files("everyrung")
    for part in folder.split("/"):
        root = root / part
    assert by_hue_alone((root / f"{name}.css").read_text(encoding="utf-8")) == []


def test_a_hue_alone_would_be_found() -> None:
    assert by_hue_alone(".led { color: var(--now); }") == [".led"]
    assert by_hue_alone(".led { color: var(--now); font-weight: 600; }") == []
    assert by_hue_alone(".led { fill: #aa3300; } .soft { color: var(--soft); }") == [".led"]


def test_there_is_one_hue_beside_ink_and_paper() -> None:
    assert {name for name, colours in tokens().items() if any(map(has_hue, colours))} == {"now"}


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_score_is_of_one_ink(path: Path) -> None:
    session = resolve(load_plan(path), standard_library())
    svg = score_svg(session, build_timeline(session))
    assert set(HEX.findall(svg)) <= {marks.INK, marks.PAPER}
    painted = set(re.findall(r'(?:fill|stroke|color)="([^"]+)"', svg))
    inks = {"none", "currentColor", marks.INK, marks.PAPER}
    assert {each for each in painted if not each.startswith("url(#")} <= inks


def test_grades_on_the_score_are_apart_by_tone() -> None:
    """Lines of each texture cover more of the ground than those of the grade before: by a tenth of it at least."""
    cover = [min(1.0, marks._WEIGHTS[grade] / marks._PITCH) for grade in marks.GRADES]
    assert all(after - before >= 0.1 for before, after in pairwise(cover))


def test_a_figure_is_of_greys_that_are_apart() -> None:
    greys = [figure.INK, figure.FAR, figure.PAPER]
    assert not any(has_hue(each) for each in greys)
    assert all(contrast(one, other) >= NON_TEXT for one, other in combinations(greys, 2))
