"""Buttons under findings: only remedies that were tried, as soon as they are known, and each does what it says."""

import html
import json
import re
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from everyrung.compose.case import Remedy
from everyrung.compose.rungs import MOST_RUNGS
from everyrung.moves.library import standard_library
from everyrung.pipeline import AudienceSpec, Options
from everyrung.store.tables import RevisionTable
from everyrung.terms.edit import (
    AddBlock,
    AddKit,
    AddLever,
    AddMove,
    AddRound,
    DropLever,
    Edit,
    RemoveBlock,
    RemoveKit,
    RemoveMove,
    RemoveRound,
    SetCell,
    SetHead,
    SetPart,
    Several,
    ShiftMove,
    SkipCell,
    TakeRung,
)
from everyrung.terms.enums import BlockKind
from everyrung.terms.errors import Invalid
from everyrung.terms.finding import Identity, name_list
from everyrung.terms.forecast import USUAL_PEOPLE
from everyrung.terms.plan import Ref
from everyrung.web.edit_form import MOST_TOGETHER, MOST_WORDS, edit_from, form_of
from everyrung.web.jobs import JobResult
from everyrung.web.remedies import MendRequest, find_remedies
from everyrung.web.save import draft
from everyrung.web.studio import Studio

FAULTY = (Path(__file__).parents[2] / "examples" / "faulty.toml").read_text(encoding="utf-8")
HERE = Ref(block="Main", round="Two", cell="squat")
EDITS: list[Edit] = [
    SetHead(field="slot_minutes", value=31),
    SetHead(field="cut_order", value=["Main/Three", "Main/Two/squat"]),
    SetHead(field="cut_order", value=None),
    SetPart(ref=Ref(block="Main"), field="say", value=["One.", "Two."]),
    SetPart(ref=Ref(block="Main"), field="rest", value="10 s"),
    SetCell(ref=HERE, field="dose", value="8 a side"),
    SetCell(ref=HERE, field="dose", value=None, column=True),
    SetCell(ref=HERE, field="right", value=None),
    SetCell(ref=HERE, field="options.easier", value={"rung": "base", "levers": [{"range": 0.5}], "name": "Half é"}),
    TakeRung(ref=HERE, rung="wall"),
    TakeRung(ref=HERE, rung="half-wall", move="squat"),
    TakeRung(ref=HERE, rung="base", levers=({"pause": "2 s"},), name="Mine", entry_test="Easy?"),
    AddLever(ref=HERE, lever={"pause": "1 s"}),
    DropLever(ref=HERE),
    AddRound(block="Main"),
    RemoveRound(ref=Ref(block="Main", round="Two")),
    AddMove(block="Main", move="squat"),
    RemoveMove(block="Main", cell="squat"),
    ShiftMove(block="Main", cell="squat", to=2),
    SkipCell(ref=HERE, skip=True),
    SkipCell(ref=HERE, skip=False),
    AddBlock(kind=BlockKind.COOL_DOWN, move="calf-stretch"),
    RemoveBlock(block="Main"),
    AddKit(stock={"item": "chair", "count": 12}),
    RemoveKit(at=1),
]


@pytest.mark.parametrize("edit", EDITS, ids=lambda each: type(each).__name__)
def test_a_button_s_form_asks_for_the_edit_that_was_tried(edit: Edit) -> None:
    assert edit_from(form_of(edit)) == edit


def test_several_edits_travel_in_one_form() -> None:
    edit = Several(edits=tuple(EDITS), words="All of it; 'quoted' & \"said\"")  # type: ignore[arg-type]
    assert edit_from(form_of(edit)) == edit


def test_what_a_button_says_is_kept_whole_however_long_the_names_of_its_rungs_are() -> None:
    library = standard_library()
    names = sorted((rung.name for key in library.keys for rung in library.move(key).ladder), key=len)[-12:]
    words = f"Lead lower rungs in {MOST_TOGETHER} sets: {name_list(names, most=MOST_RUNGS)}"
    edit = Several(edits=(EDITS[0],), words=words)  # type: ignore[arg-type]
    assert edit_from(form_of(edit)) == edit
    assert RevisionTable.__table__.c.what.type.length == MOST_WORDS


@pytest.mark.parametrize(
    "value",
    ["", "[]", "3", "[3]", '[{"edit": 3}]', '["a"]', "[" * 2000, json.dumps([{"edit": "head"}] * (MOST_TOGETHER + 1))],
)
def test_anything_else_is_refused(value: str) -> None:
    with pytest.raises(Invalid):
        edit_from({"edit": "several", "value": value, "words": "x"})


@cache
def held(text: str) -> Mapping[Identity, tuple[Remedy, ...]]:
    return find_remedies(text, MendRequest(), standard_library(), Options(), lambda *_: None)


