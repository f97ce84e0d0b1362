"""Changes by one press on the Write screen: tried in the background, shown before and after, done, undone."""

import json
import re
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from everyrung.compose.changes import ChangeKind, ChangeRequest
from everyrung.pipeline import AudienceSpec
from everyrung.plan.read import ref
from everyrung.terms.enums import Severity
from everyrung.terms.errors import Where
from everyrung.terms.finding import Finding
from everyrung.terms.forecast import USUAL_PEOPLE
from everyrung.web.jobs import JobResult, Progress, do_job
from everyrung.web.offering import PressOffers
from everyrung.web.save import draft
from everyrung.web.workers import TaskCancelled

OFFICE = Path(__file__).parents[2] / "examples" / "office-20.toml"


@pytest.fixture
def office(studio: Any) -> str:
    return str(studio.sessions.create(draft(OFFICE.read_text(encoding="utf-8"), "Office")).id)


def computed(studio: Any, session: str, request: ChangeRequest) -> JobResult:
    """As if the background had tried them."""
    job = studio.job(studio.sessions.head(session).text, AudienceSpec(), change=request)
    result = do_job(job, lambda _: None)
    studio.trials.said(job, result)
    return result


def places(studio: Any, session: str) -> list[str]:
    return [str(cell.ref) for cell in studio.run(studio.sessions.head(session).text).session.cells]


def forms(page: str) -> list[dict[str, str]]:
    return [json.loads(unescape(each)) for each in re.findall(r'id="way-\d+"[^>]*hx-vals=\'([^\']+)\'', page)]


def test_a_swap_is_offered_done_and_undone(client: Any, post: Any, studio: Any, office: str) -> None:
    address = f"/session/{office}/offers?kind=another+move&ref=Main/Two/march"
    waiting = client.get(address).text
    assert "Another move in place of seated march" in waiting  # "Another move: Main, Two, march" once
    assert "Each way is tried before it is shown." in waiting
    assert "hx-get" in waiting
    swap = ChangeRequest(kind=ChangeKind.SWAP, ref=ref("Main/Two/march"))
    computed(studio, office, swap)
    page = client.get(address).text
    assert "in place of seated march" in page
    assert "Who can finish it follows." in page
    first = forms(page)[0]
    answer = post(f"/session/{office}/edit", base=1, **first)
    assert answer.status_code == 200
    head = studio.sessions.head(office)
    assert "Main/Two/march" not in places(studio, office)
    assert "in place of seated march" in head.what
    post(f"/session/{office}/undo", base=head.number)
    assert "Main/Two/march" in places(studio, office)


def test_who_can_finish_stands_beside_who_could(client: Any, studio: Any, office: str, forecast: Any) -> None:
    head = studio.sessions.head(office)
    request = ChangeRequest(kind=ChangeKind.ONE_MORE)
    result = computed(studio, office, request)
    audience = AudienceSpec(count=USUAL_PEOPLE)
    for text, part in ((head.text, 0.8), (result.offers.offers[0].text, 0.7)):
        made = JobResult(forecast=forecast(studio.run(head.text), part=part), finished=True)
        studio.jobs.said(studio.job(text, audience), made)
    page = client.get(f"/session/{office}/offers?kind=one+person+more").text
    assert "For 7 in the room." in page
    assert re.search(r"70%[^<]* can finish every set with some rung; 80%[^<]* before", page), page
    assert "hx-get" not in page


def test_what_stands_in_the_way_is_said(client: Any, studio: Any, session: str) -> None:
    computed(studio, session, ChangeRequest(kind=ChangeKind.ONE_MORE))
    page = client.get(f"/session/{session}/offers?kind=one+person+more").text
    assert "Nothing works:" in page
    assert "It brings what nothing here mends: kit short." in page


def test_of_another_version_nothing_is_offered(client: Any, post: Any, office: str) -> None:
    post(f"/session/{office}/edit", base=1, edit="add-round", block="Main")
    page = client.get(f"/session/{office}/offers?kind=mend+all&at=1").text
    assert 'id="offers" hidden' in page
    assert "hx-get" in client.get(f"/session/{office}/offers?kind=mend+all&at=2").text


def test_stop_gives_it_up(client: Any, post: Any, studio: Any, office: str) -> None:
    client.get(f"/session/{office}/offers?kind=mend+all")
    job = studio.job(studio.sessions.head(office).text, AudienceSpec(), change=ChangeRequest(kind=ChangeKind.MEND))
    assert studio.trials.progress(job.key)
    assert 'id="offers" hidden' in post(f"/session/{office}/offers/stop").text
    assert studio.trials.progress(job.key) is None


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("kind=juggle", "Kind: expected"),
        ("kind=fit+to+minutes&minutes=3", "5 to 240 minutes; got 3. Nearest: 5."),
        ("kind=fit+to+minutes&minutes=soon", "Minutes: expected a whole number"),
        ("kind=another+move", "a set of this session"),
        ("kind=a+step+harder&ref=Main", "a round of this session"),
    ],
)
def test_what_cannot_be_asked_for_is_refused_in_a_sentence(client: Any, office: str, query: str, words: str) -> None:
    answer = client.get(f"/session/{office}/offers?{query}", headers={"HX-Request": "true"})
    assert answer.status_code == 422
    assert words in answer.text


