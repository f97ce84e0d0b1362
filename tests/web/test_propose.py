"""The Propose screen: a brief read and kept, bad input answered in a sentence, cards, and one taken into the studio."""

import tomllib
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from urllib.parse import parse_qsl, urlsplit

import pytest

from everyrung.moves.library import standard_library
from everyrung.pipeline import AudienceSpec, run_plan
from everyrung.plan.read import plan_from_text
from everyrung.proposals import nearest, search
from everyrung.proposals.brief_text import read_brief
from everyrung.proposals.search import SearchStep
from everyrung.terms.enums import Caution, KitItem, Pattern
from everyrung.terms.person import Health, Person
from everyrung.terms.plan import Stock
from everyrung.terms.session_brief import SessionBrief, Style
from everyrung.web.brief_form import brief_fields, read_form_brief
from everyrung.web.jobs import JobResult, Progress, do_job
from everyrung.web.person_form import add
from everyrung.web.plan_templates import DEMO, start
from everyrung.web.proposing import NearestBrief, ProposalCard
from everyrung.web.workers import TaskCancelled

SAYINGS = tomllib.loads(
    (Path(__file__).parents[1] / "proposals" / "sayings.toml").read_text(encoding="utf-8")
)["saying"]  # fmt: skip
CARD = ProposalCard(
    text=start(DEMO), title="Boathouse thirty", total_ms=1_790_400, rounds=3, lines=("Squat 8, 10 reps",),
    reasons=("3 of 3 patterns in focus",), gives_up=("nothing for calf",), worth=19.5, bound=20.0, gap=0.025,
)  # fmt: skip


def alike(brief: SessionBrief) -> SessionBrief:
    """What is ticked has no order."""
    return replace(brief, focus=tuple(sorted(brief.focus)), limits=tuple(sorted(brief.limits)))


def job_of(studio: Any, brief: SessionBrief) -> Any:
    return studio.job("", AudienceSpec(), brief=brief)


@pytest.mark.parametrize("say", [each["say"] for each in SAYINGS])
def test_the_address_keeps_the_whole_brief(say: str) -> None:
    library = standard_library()
    brief = read_brief(say, library).brief
    assert alike(read_form_brief(brief_fields(brief), library).brief) == alike(brief)


def test_the_address_keeps_what_only_fields_say() -> None:
    brief = SessionBrief(
        minutes=40, rounds=2, style=Style.PAIRS, at_home=3, newcomers=True, floor=False, lately=("squat",),
        include=("hip-hinge",), exclude=("split-squat",), title="A; B & C", limits=(Caution.OVERHEAD,),
        focus=(Pattern.PULL,), kit=(Stock(item=KitItem.STEP, each=1, height_cm=20),),
    )  # fmt: skip
    assert read_form_brief(brief_fields(brief), standard_library()).brief == brief


def test_kit_of_the_room_and_of_everyone() -> None:
    form = {"in_room": "6", "kit_in_room": "eight balls, two 2.5 kg", "kit_each": "two chairs"}
    kit = read_form_brief(form, standard_library()).brief.kit
    assert [(stock.item, stock.count, stock.each) for stock in kit] == [
        (KitItem.DUMBBELLS, 12, 0), (KitItem.BALL, 8, 0), (KitItem.CHAIR, 0, 2),
    ]  # fmt: skip


