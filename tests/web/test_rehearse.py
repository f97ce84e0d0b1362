"""The Rehearse screen: what was computed of a version is what is shown of it, before and after a change."""

import json
import re
from collections.abc import Callable
from dataclasses import replace
from html import unescape
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from starlette.testclient import TestClient

from everyrung.effort.uncertainty import ASSUMPTIONS
from everyrung.effort.words import _LIMITERS
from everyrung.pipeline import AudienceSpec
from everyrung.publish.figure.patches import PATCHES
from everyrung.terms.enums import BlockKind, OptionKind
from everyrung.terms.forecast import Advice, Forecast, PersonAdvice, Take
from everyrung.terms.plan import Ref
from everyrung.web.jobs import Job, JobResult
from everyrung.web.person_form import bring, participants
from everyrung.web.rehearsal import effort_band, rows
from everyrung.web.studio import Studio

PEOPLE = Path(__file__).parents[2] / "examples" / "boathouse-people.csv"
Made = Callable[..., Forecast]


@pytest.fixture
def rehearsed(studio: Studio, session: str, forecast: Made) -> Callable[..., None]:
    """As if the background had rehearsed the session as it is now."""

    def said(part: float = 0.8, **cells: float) -> None:
        text = studio.sessions.head(session).text
        job = Job(text=text, audience=AudienceSpec(count=2000))
        found = forecast(studio.run(text), part, **cells)
        studio.jobs.said(job, JobResult(forecast=found, finished=True))  # type: ignore[attr-defined]

    return said


def test_nothing_is_shown_as_current_before_it_is_computed(client: TestClient, session: str) -> None:
    page = client.get(f"/session/{session}/rehearse").text
    assert "Your audience is going through it" in page
    assert 'hx-trigger="load delay:300ms, again"' in page
    assert "finish-table" not in page


def test_shares_of_the_forecast_stand_beside_their_sets(
    client: TestClient, session: str, rehearsed: Callable[..., None]
) -> None:
    rehearsed(0.8, lunge=0.41)
    page = client.get(f"/session/{session}/rehearse").text
    row = next(part for part in page.split("<tr") if ">Split squat</a>" in part)
    assert "<b>41%</b>" in row
    assert 'width="41.0"' in row
    assert "front of the thigh 60%" in row
    assert "feels 5 of 10 (3 to 7)" in row
    assert '<span class="number">6</span> (4 to 8) <span class="soft">times 30 minutes: session load 180' in page
    assert "have no rung in" in page
    assert "wrist load" in page


def test_an_edit_from_here_is_saved_and_set_against_what_was(
    client: TestClient, post: Any, studio: Studio, session: str, rehearsed: Callable[..., None]
) -> None:
    rehearsed(0.8)
    fields = {"edit": "cell", "ref": "Main/Two/squat", "field": "dose", "value": "14 reps", "open": "Main/Two/squat"}
    answer = post(f"/session/{session}/rehearse", part=False, base=1, **fields)
    assert answer.status_code == 303
    assert parse_qs(urlsplit(answer.headers["location"]).query)["against"] == ["1"]
    assert 'dose = "14 reps"' in studio.sessions.head(session).text
    page = client.get(answer.headers["location"]).text
    assert "Your audience is going through it" in page  # the old shares are not the new
    rehearsed(0.5)
    page = client.get(answer.headers["location"]).text
    assert "Version 1 against version 2" in page
    assert re.search(r"<b>50%</b> <span class=\"soft\">was 80%</span>", page)
    post(f"/session/{session}/rehearse", part=False, base=2, edit="undo")
    assert "14 reps" not in studio.sessions.head(session).text


def test_a_clash_here_overwrites_nothing(post: Any, studio: Studio, session: str) -> None:
    fields = {"edit": "cell", "ref": "Main/Two/squat", "field": "dose"}
    post(f"/session/{session}/edit", base=1, value="10 reps", **fields)
    answer = post(f"/session/{session}/rehearse", part=False, base=1, value="12 reps", **fields)
    assert answer.status_code == 409
    assert "Nothing was overwritten" in answer.text
    assert "10 reps" in studio.sessions.head(session).text


@pytest.mark.parametrize(
    "query", ["mix=../../etc/passwd", "mix=x.toml", "count=100000000", "known=all", "mix=boathuose"]
)
def test_only_mixes_and_numbers_of_ours_are_rehearsed(query: str, client: TestClient, session: str) -> None:
    answer = client.get(f"/session/{session}/rehearse?{query}")
    assert answer.status_code == 422
    assert "expected" in answer.text


def test_people_are_told_their_rung_and_nothing_of_their_health(
    client: TestClient, studio: Studio, session: str, forecast: Made
) -> None:
    from everyrung.moves.library import standard_library
    from everyrung.people.read import read_people

    bring(studio.people, read_people(PEOPLE))
    people = participants(studio.people)
    text = studio.sessions.head(session).text
    ref = Ref(block="Main", round="One", cell="squat")
    form = standard_library().rung("ball-wall-squat", "base").form
    take = Take(kind=None, rung="Ball wall squat", dose="8 reps", reps=8, load="", entry_test="", form=form)
    advice = tuple(
        PersonAdvice(
            name=one.name, taken=(), balls=(), heart="",
            cells=(Advice(ref=ref, move="Ball wall squat", take=take, reason="", effort="easy", harder=None),),
        )
        for one in people
    )  # fmt: skip
    job = Job(text=text, audience=AudienceSpec(count=2000, people=people))
    answer = JobResult(forecast=forecast(studio.run(text)), advice=advice, finished=True)
    studio.jobs.said(job, answer)  # type: ignore[attr-defined]
    page = client.get(f"/session/{session}/rehearse?known=own").text
    names = page[page.index("Your people") :]
    assert all(one.name in names for one in people)
    assert "deep knee bend" not in names


