"""Sets to music end between two seconds: what people read has whole ones, and nothing that is said to fit runs over."""

import re
from pathlib import Path

import pytest

from everyrung.compose.changes import what_differs
from everyrung.pipeline import run_plan
from everyrung.plan.read import plan_from_text
from everyrung.publish.sheet.content import sheet_content
from everyrung.publish.sheet.write import sheet_html
from everyrung.results.analysis import Analysis
from everyrung.score.draw import score_svg
from everyrung.terms.seconds import moment_text, whole_ms

BOATHOUSE = Path(__file__).parents[2] / "examples" / "boathouse-30.toml"


@pytest.fixture(scope="module")
def to_music() -> Analysis:
    text = BOATHOUSE.read_text(encoding="utf-8")
    danced = text.replace('  move = "ball-leg-curl"\n', '  move = "ball-leg-curl"\n  beats_a_minute = 124\n', 1)
    made = run_plan(plan_from_text(danced, "plan.toml"))
    assert made.timeline.total_ms % 1000, "it ends with a second, which proves nothing"
    return made


@pytest.mark.parametrize("at_ms", [0, 999, 1000, 59_999, 60_000, 90_968])
def test_a_moment_is_in_its_second_and_what_fits_is_never_said_to_be_shorter(at_ms: int) -> None:
    minutes, seconds = map(int, moment_text(at_ms).split(":"))
    assert 0 <= at_ms - 1000 * (60 * minutes + seconds) < 1000
    assert 0 <= whole_ms(at_ms) - at_ms < 1000
    assert whole_ms(at_ms) % 1000 == 0


def test_sheet_and_score_have_no_thousandths(to_music: Analysis) -> None:
    """'10:31.968' once stood at the head of a score's second line."""
    drawn = score_svg(to_music.session, to_music.timeline)
    page = sheet_html(sheet_content(to_music), to_music.session, to_music.timeline)
    for words in (drawn, page):
        shown = re.sub(r"<[^>]*>", " ", words)
        assert re.search(r"\b\d+:\d\d\b", shown)
        assert re.findall(r"\b\d+:\d\d\.\d+", shown) == []


def test_what_is_used_and_what_is_spare_make_up_the_slot(to_music: Analysis) -> None:
    page = sheet_html(sheet_content(to_music), to_music.session, to_music.timeline)
    found = re.search(r"(\d+):(\d\d) planned in a slot of 30:00: (\d+):(\d\d) to spare", page)
    assert found
    minutes, seconds, more, rest = map(int, found.groups())
    assert 60 * (minutes + more) + seconds + rest == 1800


def test_a_change_that_is_offered_has_whole_seconds(to_music: Analysis) -> None:
    """'19:28.2 in place of 19:57.2' was once said of it."""
    plain = run_plan(plan_from_text(BOATHOUSE.read_text(encoding="utf-8"), "plan.toml"))
    [line] = [each for each in what_differs(plain, to_music) if " in place of " in each and each[0].isdigit()]
    assert re.fullmatch(r"\d+:\d\d in place of \d+:\d\d", line)
