"""The cut order, place by place: each is judged on what the places before it leave."""

from collections.abc import Callable

import pytest

from everyrung.terms.finding import Finding

Find = Callable[..., tuple[Finding, ...]]
ORDER = '["Main/Three"]'
PAIR = (
    ("  cell.hinge = ", '  cell.lunge = { sides = "left only" }\n  cell.hinge = '),
    (
        '  cell.bridge = { dose = "12 reps" }',
        '  cell.bridge = { dose = "12 reps" }\n  cell.lunge = { sides = "right only" }',
    ),
)


def cut_findings(findings: tuple[Finding, ...]) -> list[tuple[str, str]]:
    return [(each.rule, each.place) for each in findings if each.rule.startswith("cut-")]


@pytest.mark.parametrize(
    ("order", "found"),
    [
        ('["Main/One"]', []),
        ('["Main/Two/lunge"]', [("cut-sides", "cut order: Main / Two / lunge")]),
        ('["Main/Three", "Main/Two"]', []),  # the second makes it good, so they go together
        ('["Main/Three", "Main/One"]', [("cut-sides", "cut order: Main / Three")]),
        ('["Main/Three/row", "Main"]', [("cut-floor", "cut order: Main")]),  # nothing would be left to lead
    ],
)
def test_cutting_half_of_a_pair_of_sides_is_found_until_the_other_half_goes_too(
    findings: Find, order: str, found: list[tuple[str, str]]
) -> None:
    assert cut_findings(findings(*PAIR, (ORDER, order))) == found


def test_places_that_are_never_cut_are_each_named_once(findings: Find) -> None:
    order = '["Warm-up/Warm-up/squat-and-reach", "Main/Three", "Cool-down", "Warm-up"]'
    assert cut_findings(findings((ORDER, order))) == [
        ("cut-floor", "cut order: Warm-up / squat-and-reach"),
        ("cut-floor", "cut order: Cool-down"),
        ("cut-floor", "cut order: Warm-up"),
    ]


def test_one_side_of_a_cell_is_a_matter_of_sides_and_not_of_the_floor(findings: Find) -> None:
    assert cut_findings(findings((ORDER, '["Main/Two/lunge/right"]'))) == [
        ("cut-sides", "cut order: Main / Two / lunge / right")
    ]