def test_the_effort_band_stands_where_the_work_is_on_the_clock(studio: Studio, session: str, forecast: Made) -> None:
    run = studio.run(studio.sessions.head(session).text)
    band = effort_band(run, forecast(run))
    work = [span for span in run.timeline.spans if span.bout and span.block.name == "Main"]
    drawn = [minute for minute, left in zip(band["minutes"], band["p50"], strict=True) if left is not None]
    assert drawn[0] == round(work[0].at_ms / 60_000, 3)
    assert len(drawn) == 2 * len({span.cell.ref for span in work if span.cell})
    assert band["minutes"] == sorted(band["minutes"])  # type: ignore[type-var]


def test_other_assumptions_are_said_of_people_and_not_of_a_model(studio: Studio, session: str, forecast: Made) -> None:
    """A coach reads who finishes; no setting of the model, no points."""
    run = studio.run(studio.sessions.head(session).text)
    made = forecast(run)
    (before, *others) = made.cells
    moved = {each.name: (-7.0, -14.0) for each in ASSUMPTIONS} | {ASSUMPTIONS[1].name: (2.0, 9.0)}
    row = next(iter(rows(run, replace(made, cells=(replace(before, moved=moved), *others)), None)))
    assert len(row.shifts) == len(ASSUMPTIONS)
    assert row.shifts[:2] == (
        "If people recover slowly: 14 fewer in 100 finish it as led",
        "If people recover quickly: 9 more in 100 finish it as led",
    )


def test_whatever_gives_out_has_its_place_on_the_figure() -> None:
    assert set(_LIMITERS.values()) <= set(PATCHES)


def test_each_main_set_stands_on_a_figure_with_what_gives_out_there(
    client: TestClient, studio: Studio, session: str, rehearsed: Callable[..., None]
) -> None:
    rehearsed(0.8)
    page = client.get(f"/session/{session}/rehearse").text
    main = studio.run(studio.sessions.head(session).text).session.cells_of(BlockKind.MAIN)
    drawn = re.findall(r'data-motion-url="/motion/([0-9a-f]+).json" data-stops=\'(.*?)\' aria-label="(.*?)"', page)
    assert len(drawn) == len(main)
    assert [name for name, _, _ in drawn] == [studio.figure(cell.rung, cell.bouts[0].load) for cell in main]
    stops = json.loads(unescape(drawn[0][1]))
    assert stops == [
        {"name": "front of the thigh", "part": 0.6, "side": None},
        {"name": "calf", "part": 0.3, "side": "other"},
    ]
    assert drawn[0][2].endswith("Gives out first: 1, front of the thigh: 60%; 2, calf: 30%")


def test_a_refused_change_is_told_beside_the_set(
    post: Any, studio: Studio, session: str, rehearsed: Callable[..., None]
) -> None:
    rehearsed(0.8)
    fields = {"edit": "cell", "ref": "Main/Two/squat", "field": "dose", "value": "banana", "open": "Main/Two/squat"}
    answer = post(f"/session/{session}/rehearse", part=False, base=1, **fields)
    assert answer.status_code == 422
    told = answer.text[answer.text.index('id="set"') :]
    assert "Dose: expected" in told
    assert studio.sessions.head(session).number == 1


def test_the_rung_that_is_led_already_is_no_change(post: Any, studio: Studio, session: str, client: TestClient) -> None:
    panel = client.get(f"/session/{session}/cell?ref=Main/Two/lunge").text
    led = panel[panel.index("Rung as led") :]
    assert "Split squat, one dumbbell in the opposite hand (as written)" in led[: led.index("</select>")]
    fields = {"edit": "rung", "ref": "Main/Two/lunge", "value": ""}
    assert post(f"/session/{session}/rehearse", part=False, base=1, **fields).status_code == 422
    assert studio.sessions.head(session).number == 1


def test_a_harder_rung_that_more_people_finish_is_said_to_be_odd(studio: Studio, session: str, forecast: Made) -> None:
    run = studio.run(studio.sessions.head(session).text)
    found = forecast(run, 0.8)
    rung = replace(found.cells[0].rungs[1], kind=OptionKind.HARDER)  # everyone finishes it
    table = rows(run, replace(found, cells=(replace(found.cells[0], rungs=(found.cells[0].rungs[0], rung)),)), None)
    assert [bar.odd for bar in table[0].rungs] == ["more finish it than the led rung", ""]


def test_shares_are_shown_when_all_are_counted_and_their_bands_follow(
    client: TestClient, studio: Studio, session: str, forecast: Made
) -> None:
    text = studio.sessions.head(session).text
    job = Job(text=text, audience=AudienceSpec(count=2000))
    studio.jobs.said(job, JobResult(forecast=forecast(studio.run(text), 0.8)))  # type: ignore[attr-defined]
    page = client.get(f"/session/{session}/rehearse").text
    assert "finish-table" in page
    assert "follows in a moment" in page
    assert 'again"' in page  # it asks on
