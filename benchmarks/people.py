"""Bringing people in, measured: `python benchmarks/people.py`. 5,000 lines, a third with health answers.

Times are the processor's, so that others on the machine do not count. Baseline is reading the same file without keeping
anybody, in the same run.
"""

import tempfile
import time
from pathlib import Path

from sqlalchemy import URL

from everyrung.people.read import people_from_text
from everyrung.store.database import open_database
from everyrung.store.people_store import PeopleStore
from everyrung.web.person_form import bring

LINES, ALLOWED_S = 5_000, 5.0  # issue 15, item 9


def main() -> None:
    """Prints how long it takes to read, to add and to change them all."""
    lines = [f"Rower {number},{150 + number % 45} cm,{60 + number % 30} kg,{limits(number)}" for number in range(LINES)]
    text = "\n".join(["name,stature,mass,limits", *lines])
    start = time.process_time()
    people = people_from_text(text, "people.csv")
    read_s = time.process_time() - start
    print(f"reading {LINES} lines: {read_s:.2f} s (the baseline)")
    with tempfile.TemporaryDirectory() as folder:
        engine = open_database(URL.create("sqlite", database=str(Path(folder) / "studio.sqlite")))
        roster = PeopleStore(engine, Path(folder) / "health.key")
        for words in ("adding", "changing"):
            start = time.process_time()
            bring(roster, people)
            found_s = time.process_time() - start
            whole_s = read_s + found_s
            verdict = "within" if whole_s < ALLOWED_S else "NOT within"
            print(f"{words} them all: {found_s:.2f} s, {found_s / read_s:.1f} x the baseline; with the reading "
                  f"{whole_s:.2f} s, {verdict} {ALLOWED_S:g} s")  # fmt: skip
        engine.dispose()


def limits(number: int) -> str:
    return "" if number % 3 else "overhead; wrist load"


if __name__ == "__main__":
    main()