def test_words_become_an_address_without_what_was_said_of_health(client: Any, post: Any) -> None:
    answer = post("/propose", part=False, say="25 min arms, two 2.5 kg, one pregnant, moonlight")
    assert answer.status_code == 303
    address = answer.headers["location"]
    assert "pregnan" not in address
    fields = dict(parse_qsl(urlsplit(address).query))
    assert (fields["minutes"], fields["focus.push"], "limit.lying on the back" in fields) == ("25", "on", True)
    page = client.get(address).text
    assert "Not understood, and left out: moonlight" in page
    assert "each has 2 × 2.5 kg dumbbells" in page
    assert "pregnan" not in page.partition("<main")[2].replace("sore knee, pregnant, high blood pressure", "")


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"say": "3 minutes"}, "Minutes: expected 10 to 120 minutes; got 3. Nearest: 10."),
        ({"say": "4 hours of legs"}, "got 240. Nearest: 120."),
        ({"minutes": "soon"}, "Minutes: expected a whole number; got soon."),
        ({"in_room": "300000"}, "In the room: expected 0 to 10,000 people; got 300000. Nearest: 10000."),
        ({"kit_each": "a trampoline"}, "Kit that everyone has: expected kit"),
        ({"include": "sqats"}, "Must be in it: expected a move of the library; got sqats. Nearest: squat."),
        ({"say": "with squats, without squats"}, "Wish for one of the two."),
        ({"say": "gentle, half an hour, hard"}, "got &#39;gentle&#39; and &#39;hard&#39;. Nearest: gentle."),
        ({"say": "a kettlebell of 900 kg"}, "at most 100 kg a piece"),
        ({"kit.0": "[]"}, "Kit: expected an entry of kit"),
        ({"kit.0": '{"item": "trampoline"}'}, "expected"),
    ],
)
def test_bad_input_gets_a_sentence_and_the_nearest_that_works(post: Any, fields: dict[str, str], words: str) -> None:
    answer = post("/propose", part=False, **fields)
    assert answer.status_code == 422
    assert words in answer.text
    assert words in post("/propose/read", **fields).text


def test_a_proposal_worth_more_than_the_first_could_be_leaves_nothing_missing(client: Any, studio: Any) -> None:
    """ "At most -1.8 % missing" was once said of it: a later one may be given moves that the first was not."""
    better = replace(CARD, worth=20.4, bound=20.4)
    studio.jobs.said(job_of(studio, SessionBrief(minutes=25)), JobResult(proposals=(CARD, better), finished=True))
    page = client.get("/propose?minutes=25").text
    assert "Best so far: worth 20.4" in page
    assert "worth more than 20.4 (at most 0.0 % missing)" in page


def test_many_people_are_no_bad_input(post: Any) -> None:
    assert post("/propose", part=False, say="300 people, half an hour").status_code == 303


def test_what_is_understood_is_said_as_one_types(post: Any) -> None:
    text = post("/propose/read", say="20 min legs, two dumbbels").text
    assert "<q>20 min</q> 20 minutes" in text
    assert "dumbbels (nearest: &#39;dumbbells&#39;)" in text


def test_those_of_her_list_who_come_are_minded_and_not_named(client: Any, studio: Any, post: Any) -> None:
    key = add(studio.people, Person(name="Greta", stature_m=1.6, level="new", health=Health(limits=("kneeling",))))
    assert "Greta" in client.get("/propose").text
    answer = post("/propose", part=False, minutes="25", **{f"person.{key}": "on", "their_kit": "at home"})
    fields = dict(parse_qsl(urlsplit(answer.headers["location"]).query))
    assert (fields["newcomers"], fields["limit.kneeling"], fields["at_home"]) == ("yes", "on", "1")
    assert "reta" not in answer.headers["location"]


def test_the_search_is_seen_and_only_new_cards_come(client: Any, studio: Any) -> None:
    brief = SessionBrief(minutes=25)
    page = client.get("/propose?minutes=25").text
    assert "25 minutes, moderate" in page
    assert 'hx-get="/propose/progress?' in page
    studio.jobs.said(job_of(studio, brief), JobResult(proposals=(CARD,)))
    first = client.get("/propose/progress?minutes=25&seen=0").text
    assert "Best so far: worth 19.5" in first
    assert "more than 20.0 (at most 2.5 % missing)" in first
    assert 'id="proposal-1"' in first
    assert "29:51, 3 rounds" in first  # as Write has it: what is begun counts
    assert 'id="score-head-wide-1"' in first
    assert "It gives up: nothing for calf." in first
    again = client.get("/propose/progress?minutes=25&seen=1").text
    assert 'id="proposal-1"' not in again
    assert "hx-get" in again
    studio.jobs.said(job_of(studio, brief), JobResult(proposals=(CARD,) * 3, finished=True))
    last = client.get("/propose/progress?minutes=25&seen=1").text
    assert 'id="proposal-1"' not in last
    assert 'id="proposal-3"' in last
    assert "hx-get" not in last


