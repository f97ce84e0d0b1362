"""Options: what is said where more than one kind is missing; each rule by itself is in test_each_rule_alone."""

from collections.abc import Callable
from dataclasses import replace

from everyrung.checks.rules.options import option_limit, option_missing
from everyrung.moves.library import standard_library
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


def test_of_a_column_whose_rung_rises_the_finding_names_the_rung_that_stands_where_it_points(
    session: Callable[..., Session],
) -> None:
    made = session(('  cell.bridge = { dose = "12 reps" }', '  cell.lunge = { rung = "pause" }'))
    blocks = tuple(replace(block, rounds=tuple(map(without_options, block.rounds))) for block in made.blocks)
    bare = replace(made, blocks=blocks)
    first = next(iter(option_missing(bare, build_timeline(bare))))
    assert [place.round for place in first.places] == ["One", "Two", "Three"]
    assert "for 'Split squat': 0 of 3" in first.measured


def test_where_a_column_changes_its_move_the_way_out_is_on_the_first_move_s_ladder(
    session: Callable[..., Session],
) -> None:
    same = 'options = { easier = "bird-dog/half" }'  # on the hands
    made = session(
        ("newcomers = true", 'newcomers = true\nlimits = ["wrist load"]'),
        ('rung = "half"\n', f'rung = "half"\n  {same}\n'),
        (
            '  cell.bridge = { dose = "12 reps" }',
            f'  cell.bug = {{ move = "squat", rung = "base", dose = "10 reps", {same} }}',
        ),
    )
    (found,) = [each for each in option_limit(made, build_timeline(made)) if each.what == "easier, wrist load"]
    assert [str(place) for place in found.places] == ["Main/One/bug", "Main/Two/bug", "Main/Three/bug"]
    assert "for the dead bug" in found.remedy
    keys = found.hint.removeprefix("Set options.easier of bug to ").rstrip(".").split(", ")
    assert set(keys) <= {rung.key for rung in standard_library().move("dead-bug").versions}
