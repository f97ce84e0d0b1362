"""The player's page holds the whole run, lets nothing in but itself, and stays small enough to send."""

import json
import re
from base64 import b64decode, b64encode
from dataclasses import replace
from hashlib import sha256
from html import unescape
from pathlib import Path
from typing import Any
from zlib import decompress

import pytest

from everyrung.effort.balls import Purpose, ball_advice
from everyrung.moves.library import standard_library
from everyrung.pipeline import Options, run
from everyrung.publish.figure.frames import rung_frames
from everyrung.publish.figure.rung import rung_svg
from everyrung.publish.player.balls import HIGH_CM, LOW_CM, ball_rows
from everyrung.publish.player.slim import symbol
from everyrung.publish.player.write import player_html, write_player
from everyrung.results.analysis import Analysis
from everyrung.runsheet.beeps import beeps
from everyrung.runsheet.build import run_sheet
from everyrung.runsheet.read_write import to_json
from everyrung.store.cache import default_cache
from everyrung.terms.enums import SpanKind

DEMO = Path(__file__).parents[2] / "examples" / "boathouse-30.toml"
MOST_BYTES = 600_000  # for half an hour; chosen, because it is sent to phones. Longer sessions have more figures


@pytest.fixture(scope="module")
def drawn() -> Analysis:
    return run(DEMO, options=Options(drawings=True, cues=True, cache=default_cache()))


@pytest.fixture(scope="module")
def html(drawn: Analysis) -> str:
    return player_html(drawn)


def data_of(html: str) -> Any:
    found = re.search(r'<script type="application/json" id="data">(.*?)</script>', html, re.DOTALL)
    assert found
    return json.loads(found[1])


@pytest.fixture(scope="module")
def data(html: str) -> Any:
    both = data_of(html)
    return {**both["extras"], **both["sheet"], **both["sheet"]["variants"][0]}


def test_every_set_and_every_rung_is_in_the_data_and_in_the_text_to_read(drawn: Analysis, html: str, data: Any) -> None:
    cells = [*drawn.session.cells]
    twin = unescape(html.partition('<details id="read">')[2].partition("</details>")[0])
    assert [each["move"] for each in data["cells"]] == [cell.move.name for cell in cells]
    for each, cell in zip(data["cells"], cells, strict=True):
        kinds = [rung["kind"] for rung in each["rungs"]]
        assert kinds == [None, *(str(option.kind) for option in cell.options)]
        for rung in (cell.rung, *(option.rung for option in cell.options)):
            assert rung.name in {line["name"] for line in each["rungs"]}
            assert f"{rung.name}: " in twin
            assert rung.entry_test in twin


def test_all_that_is_said_is_there_on_both_tracks(drawn: Analysis, html: str, data: Any) -> None:
    for track in drawn.cues:
        script = data["script"][str(track.track)]
        said = [(at_ms, end_ms, data["words"][place]) for at_ms, end_ms, _, place, *_ in script]
        assert said == [(cue.at_ms, cue.end_ms, cue.text) for cue in track.said]
    twin = unescape(html.partition('<details id="read">')[2])
    assert all(f"“{cue.text}”" in twin for cue in drawn.cues[0].said)


def test_beeps_and_spans_are_the_timeline_s(drawn: Analysis, data: Any) -> None:
    planned = beeps(drawn.timeline, count_in_ms=drawn.session.clock.count_in_ms)
    assert [tuple(beep) for beep in data["beeps"]] == [(beep.at_ms, str(beep.kind)) for beep in planned]
    assert {kind for _, kind in data["beeps"]} <= set(data["tones"])
    assert [(span["at_ms"], span["end_ms"]) for span in data["spans"]] == [
        (span.at_ms, span.end_ms) for span in drawn.timeline.spans
    ]
    works = [span for span in drawn.timeline.spans if span.kind is SpanKind.WORK]
    shown = [
        data["cells"][span["cell"]]["rungs"][0]["bouts"][span["bout"]]
        for span in data["spans"]
        if span["bout"] is not None
    ]
    assert [bout["reps"] for bout in shown] == [span.bout.reps for span in works if span.bout]
    assert all(sum(ms for _, ms in bout["phases"]) == bout["rep_ms"] for bout in shown if bout["reps"])


def test_what_is_the_coach_s_alone_is_not_published(drawn: Analysis) -> None:
    """Her notes, the findings and the forecast stand in her own run sheet."""
    noted = replace(drawn, session=replace(drawn.session, cover_notes="Nobody else may read this."))
    both = data_of(player_html(noted))
    assert "Nobody else may read this." in to_json(run_sheet(noted))
    assert "Nobody else may read this." not in player_html(noted)
    assert (both["sheet"]["findings"], both["sheet"]["forecast"], len(both["sheet"]["variants"])) == ([], None, 1)
    assert not any(cell["note"] for cell in both["sheet"]["cells"])