def told(studio: Studio, text: str) -> None:
    """As if the background had tried the remedies of time and checks."""
    expected, found = AudienceSpec(count=USUAL_PEOPLE), held(text)
    studio.trials.said(studio.job(text, expected, mend=MendRequest()), JobResult(remedies=found, finished=True))  # type: ignore[attr-defined]


def buttons(page: str) -> list[tuple[str, dict[str, str]]]:
    """Words and forms of the buttons under findings."""
    found = re.findall(r"<button[^>]* hx-vals='([^']+)'[^>]*>([^<]+)</button>", page[page.index('id="findings"') :])
    forms = [(html.unescape(words), json.loads(html.unescape(values))) for values, words in found]
    return [(words, form) for words, form in forms if form["edit"] == "several"]


def test_buttons_appear_when_their_remedies_are_known(client: TestClient, studio: Studio) -> None:
    session = studio.sessions.create(draft(FAULTY, "Faulty")).id
    assert not buttons(client.get(f"/session/{session}").text)
    seen = re.search(r"seen=(\w*)", client.get(f"/session/{session}").text)
    assert seen
    told(studio, FAULTY)
    part = client.get(f"/session/{session}/computed?base=1&seen={seen[1]}")
    assert part.headers["HX-Retarget"] == "#findings"
    assert len(buttons(part.text)) > 20
    assert buttons(client.get(f"/session/{session}").text) == buttons(part.text)


def test_a_button_does_what_it_says_and_its_words_name_the_version(
    client: TestClient, post: Any, studio: Studio
) -> None:
    session = studio.sessions.create(draft(FAULTY, "Faulty")).id
    told(studio, FAULTY)
    found = buttons(client.get(f"/session/{session}").text)
    words, form = next(each for each in found if each[0].startswith("Leave out, as you said beforehand"))
    answer = post(f"/session/{session}/edit", base=1, **form)
    assert answer.status_code == 200
    head = studio.sessions.head(session)
    assert head.number == 2
    assert head.what.startswith(f"{words}: ")  # and then what it changed
    after = studio.run(head.text)
    assert "slot-overrun" not in [each.rule for each in after.findings]
    assert not buttons(answer.text)  # those of the version before are not shown as if tried on this one


def test_buttons_speak_no_file_language(client: TestClient, studio: Studio) -> None:
    session = studio.sessions.create(draft(FAULTY, "Faulty")).id
    told(studio, FAULTY)
    found = buttons(client.get(f"/session/{session}").text)
    assert found
    for words, _ in found:
        assert not re.search(r"options\.|cut_order|\[\[|\w/\w|_\w|limits\[|=", words), words


def test_remedies_of_bodies_and_people_are_tried_when_both_are_in(client: TestClient, studio: Studio) -> None:
    """They are asked for with the findings that were computed, and shown beside those of time and checks."""
    session = studio.sessions.create(draft(FAULTY, "Faulty")).id
    told(studio, FAULTY)
    run = studio.run(FAULTY)
    jump = replace(run.findings[0], rule="round-jumps", places=(HERE,), what="")
    findings = (*run.findings, jump)
    expected = AudienceSpec(count=USUAL_PEOPLE)
    studio.jobs.said(studio.job(FAULTY, expected), JobResult(findings=findings, finished=True))  # type: ignore[attr-defined]
    before = client.get(f"/session/{session}").text
    more = studio.job(FAULTY, expected, mend=MendRequest(findings=findings))
    assert studio.jobs.progress(more.key)
    remedy = Remedy(words="Take 4 kg in round Two", edits=(SetCell(ref=HERE, field="load", value="4 kg"),))
    studio.jobs.said(more, JobResult(remedies={jump.identity: (remedy,)}, finished=True))  # type: ignore[attr-defined]
    after = buttons(client.get(f"/session/{session}").text)
    assert sorted(words for words, _ in after) == sorted([remedy.words, *(words for words, _ in buttons(before))])


def test_an_edit_does_not_wait_behind_the_remedies_of_the_text_before(
    client: TestClient, studio: Studio, session: str, post: Any
) -> None:
    text, expected = studio.sessions.head(session).text, AudienceSpec(count=USUAL_PEOPLE)
    findings = studio.run(FAULTY).findings
    studio.jobs.said(studio.job(text, expected), JobResult(findings=findings, finished=True))  # type: ignore[attr-defined]
    client.get(f"/session/{session}")
    old = studio.job(text, expected, mend=MendRequest(findings=findings))
    assert studio.jobs.job_of(f"mend/{session}") == old
    post(f"/session/{session}/edit", edit="cell", ref="Main/Two/squat", field="dose", value="14 reps", base=1)
    assert studio.jobs.job_of(f"mend/{session}") is None
    assert studio.jobs.job_of(f"write/{session}")
