"""A studio of its own for each test, with the demo session; nothing is computed in the background."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine
from starlette.testclient import TestClient

from everyrung.results.analysis import Analysis
from everyrung.terms.enums import Caution, OptionKind
from everyrung.terms.forecast import Band, CellForecast, Energy, Forecast, Rating, RungForecast, Share, Spread
from everyrung.terms.plan import Ref
from everyrung.web.app import app
from everyrung.web.job_queue import JobQueue
from everyrung.web.jobs import Job, JobResult
from everyrung.web.plan_templates import DEMO, start
from everyrung.web.save import draft
from everyrung.web.settings import Settings
from everyrung.web.studio import Studio

HERE = "http://localhost:8040"


class Idle(JobQueue):
    """A queue in which nothing gets done but what a test says: the routes do not wait for it."""

    def _next(self) -> None:
        return

    def said(self, job: Job, result: JobResult) -> None:
        """As if it had been computed."""
        self.board.tell(job.key, result)


@pytest.fixture(autouse=True)
def own_moves_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A move that a test keeps is not kept in the home of whoever runs the tests."""
    monkeypatch.setattr("everyrung.moves.own_moves.home", lambda: tmp_path)


@pytest.fixture
def studio(tmp_path: Path, new_studio_file: Callable[[Path], Engine]) -> Iterator[Studio]:
    made = Studio(settings=Settings(folder=tmp_path), engine=new_studio_file(tmp_path), jobs=Idle(), trials=Idle())
    yield made
    made.close()


@pytest.fixture
def session(studio: Studio) -> str:
    return studio.sessions.create(draft(start(DEMO), "The boathouse evening")).id


WINTER = """
title = "Winter"
brief = "30 min"
first = 2027-01-11
weeks = 6
[[weekly]]
day = "Monday"
starts = "18:30"
"""


@pytest.fixture
def keep_winter(studio: Studio) -> Callable[[], str]:
    """Keeps a block of weeks in which nothing is planned yet."""
    return lambda: studio.blocks.create("Winter", WINTER, "2027-01-11", ())


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


@pytest.fixture
def bring(client: TestClient, token: str) -> Callable[..., Any]:
    """A file sent as the page sends it."""

    def send(address: str, name: str, content: str | bytes, **fields: object) -> Any:
        data = {each: str(value) for each, value in fields.items()}
        return client.post(address, data=data, files={"file": (name, content)}, headers={"X-Token": token})

    return send


@pytest.fixture
def forecast() -> Callable[..., Forecast]:
    """A forecast of a run in which of every set `part` of 1,000 people finish as led, and everyone finishes easier."""

    def made(run: Analysis, part: float = 0.8, **cells: float) -> Forecast:
        found = tuple(
            _cell_forecast(cell.ref, cells.get(cell.ref.cell, part))
            for cell in run.session.cells
            if cell.ref.block == "Main"
        )
        kcal = Band(middle_not_for_show=100, less=0.3, more=0.5, unit="kcal")
        met = Band(middle_not_for_show=3, less=0.3, more=0.5, unit="MET")
        return Forecast(
            people=1000, mix="a mix", seed=1, cells=found, whole=_share(part), sore=_share(0.1),
            without_path={Caution.WRIST_LOAD: (Share(count=3, of=40), (found[0].ref,))}, broken={},
            on_medicine=_share(0), older=_share(0), heart="90 to 140", failed={}, minutes=30.0,
            rating=Rating(middle=6, low=4, high=8),
            energy=Energy(kcal=kcal, met=met, reason="a test"),
        )  # fmt: skip

    return made


def _share(part: float) -> Share:
    return Share(count=round(1000 * part), of=1000)


def _cell_forecast(ref: Ref, part: float) -> CellForecast:
    def rung(kind: OptionKind | None, finishing: float) -> RungForecast:
        limiting = (("front of the thigh", _share(0.6)), ("calf", _share(0.3)))
        return RungForecast(
            kind=kind, name=f"{kind or 'led'} rung", unit="reps", asked=8, finishing=_share(finishing), most=100,
            possible=Spread(p10=6, p50=14, p90=40), left=Spread(p10=1, p50=6, p90=30), limiting=limiting,
            limiting_side={"calf": "other"}, advised=_share(0.5), loads=(),
        )  # fmt: skip

    return CellForecast(
        ref=ref, rungs=(rung(None, part), rung(OptionKind.EASIER, 1.0)), some_rung=_share(1.0), skipping=_share(0.0),
        left=Spread(p10=2, p50=8, p90=30), rating=Rating(middle=5.2, low=3.4, high=7.1),
        moved={"tempo 15 % slower": (0.0, -3.0)},
    )  # fmt: skip