def test_the_policy_lets_in_this_script_and_this_style_and_nothing_else(html: str) -> None:
    policy = re.search(r'<meta http-equiv="Content-Security-Policy" content="([^"]+)">', html)
    assert policy
    assert policy[1].startswith("default-src 'none'; ")
    for rule, tag in (("script-src", "<script>"), ("style-src", "<style>")):
        assert html.count(tag) == 1
        inside = html.partition(tag)[2].partition(tag.replace("<", "</"))[0]
        assert f"{rule} 'sha256-{b64encode(sha256(inside.encode()).digest()).decode()}'" in policy[1]
    assert "unsafe" not in policy[1]
    assert not re.search(r'\s(?:style|on\w+)="', html)


def test_the_page_needs_nothing_from_outside_and_is_small(drawn: Analysis, html: str, tmp_path: Path) -> None:
    assert not re.search(r"https?:", html)
    assert not re.search(r"""(?:src|href)=(?!["'](?:data:|#))""", html)
    assert not re.search(r"localStorage|sessionStorage|indexedDB|document\.cookie|fetch\(|XMLHttpRequest", html)
    write_player(drawn, tmp_path / "player.html")
    assert (tmp_path / "player.html").stat().st_size < MOST_BYTES
    assert (tmp_path / "player.html").read_text(encoding="utf-8") == html


def test_every_rung_shows_a_figure_that_is_kept_once(html: str, data: Any) -> None:
    kept = re.findall(r'<symbol id="figure-(\d+)"', html)
    assert len(kept) == len(set(kept))
    shown = {str(data["figures"][rung["figure"]]) for each in data["cells"] for rung in each["rungs"]}
    assert shown == set(kept)


def test_a_moving_figure_unpacks_to_what_the_studio_draws_to_a_millimetre(drawn: Analysis) -> None:
    cell = next(cell for cell in drawn.session.cells if cell.bouts[0].reps)
    frames = rung_frames(cell.rung, standard_library(), default_cache(), load=cell.bouts[0].load)
    html = player_html(drawn, {"a-key": frames})
    text = re.search(r'id="motions">(.*?)</script>', html, re.DOTALL)
    assert text
    unpacked = json.loads(decompress(b64decode(text[1])))["a-key"]
    assert unpacked["loop_ms"] == frames["loop_ms"]
    for mine, theirs in zip(unpacked["frames"], frames["frames"], strict=True):
        assert mine["points"].keys() == theirs["points"].keys()
        for name, place in mine["points"].items():
            assert place == pytest.approx(theirs["points"][name], abs=0.0005001)


def test_a_slimmed_figure_has_all_its_shapes_at_a_fifth_of_the_size(drawn: Analysis) -> None:
    form, drawing = next(iter(drawn.drawings.items()))
    rung = next(
        rung
        for cell in drawn.session.cells
        for rung in (cell.rung, *(option.rung for option in cell.options))
        if rung.form == form
    )
    svg = rung_svg(rung, drawing, height_mm=24.0)
    slim = symbol(svg, 3)
    assert slim.startswith('<symbol id="figure-3" viewBox="0 0 ')
    assert len(slim) < len(svg) / 4
    whole, kept = set(re.findall(r'fill="([^"]+)"', svg)), set(re.findall(r'fill="([^"]+)"', slim))
    assert kept <= whole
    assert {"#1b1b1b", "#ffffff"} <= kept


@pytest.mark.parametrize("purpose", list(Purpose))
def test_the_ball_table_says_what_the_chart_says(purpose: Purpose) -> None:
    rows = ball_rows(purpose)
    assert rows[-1].to_cm == HIGH_CM
    for stature_cm in range(LOW_CM, HIGH_CM + 1):
        row = next(row for row in rows if stature_cm <= row.to_cm)
        advice = ball_advice(purpose, stature_cm / 100, None)
        assert row.sizes == f"{advice.sizes_cm[0]:g} to {advice.sizes_cm[-1]:g} cm"
        assert row.words.startswith(str(advice))


def test_caution_and_stop_signs_are_on_the_page(html: str) -> None:
    assert "not medical advice" in html
    assert "call the local emergency number" in unescape(html)
    assert "never stored and never sent" in html


def test_a_hostile_plan_stays_text(hostile: Analysis) -> None:
    html = player_html(hostile)
    assert html.count("<script") == 3
    assert html.count("</script>") == 3
    assert "<img" not in html
    assert data_of(html)["sheet"]["title"] == hostile.session.title


def test_without_drawings_and_cues_the_page_still_plays(evening: Analysis) -> None:
    html = player_html(evening)
    assert 'id="track"' not in html.partition("<script>")[0]
    assert "<symbol" not in html
    assert data_of(html)["sheet"]["variants"][0]["script"] == {}


@pytest.mark.slow
@pytest.mark.parametrize("plan", sorted(DEMO.parent.glob("*-[0-9][0-9].toml")), ids=lambda path: path.stem)
def test_every_example_stays_small(plan: Path) -> None:
    done = run(plan, options=Options(drawings=True, cues=True, cache=default_cache()))
    assert len(player_html(done).encode()) < MOST_BYTES * max(1.0, done.timeline.total_ms / 1_800_000)
