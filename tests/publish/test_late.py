"""Coming late online, and a link that drops: cards that agree with the clock, and that keep nothing.

Who asks a professional first: Riebe 2015 (CN40). The rest is common practice of leading over a link, no source.
"""

import json
import re
from base64 import b64encode
from datetime import datetime, timedelta
from hashlib import sha256
from pathlib import Path

import pytest
from pypdf import PdfReader

from everyrung.pipeline import run_plan
from everyrung.plan.read import plan_from_text
from everyrung.publish.late import late_values, write_late
from everyrung.publish.output import Order
from everyrung.publish.outputs.late import late_card
from everyrung.publish.player.content import public_sheet
from everyrung.results.analysis import Analysis
from everyrung.runsheet.build import run_sheet
from everyrung.runsheet.live import COME_IN_LAST, live_entry
from everyrung.runsheet.read_write import from_json, to_json
from everyrung.terms.enums import BlockKind, SpanKind
from everyrung.terms.errors import Invalid

EXAMPLES = Path(__file__).parents[2] / "examples"
PLANS = sorted(EXAMPLES.glob("*-[0-9][0-9].toml"))


def live_run(plan: Path, live: bool = True) -> Analysis:
    text = plan.read_text(encoding="utf-8")
    if "\nat_home" not in text:
        text = text.replace("[who]", "[who]\nat_home = 6", 1)
    return run_plan(plan_from_text(text.replace("[who]", "[who]\nlive = true", 1) if live else text, plan.name))


@pytest.fixture(scope="module")
def boathouse() -> Analysis:
    return live_run(EXAMPLES / "boathouse-30.toml")


@pytest.mark.parametrize("plan", PLANS, ids=lambda each: each.stem)
def test_both_cards_are_one_page_each_with_all_that_they_must_say(plan: Path, tmp_path: Path) -> None:
    run = live_run(plan)
    page, paper, leader = write_late(run, tmp_path)
    live = live_entry(run.session, run.timeline)
    assert live
    for path, lines in (
        (paper, (*live.first_minute, *live.ask_first, *live.no_picture, *live.need)),
        (leader, [each.words for each in live.for_leader]),
    ):
        reader = PdfReader(path)
        assert len(reader.pages) == 1
        text = re.sub(r"\s", "", reader.pages[0].extract_text())
        for line in lines:
            assert re.sub(r"\s", "", line) in text, line
    assert "link drops" not in PdfReader(paper).pages[0].extract_text()  # what is the leader's own stays hers
    assert "What to do and say" not in page.read_text()


@pytest.mark.parametrize("plan", PLANS, ids=lambda each: each.stem)
def test_its_parts_cover_the_clock_and_its_sets_begin_when_the_clock_says(plan: Path) -> None:
    run = live_run(plan)
    live = live_entry(run.session, run.timeline)
    assert live
    ends = [0, *(part.end_ms for part in live.parts)]
    assert ends == [*(part.at_ms for part in live.parts), run.timeline.total_ms]
    starts = [at_ms for part in live.parts for at_ms, _ in part.sets]
    work = [span for span in run.timeline.spans if span.kind is SpanKind.WORK]
    firsts = [span.at_ms for place, span in enumerate(work) if not place or work[place - 1].cell is not span.cell]
    assert len(starts) == len(firsts)
    assert all(start <= first for start, first in zip(starts, firsts, strict=True))
    assert all(first < after for first, after in zip(firsts, starts[1:], strict=False))


def test_nobody_who_missed_the_warm_up_comes_into_the_last_round(boathouse: Analysis) -> None:
    live = live_entry(boathouse.session, boathouse.timeline)
    assert live
    (main,) = boathouse.session.of_kind(BlockKind.MAIN)
    last = [part.name for part in live.parts if part.come_in == COME_IN_LAST]
    assert last == [f"{main.name}, {main.rounds[-1].name}"]


def test_times_are_of_the_day_where_the_start_is_known(boathouse: Analysis) -> None:
    begin = datetime(2026, 12, 1, 18, 30)
    at = late_values(boathouse, begin)
    since = late_values(boathouse, None)
    assert (at["parts"][0]["time"], since["parts"][0]["time"]) == ("18:30", "0:00")
    assert at["end"] == f"{begin + timedelta(milliseconds=boathouse.timeline.total_ms):%H:%M}"


def test_the_page_keeps_and_sends_nothing_and_only_its_own_script_runs(boathouse: Analysis, tmp_path: Path) -> None:
    page, *_ = write_late(boathouse, tmp_path)
    text = page.read_text()
    scripts = re.findall(r"<script>(.*?)</script>", text, re.DOTALL)
    assert len(scripts) == 1
    assert f"script-src 'sha256-{b64encode(sha256(scripts[0].encode()).digest()).decode()}'" in text
    for word in ("localStorage", "fetch(", "XMLHttp", "cookie", "http://", "https://"):
        assert word not in scripts[0]
    data = re.search(r'id="parts">(.*?)</script>', text, re.DOTALL)
    assert data
    assert json.loads(data[1])["total_ms"] == boathouse.timeline.total_ms


def test_the_run_sheet_of_a_live_session_holds_it_and_the_published_one_does_not(boathouse: Analysis) -> None:
    sheet = run_sheet(boathouse)
    assert sheet.live
    assert from_json(to_json(sheet)) == sheet
    assert public_sheet(boathouse).live is None


def test_without_anybody_live_there_is_no_card(tmp_path: Path) -> None:
    run = live_run(EXAMPLES / "office-20.toml", live=False)
    assert not Order(run=run, folder=tmp_path).has(late_card.needs[0])
    with pytest.raises(Invalid, match="live online"):
        write_late(run, tmp_path)
