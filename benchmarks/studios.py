"""How long a word takes from a screen at one studio to a screen at another, on one database.

Run: .venv/bin/python benchmarks/studios.py [DATABASE]. DATABASE is an address such as
postgresql+psycopg://user@host/name, which gets a session more; without it a new SQLite file. Both studios are
in this process, each with a loop of its own; what is measured goes through the database all the same.
"""

import json
import statistics
import sys
import tempfile
import time
from pathlib import Path

from sqlalchemy import URL, make_url
from starlette.testclient import TestClient

from everyrung.store.database import open_database
from everyrung.web.app import app
from everyrung.web.plan_templates import DEMO, start
from everyrung.web.save import draft
from everyrung.web.settings import Settings
from everyrung.web.sharing import shared_studio

WORDS, HERE = 300, "http://localhost:8040"


def line(client: TestClient, session: str, role: str):
    return client.websocket_connect(f"ws://localhost:8040/session/{session}/live?as={role}", headers={"origin": HERE})


def spread(seconds: list[float]) -> str:
    cuts = statistics.quantiles([1000 * each for each in seconds], n=20)
    return (
        f"median {statistics.median(seconds) * 1000:.1f} ms, 95 % {cuts[18]:.1f} ms, most {max(seconds) * 1000:.1f} ms"
    )


def measure(here: TestClient, there: TestClient, session: str) -> dict[str, list[float]]:
    taken: dict[str, list[float]] = {"at the same studio": [], "at the other": []}
    screens = line(here, session, "stage"), line(here, session, "prompter"), line(there, session, "prompter")
    with screens[0] as stage, screens[1] as near, screens[2] as far:
        for each in (stage, near, far):
            each.receive_text()
        for number in range(WORDS):
            begun_s = time.perf_counter()
            stage.send_text(json.dumps({"is": "state", "number": number}))
            for where, screen in zip(taken, (near, far), strict=True):
                screen.receive_text()
                taken[where].append(time.perf_counter() - begun_s)
            time.sleep(0.02)
    return taken


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        url = make_url(sys.argv[1]) if len(sys.argv) > 1 else URL.create("sqlite", database=f"{folder}/studio.sqlite")
        settings = Settings(folder=Path(folder))
        studios = [shared_studio(settings, open_database(url)) for _ in range(2)]
        session = studios[0].sessions.create(draft(start(DEMO), "bench")).id
        with TestClient(app(studios[0]), base_url=HERE) as here, TestClient(app(studios[1]), base_url=HERE) as there:
            for each in (here, there):
                each.get("/")
            taken = measure(here, there, session)
        print(f"{url.get_backend_name()}: {WORDS} words from a stage to a prompter")
        for where, seconds in taken.items():
            print(f"  {where}: {spread(seconds)}")


if __name__ == "__main__":
    main()