def test_stopped_it_keeps_what_there_is(client: Any, studio: Any, post: Any) -> None:
    client.get("/propose?minutes=25")
    studio.jobs.said(job_of(studio, SessionBrief(minutes=25)), JobResult(proposals=(CARD,)))
    text = post("/propose/stop?minutes=25").text
    assert "Stopped." in text
    assert "hx-get" not in text
    assert studio.jobs.progress(job_of(studio, SessionBrief(minutes=25)).key) is None
    assert 'id="take-1"' in client.get("/propose?minutes=25").text


def test_another_brief_of_the_same_page_takes_the_place_of_the_one_before(client: Any, studio: Any, post: Any) -> None:
    client.get("/propose?minutes=25")
    key = job_of(studio, SessionBrief(minutes=25)).key
    assert studio.jobs.progress(key)
    post("/propose", part=False, minutes="30", instead=key)
    assert studio.jobs.progress(key) is None


def test_one_press_makes_it_a_session(studio: Any, post: Any) -> None:
    studio.jobs.said(job_of(studio, SessionBrief(minutes=25)), JobResult(proposals=(CARD,), finished=True))
    answer = post("/propose/take?minutes=25", part=False, number=1)
    session = answer.headers["location"].rpartition("/")[2]
    head = studio.sessions.head(session)
    assert head.text == CARD.text
    assert head.what.startswith("Proposed: 25 minutes, moderate; for the whole body")
    for number in ("2", "0", "x"):
        gone = post("/propose/take?minutes=25", part=False, number=number)
        assert gone.headers["location"].startswith("/propose?")


def test_where_there_is_none_the_nearest_is_said(client: Any, studio: Any) -> None:
    near = NearestBrief(words="30 minutes", brief=SessionBrief(minutes=30))
    studio.jobs.said(job_of(studio, SessionBrief(minutes=25)), JobResult(nearest=near, finished=True))
    text = client.get("/propose?minutes=25").text
    assert "The nearest that works: 30 minutes." in text
    assert "minutes=30" in text


def a_proposal(*_: Any, on_step: Any, **__: Any) -> Iterator[Any]:
    """As a search, without the search."""
    run = run_plan(plan_from_text(start(DEMO), "demo.toml"))
    columns = (SimpleNamespace(versions=(1, 2, 3)),)
    for count in (1, 2):
        on_step(SearchStep(count=count, bound=12.5))
        on_step(SearchStep(count=count, bound=12.5))
        yield SimpleNamespace(
            text=start(DEMO), run=run, columns=columns, reasons=("it is there",), gives_up=(), worth=12.0, bound=12.5,
            gap=0.04,
        )  # fmt: skip


def test_the_job_says_how_far_it_is_and_can_be_stopped(studio: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search, "propose", a_proposal)
    heard: list[Any] = []
    result = do_job(job_of(studio, SessionBrief()), heard.append)
    steps = [each.words for each in heard if isinstance(each, Progress)]
    assert steps == [
        "set of moves number 1 is tried; the next can be worth 12.5 at most",
        "the best so far is worth 12.0, and set of moves number 2 is tried; the next can be worth 12.5 at most",
    ]
    assert [len(each.proposals) for each in heard if isinstance(each, JobResult)] == [1, 2]
    assert result.finished
    cells = run_plan(plan_from_text(start(DEMO), "demo.toml")).session.cells
    first, second, _ = (f"{cell.rung.name} {cell.dose};" for cell in cells if cell.ref.cell == "squat")
    assert result.proposals[0].lines[0].startswith(f"{first} {second}")

    def tell(message: Any) -> None:
        if message is None:
            raise TaskCancelled

    with pytest.raises(TaskCancelled):
        do_job(job_of(studio, SessionBrief()), tell)


def test_a_job_without_a_proposal_looks_for_the_nearest(studio: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search, "propose", lambda *_, **__: iter(()))
    monkeypatch.setattr(nearest, "nearest_brief", lambda brief, *_, **__: ("30 minutes", replace(brief, minutes=30)))
    result = do_job(job_of(studio, SessionBrief(minutes=25)), lambda _: None)
    assert result.nearest == NearestBrief(words="30 minutes", brief=SessionBrief(minutes=30))