def test_a_place_that_has_gone_is_said_by_the_job(client: Any, studio: Any, office: str) -> None:
    result = computed(studio, office, ChangeRequest(kind=ChangeKind.HARDER, ref=ref("Main/Nine")))
    assert "a round of this session" in result.problem
    assert "hx-get" not in client.get(f"/session/{office}/offers?kind=a+step+harder&ref=Main/Nine").text


def test_the_job_says_how_many_ways_it_tried_and_can_be_stopped(studio: Any, office: str) -> None:
    text = studio.sessions.head(office).text
    job = studio.job(text, AudienceSpec(), change=ChangeRequest(kind=ChangeKind.FEWER_KIT_CHANGES))
    heard: list[Any] = []
    assert do_job(job, heard.append).offers == PressOffers(offers=(), stays=("nothing of the kind is left to do",))
    assert [each.words for each in heard if isinstance(each, Progress)] == ["ways tried"] * len(heard)

    def stopped(_: Any) -> None:
        raise TaskCancelled

    with pytest.raises(TaskCancelled):
        do_job(job, stopped)


def test_locks_are_put_and_seen(client: Any, post: Any, studio: Any, office: str) -> None:
    for fields in (
        {"edit": "cell", "ref": "Main/Two/march", "field": "lock", "value": "yes"},
        {"edit": "cell", "ref": "Main/Two/push", "field": "lock", "value": "yes", "scope": "column"},
        {"edit": "part", "ref": "Cool-down", "field": "lock", "value": "yes"},
    ):
        assert post(f"/session/{office}/edit", base=studio.sessions.head(office).number, **fields).status_code == 200
    head = studio.sessions.head(office)
    locks = [str(cell.ref) for cell in studio.run(head.text).session.cells if cell.lock]
    assert locks == ["Main/One/push", "Main/Two/march", "Main/Two/push"]
    assert [block.name for block in studio.run(head.text).session.blocks if block.lock] == ["Cool-down"]
    assert "lock" in head.what
    panel = client.get(f"/session/{office}/cell?ref=Main/Two/march").text
    assert re.search(r'-lock"[^>]* checked', panel)
    post(f"/session/{office}/edit", base=head.number, edit="cell", ref="Main/Two/march", field="lock")
    assert "lock = true" not in studio.sessions.head(office).text.split('name = "Two"')[1].split("cool-down")[0]


def test_a_shorter_length_is_kept_beside_the_longer_one(client: Any, post: Any, studio: Any) -> None:
    whole = str(studio.sessions.create(draft(OFFICE.with_stem("boathouse-30").read_text(encoding="utf-8"), "Demo")).id)
    computed(studio, whole, ChangeRequest(kind=ChangeKind.LENGTHS))
    address = f"/session/{whole}/offers"
    assert "Keep as a session beside this one" in client.get(f"{address}?kind=shorter+lengths").text
    answer = post(f"{address}/keep?kind=shorter+lengths", part=False, number=1)
    shorter = answer.headers["location"].rpartition("/")[2]
    assert shorter != whole
    assert "slot_minutes = 20" in studio.sessions.head(shorter).text
    assert "slot_minutes = 30" in studio.sessions.head(whole).text
    again = post(f"{address}/keep?kind=shorter+lengths", part=False, number=7)
    assert again.headers["location"] == f"/session/{whole}"


def test_what_bodies_and_people_find_anew_is_said_before_the_press(client: Any, studio: Any, office: str) -> None:
    """A swap that many can't finish once looked as good as any, until it was done."""
    address = f"/session/{office}/offers?kind=another+move&ref=Main/Two/march"
    offers = computed(studio, office, ChangeRequest(kind=ChangeKind.SWAP, ref=ref("Main/Two/march"))).offers
    assert offers
    found = [
        Finding(
            rule=rule, severity=severity, where=Where(file="plan.toml", line=1, field=""),
            places=(ref("Main/Two/squat"),), measured=f"{severity}: {words}", limit="90%", source="chosen",
            remedy="Take an easier version.",
        )
        for rule, severity, words in (
            ("few-finish", Severity.WARNING, "too few"), ("same-muscle", Severity.NOTE, "a little"),
            ("too-light", Severity.WARNING, "old"),
        )
    ]  # fmt: skip
    texts = (studio.sessions.head(office).text, offers.offers[0].text)
    for text, findings in zip(texts, (found[2:], found[:2]), strict=True):
        job = studio.job(text, AudienceSpec(count=USUAL_PEOPLE))
        studio.jobs.said(job, JobResult(findings=tuple(findings)))
        assert "Then new" not in client.get(address).text  # bodies alone are not all
        studio.jobs.said(job, JobResult(findings=tuple(findings), finished=True))
    page = client.get(address).text
    assert page.count("Then new") == 1
    assert "warning: too few" in page
    assert "note: a little" not in page
