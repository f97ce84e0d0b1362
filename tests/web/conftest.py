"""A studio of its own for each test, with the demo session; nothing is computed in the background."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import URL
from starlette.testclient import TestClient

from everyrung.store.database import open_database
from everyrung.web.app import app
from everyrung.web.backroom import Backroom
from everyrung.web.changing import draft
from everyrung.web.settings import Settings
from everyrung.web.starts import DEMO, start
from everyrung.web.studio import Studio

HERE = "http://localhost:8040"


class Idle(Backroom):
    """A background in which nothing ever gets done: the routes do not wait for it."""

    def _next(self) -> None:
        return


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    engine = open_database(URL.create("sqlite", database=str(tmp_path / "studio.sqlite")))
    made = Studio(settings=Settings(folder=tmp_path), engine=engine, backroom=Idle())
    yield made
    made.close()


@pytest.fixture
def session(studio: Studio) -> str:
    return studio.sessions.create(draft(start(DEMO), "The boathouse evening")).id


@pytest.fixture
def client(studio: Studio) -> TestClient:
    return TestClient(app(studio), base_url=HERE, follow_redirects=False, raise_server_exceptions=False)


@pytest.fixture
def token(client: TestClient) -> str:
    found = re.search(r'"X-Token": "([^"]+)"', client.get("/").text)
    assert found
    return found[1]


@pytest.fixture
def post(client: TestClient, token: str) -> Callable[..., object]:
    """A form sent as a page of the studio sends it."""

    def posting(address: str, *, part: bool = True, **fields: object) -> object:
        headers = {"X-Token": token, "HX-Request": "true"} if part else {"X-Token": token}
        return client.post(address, data={name: str(value) for name, value in fields.items()}, headers=headers)

    return posting
