"""The numbers of docs/room.md are those that the program finds."""

from pathlib import Path

from everyrung import load_plan
from everyrung.moves.library import standard_library
from everyrung.plan.resolve import resolve
from everyrung.room.paths import Source, coverage

ROOT = Path(__file__).parents[2]


def test_the_table_of_ways_is_computed() -> None:
    page = (ROOT / "docs" / "room.md").read_text(encoding="utf-8")
    rows = [[each.strip() for each in line.strip("|").split("|")] for line in page.splitlines() if "-" in line[:24]]
    table = {row[0]: row[1:] for row in rows if len(row) == 6 and (ROOT / "examples" / f"{row[0]}.toml").exists()}
    assert len(table) == len(list((ROOT / "examples").glob("*-[0-9][0-9].toml")))
    for name, (whole, *shares) in table.items():
        one = coverage(resolve(load_plan(ROOT / "examples" / f"{name}.toml"), standard_library()), standard_library())
        assert int(whole) == one.whole_offered
        numbers = [float(each.removesuffix("%")) for each in shares]
        assert numbers == [round(100 * one.by_source[source] / one.count, 1) for source in Source]
