"""The studio shows what other packages add: a finding on Write, an output on Publish."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import URL
from starlette.testclient import TestClient

from everyrung.store.database import open_database
from everyrung.web.app import app
from everyrung.web.plan_templates import DEMO, start
from everyrung.web.save import draft
from everyrung.web.settings import Settings
from everyrung.web.studio import Studio


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    studio = Studio(
        settings=Settings(folder=tmp_path),
        engine=open_database(URL.create("sqlite", database=str(tmp_path / "studio.sqlite"))),
    )
    yield studio
    studio.close()


def test_the_screens_show_the_rule_and_offer_the_output_of_a_package(studio: Studio, lakeside, with_package) -> None:
    client = TestClient(app(studio), base_url="http://localhost:8040")
    session = studio.sessions.create(draft(start(DEMO), "The boathouse evening")).id
    with_package(lakeside)
    assert "mats fit between the boats" in client.get(f"/session/{session}").text
    assert offered(client, session) == ["rounds to chalk", "clip", "film"]
    assert "a sign for the boathouse door" in client.get(f"/session/{session}/publish").text
    for query, count in (("also=film&also=rounds+to+chalk", 2), ("also=film,rounds+to+chalk", 2), ("also=x", 0)):
        ticked = client.get(f"/session/{session}/publish?{query}").text
        assert len(re.findall(r'name="also" value="[^"]+" checked', ticked)) == count


def test_a_package_that_cannot_be_loaded_is_said_on_the_screens(studio: Studio, spoilt, with_package) -> None:
    client = TestClient(app(studio), base_url="http://localhost:8040")
    session = studio.sessions.create(draft(start(DEMO), "The boathouse evening")).id
    with_package(spoilt("everyrung.outputs", "import a_package_that_is_not_there"))
    page = client.get(f"/session/{session}/publish")
    assert page.status_code == 200
    assert "The plug-in &#39;spoilt&#39;" in page.text
    assert offered(client, session) == ["clip", "film"]


def offered(client: TestClient, session: str) -> list[str]:
    return re.findall(r'name="also" value="([^"]+)"', client.get(f"/session/{session}/publish").text)
