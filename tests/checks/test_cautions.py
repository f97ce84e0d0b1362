"""Cautions: broken alone with one move file changed, since the library itself has a way round every tag."""

from collections.abc import Callable

import pytest

from everyrung.checks.rules.cautions import instead_words
from everyrung.moves.alternatives import alternatives
from everyrung.moves.library import Library, standard_library
from everyrung.room.paths import has_kit
from everyrung.terms.enums import Caution, CueKind
from everyrung.terms.finding import Finding
from everyrung.terms.session import Session

Find = Callable[..., tuple[Finding, ...]]
With = Callable[..., Library]
NO_WAY_ROUND = (
    'levers = [{ swap = "hip-hinge/wall" }]',
    "levers = [{ range = 0.4 }]",
)  # the bridge's only standing rung
NO_BREATH = ('breathing = ["In as you fold, out as you stand."]\n', "")
HOLDS_BREATH = ("cautions = []", 'cautions = ["held breath"]')


@pytest.fixture
def alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """A library in which no other move stands beside a ladder."""
    monkeypatch.setattr("everyrung.checks.rules.cautions.alternatives", lambda *_, **__: ())


@pytest.mark.usefixtures("alone")
def test_a_caution_without_a_way_round_is_a_warning(findings: Find, library_with: With) -> None:
    (found,) = findings(library=library_with("bridge", NO_WAY_ROUND))
    assert (found.rule, found.severity) == ("caution-unanswered", "warning")
    assert found.place == "Main / One, Two, Three / bridge"
    assert "'Bridge' has the caution lying on the back and 0 rungs without it" in found.measured


@pytest.mark.usefixtures("alone")
def test_it_stands_where_the_first_set_without_a_way_round_is_written(findings: Find, library_with: With) -> None:
    again = ('  cell.hinge = { dose = "12 reps" }', '  cell.bridge = { dose = "11 reps" }')
    library = library_with("bridge", NO_WAY_ROUND)
    (found,) = findings(again, library=library)
    assert found.place == "Main / One, Two, Three / bridge"
    (column,) = findings(library=library)
    assert found.where == column.where


@pytest.mark.usefixtures("alone")
def test_one_set_without_a_way_round_is_enough(findings: Find, library_with: With) -> None:
    reserve = ('  move = "calf-raise"\n', '  move = "bridge"\n')
    found = findings(reserve, library=library_with("bridge", NO_WAY_ROUND))
    alone = next(each for each in found if each.rule == "caution-unanswered" and each.place.startswith("Extra"))
    assert "'Bridge' has the caution lying on the back and 0 rungs without it" in alone.measured


@pytest.mark.usefixtures("alone")
def test_it_is_an_error_when_someone_present_has_to_avoid_it(findings: Find, library_with: With) -> None:
    limits = ("newcomers = true", 'newcomers = true\nlimits = ["lying on the back"]')
    found = findings(limits, library=library_with("bridge", NO_WAY_ROUND))
    assert [(each.rule, each.severity) for each in found if each.severity != "note"] == [
        ("caution-unanswered", "error")
    ]
    assert "which someone present has to avoid" in found[0].measured


def test_an_option_from_another_move_is_a_way_round(findings: Find, library_with: With) -> None:
    easier = ('  move = "bridge"\n', '  move = "bridge"\n  options = { easier = "hip-hinge/wall" }\n')
    assert findings(easier, library=library_with("bridge", NO_WAY_ROUND)) == ()


def test_an_option_shown_without_the_caution_is_answer_enough(findings: Find) -> None:
    limits = ("newcomers = true", 'newcomers = true\nlimits = ["lying on the back"]')
    easier = ('  move = "bridge"\n', '  move = "bridge"\n  options = { easier = "chair-stand/base" }\n')
    assert [each.what for each in findings(limits, easier) if each.rule == "limit-rung"] == []


def test_without_an_option_it_is_the_nearest_lower_rung_of_the_ladder(findings: Find) -> None:
    limits = ("newcomers = true", 'newcomers = true\nlimits = ["deep knee bend"]')
    as_deep = '  options = { easier = "base", no_kit = "base" }\n'
    squat = ('  move = "bent-row"\n', f'  move = "squat"\n  rung = "goblet"\n  load = "10 lb"\n{as_deep}')
    (found,) = [each for each in findings(limits, squat) if each.rule == "limit-rung"]
    assert f"squat: {standard_library().rung('squat', 'chair').name}" in found.remedy


NO_CHAIRS = ('[[kit]]\nitem = "chair"\neach = 1\n', "")


@pytest.mark.parametrize(("edits", "is_there"), [((), True), ((NO_CHAIRS,), False)])
def test_what_is_named_instead_needs_no_kit_that_is_not_there(
    session: Callable[..., Session], edits: tuple[tuple[str, str], ...], is_there: bool
) -> None:
    """The dead bug's ladder is all on the back; a seated march beside it takes a chair (by the library's files)."""
    words = instead_words(session(*edits), Caution.LYING_BACK)
    assert ("dead bug: Seated march" in words) == is_there
    assert "dead bug: " in words
    kit = [stock.item for stock in session(*edits).kit]
    names = [one.split(": ")[1].removesuffix(".") for one in words.split("; ")]
    library = standard_library()
    rungs = {rung.name: rung for key in library.keys for rung in library.move(key).versions}
    assert all(has_kit(rungs[name], kit) for name in names)


def test_a_rung_on_which_breath_is_held_needs_a_breathing_cue(findings: Find, library_with: With) -> None:
    (found,) = findings(library=library_with("hip-hinge", HOLDS_BREATH, NO_BREATH))
    assert (found.rule, found.severity) == ("held-breath", "warning")
    assert "'Hip hinge' has the caution held breath and 0 breathing cues" in found.measured


def test_with_a_breathing_cue_a_held_breath_tag_is_no_finding(findings: Find, library_with: With) -> None:
    assert findings(library=library_with("hip-hinge", HOLDS_BREATH)) == ()


@pytest.mark.parametrize("key", standard_library().keys)
def test_the_library_has_a_way_round_every_tag_and_a_breathing_cue_where_it_asks_for_one(key: str) -> None:
    move = standard_library().move(key)
    for rung in move.versions:
        for caution in rung.cautions:
            if caution is Caution.HELD_BREATH:
                assert any(cue.kind is CueKind.BREATHING for cue in (*rung.cues, *move.cues)), rung.address
            elif caution is not Caution.BACK_LOAD:  # a turn is none without turning: another move stands in
                lower = any(caution not in other.cautions for other in move.versions)
                assert lower or alternatives(standard_library(), rung, avoid=[caution]), (rung.address, caution)
