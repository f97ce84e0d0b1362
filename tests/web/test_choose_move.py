"""Moves chosen from pictures: what is shown fits what is looked for, and its button does what it says."""

import json
import re
from html import unescape
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest

from everyrung.compose.changes import ChangeKind, ChangeRequest
from everyrung.pipeline import AudienceSpec
from everyrung.plan.read import ref
from everyrung.web.jobs import do_job
from everyrung.web.save import draft

OFFICE = Path(__file__).parents[2] / "examples" / "office-20.toml"
NEAR = {"here": "yes", "for_all": "yes"}


@pytest.fixture
def office(studio: Any) -> str:
    return str(studio.sessions.create(draft(OFFICE.read_text(encoding="utf-8"), "Office")).id)


def shown(page: str) -> dict[str, dict[str, str]]:
    """By move: what its button sends."""
    buttons = re.findall(r'id="choose-([\w-]+)" hx-(?:get|post)[^>]*hx-vals=\'([^\']+)\'>\s*<img data-figure="\w', page)
    return {key: json.loads(unescape(fields)) for key, fields in buttons}


def asked(client: Any, session: str, **fields: str) -> str:
    return str(client.get(f"/session/{session}/choose?{urlencode(fields)}").text)


def test_a_move_for_a_part_is_added_and_opened(client: Any, post: Any, studio: Any, office: str) -> None:
    page = asked(client, office, part="Main", **NEAR)
    assert "A move for Main" in page
    moves = shown(page)
    assert len(moves) == 12
    key, fields = next(iter(moves.items()))
    answer = post(f"/session/{office}/edit", base=1, **fields)
    assert answer.status_code == 200
    assert fields["open"] in [str(cell.ref) for cell in studio.run(studio.sessions.head(office).text).session.cells]
    assert studio.library.move(key).name in answer.text.split('id="panel-head"')[1][:200]


def test_what_is_looked_for_leaves_fewer(client: Any, office: str) -> None:
    every = shown(asked(client, office, part="Main", every="yes"))
    here = shown(asked(client, office, part="Main", every="yes", **NEAR))
    calf = shown(asked(client, office, part="Main", every="yes", works="calf", **NEAR))
    named = shown(asked(client, office, part="Main", every="yes", words="calf raise"))
    assert set(every) > set(here) > set(calf) > set()
    assert "calf-raise" in set(calf) & set(named)
    assert "Not here: ball" in asked(client, office, part="Main", words="ball roll-out")
    assert "No move does all of that" in asked(client, office, part="Main", words="zeppelin")


def test_the_kind_is_that_of_the_part_until_another_is_asked_for(client: Any, studio: Any, office: str) -> None:
    kinds = [
        {studio.library.move(key).kind for key in shown(asked(client, office, part="Warm-up", every="yes", **more))}
        for more in ({}, {"of_kind": "cool-down"})
    ]
    assert kinds == [{"warm-up"}, {"cool-down"}]


def test_one_in_a_set_s_place_is_tried_before_it_is_offered(client: Any, studio: Any, office: str) -> None:
    page = asked(client, office, ref="Main/Two/march", **NEAR)
    assert "A move in place of seated march" in page
    fields = shown(page)["front-plank"]
    address = f"/session/{office}/offers?{urlencode(fields)}"
    assert "Each way is tried before it is shown." in client.get(address).text
    request = ChangeRequest(kind=ChangeKind.SWAP, ref=ref("Main/Two/march"), move="front-plank")
    job = studio.job(studio.sessions.head(office).text, AudienceSpec(), change=request)
    studio.trials.said(job, do_job(job, lambda _: None))
    offered = client.get(address).text
    assert "Front plank in place of seated march" in offered
    assert re.search(r"<li><img data-figure=\"\w+", offered)
    assert 'id="way-2"' not in offered


@pytest.mark.parametrize("query", ["part=Mian", "ref=Main/Two/marsh", "part=Main&of_kind=legs", ""])
def test_what_is_not_there_is_said_with_the_nearest(client: Any, office: str, query: str) -> None:
    answer = client.get(f"/session/{office}/choose?{query}")
    assert answer.status_code in (400, 404, 422)
    assert "Traceback" not in answer.text
