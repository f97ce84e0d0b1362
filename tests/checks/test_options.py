"""Options: what is said where more than one kind is missing; each rule by itself is in test_each_rule_alone."""

from collections.abc import Callable
from dataclasses import replace

from everyrung.checks.rules.options import option_missing
from everyrung.terms.session import Round, Session
from everyrung.timing.timeline import build_timeline


def without_options(one: Round) -> Round:
    return replace(one, cells=tuple(replace(cell, options=()) for cell in one.cells))


def test_of_several_options_that_are_missing_all_are_named_and_the_first_is_asked_for(
    session: Callable[..., Session],
) -> None:
    made = session()
    blocks = tuple(replace(block, rounds=tuple(map(without_options, block.rounds))) for block in made.blocks)
    bare = replace(made, blocks=blocks)
    first = next(iter(option_missing(bare, build_timeline(bare))))
    assert "no harder, easier or no-kit option for 'Split squat': 0 of 3" in first.measured
    assert first.remedy.startswith("Choose a harder option for the split squat")
    assert first.hint == "Write options.harder for lunge."
