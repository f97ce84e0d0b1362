"""What gives out first is what a coach names for it, or docs/limits.md says why not: common practice, no source."""

from pathlib import Path

from limits import limits, limits_table, reasons, summary, words_of

PAGE = (Path(__file__).parents[2] / "docs" / "limits.md").read_text(encoding="utf-8")


def test_each_rung_that_something_else_stops_early_has_its_reason_and_no_other_has_one() -> None:
    early = {(one.rung, motion) for one in limits() for motion in one.unnamed_near}
    assert early == set(reasons()), "write the reasons anew in docs/accuracy/limits.csv"


def test_the_page_shows_every_rung_as_it_is_computed() -> None:
    for line in [summary(), *limits_table()]:
        assert line in PAGE, f"write it anew: python docs/accuracy/limits.py\n{line}"


def test_the_words_of_a_motion_are_a_coachs() -> None:
    assert "calf" in words_of("ankle plantarflexion")
    assert set(words_of("shoulder adduction")) == {"chest"}


def test_thighs_end_a_loaded_split_squat_and_the_calf_no_wall_push_up() -> None:
    stops = {one.rung: {stop.motion for stop in one.stops} for one in limits()}
    assert stops["split-squat/pair"] <= {"knee extension", "hip extension"}
    assert "ankle plantarflexion" not in stops["push-up/wall"]
