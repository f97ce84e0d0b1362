"""Backups: what is lost or spoilt is said at the start, one command brings it back, who was deleted stays deleted."""

import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import URL

from everyrung.cli import main
from everyrung.store.backups import DAYS, LATEST, Backups, _worth_keeping
from everyrung.store.database import open_database
from everyrung.store.people_store import PeopleStore, PersonRow
from everyrung.store.sessions import Draft, Sessions
from everyrung.terms.errors import Faults, Invalid

Says = Callable[..., tuple[int, str]]
KEY = "health.key"
SUNNIVA = PersonRow(name="Sunniva", text='name = "Sunniva"', health="overhead")


@pytest.fixture
def studio(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Says:
    """`everyrung studio` in a home of its own, that serves nothing; its exit code and all that it said."""
    monkeypatch.setenv("EVERYRUNG_HOME", str(tmp_path))
    monkeypatch.setattr("uvicorn.run", lambda *_, **__: None)

    def run(*words: str) -> tuple[int, str]:
        code = main(["studio", "--no-browser", "--port", "8393", *words])
        said = capsys.readouterr()
        return code, said.out + said.err

    return run


def write(folder: Path, title: str, *people: PersonRow) -> None:
    """A session, and people, kept."""
    engine = open_database(URL.create("sqlite", database=str(folder / "studio.sqlite")))
    Sessions(engine).create(Draft(text=title * 3000, title=title, slot_minutes=30, what="wrote"))
    PeopleStore(engine, folder / KEY).put(people)
    engine.dispose()


def titles(folder: Path) -> list[str]:
    engine = open_database(URL.create("sqlite", database=str(folder / "studio.sqlite")))
    try:
        return sorted(each.title for each in Sessions(engine).all())
    finally:
        engine.dispose()


def test_a_start_makes_a_backup_when_something_changed_and_none_when_nothing_did(studio: Says, tmp_path: Path) -> None:
    studio()
    known = Backups(database=tmp_path / "studio.sqlite")
    assert len(known.all()) == 1
    studio()
    assert len(known.all()) == 1
    write(tmp_path, "The boathouse evening")
    studio()
    assert len(known.all()) == 2
    assert known.all()[0].stat().st_mode & 0o777 == 0o600
    assert known.folder.stat().st_mode & 0o777 == 0o700


@pytest.mark.parametrize("how", ["lost", "emptied", "zeroed", "a page", "no database"])
def test_a_lost_or_spoilt_database_is_said_and_one_command_brings_it_back(
    how: str, studio: Says, tmp_path: Path
) -> None:
    studio()
    write(tmp_path, "The boathouse evening", SUNNIVA)
    studio()
    path = tmp_path / "studio.sqlite"
    whole = path.read_bytes()
    middle = whole.index(b"The boathouse eveningThe") // 4096 * 4096
    spoilt = {"emptied": b"", "zeroed": bytes(len(whole)), "no database": b"oars" * 2000,
              "a page": whole[:middle] + bytes(4096) + whole[middle + 4096 :]}  # fmt: skip
    if how == "lost":
        path.unlink()
    else:
        path.write_bytes(spoilt[how])
    code, said = studio()
    assert code == 2
    assert "everyrung studio --restore" in said
    assert "newest of 2 backups" in said or "brings back a backup" in said
    if how != "lost":
        assert path.read_bytes() == spoilt[how]  # left as it is
    code, said = studio("--restore")
    assert code == 0, said
    assert titles(tmp_path) == ["The boathouse evening"]
    assert studio()[0] == 0


def test_start_anew_sets_what_is_spoilt_aside(studio: Says, tmp_path: Path) -> None:
    studio()
    (tmp_path / "studio.sqlite").write_bytes(b"oars" * 2000)
    assert studio("--start-anew")[0] == 0
    assert titles(tmp_path) == []
    (aside,) = (tmp_path / "backups").glob("spoilt-*")
    assert aside.read_bytes() == b"oars" * 2000


def test_a_first_start_is_no_loss(studio: Says, tmp_path: Path) -> None:
    (tmp_path / "computed.sqlite").touch()
    assert studio()[0] == 0


def test_an_older_backup_is_chosen_by_number_and_what_was_there_is_kept(studio: Says, tmp_path: Path) -> None:
    studio()
    for title in ("One", "Two"):
        write(tmp_path, title)
        studio()
    write(tmp_path, "Three")
    code, said = studio("--restore", "2")
    assert code == 0
    assert titles(tmp_path) == ["One"]
    assert "What was there is the backup" in said
    studio("--restore", "2" if "Three" not in titles(tmp_path) else "1")
    code, said = studio("--restore", "99")
    assert code == 2
    assert "1: studio-" in said


def test_a_database_that_a_studio_has_open_is_not_replaced_under_it(studio: Says, tmp_path: Path) -> None:
    studio()
    write(tmp_path, "One")
    with sqlite3.connect(tmp_path / "studio.sqlite") as other:
        other.execute("SELECT * FROM session").fetchall()
        code, said = studio("--restore")
        other.rollback()
    other.close()
    assert code == 2
    assert "Stop the studio" in said
    assert titles(tmp_path) == ["One"]


def test_a_spoilt_database_never_pushes_a_sound_backup_out(studio: Says, tmp_path: Path) -> None:
    studio()
    write(tmp_path, "The boathouse evening")
    studio()
    known = Backups(database=tmp_path / "studio.sqlite")
    before, whole = known.all(), known.database.read_bytes()
    middle = whole.index(b"The boathouse eveningThe") // 4096 * 4096
    for spoilt in (b"oars" * 2000, whole[:middle] + bytes(4096) + whole[middle + 4096 :]):
        known.database.write_bytes(spoilt)
        for _ in range(LATEST + 1):
            with pytest.raises((Faults, sqlite3.DatabaseError)):
                known.take()
        assert known.all() == before


def test_the_latest_and_the_last_of_each_day_are_kept() -> None:
    names = [Path(f"studio-202611{day:02}-{hour:02}0000-000000.sqlite") for day in range(1, 20) for hour in (9, 12, 18)]
    kept = {path.name[7:18] for path in _worth_keeping(sorted(names, reverse=True))}
    assert kept == {"20261119-18", "20261119-12", "20261119-09", "20261118-18", "20261117-18", "20261116-18",
                    "20261115-18", "20261114-18", "20261113-18"}  # fmt: skip
    assert len(kept) <= LATEST + DAYS


def test_who_is_erased_is_in_no_backup_byte_for_byte(studio: Says, tmp_path: Path) -> None:
    studio()
    write(tmp_path, "One", PersonRow(name="Odd", text="x"), SUNNIVA)
    studio()
    write(tmp_path, "Two")
    studio()
    known = Backups(database=tmp_path / "studio.sqlite")
    assert [b"Sunniva" in path.read_bytes() for path in known.all()] == [True, True, False]
    (known.folder / "spoilt-20261101-120000").write_bytes(b"Sunniva")
    known.erase([("DELETE FROM health WHERE person_id = 2", ()), ("DELETE FROM person WHERE name = ?", ("Sunniva",))])
    assert len(known.all()) == 3
    assert not [path for path in known.folder.iterdir() if b"Sunniva" in path.read_bytes()]
    assert all(path.stat().st_mode & 0o777 == 0o600 for path in known.all())
    studio("--restore")
    engine = open_database(URL.create("sqlite", database=str(tmp_path / "studio.sqlite")))
    assert [row.name for row in PeopleStore(engine, tmp_path / KEY).all()] == ["Odd"]
    engine.dispose()


def test_a_server_s_backups_are_its_own(studio: Says, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("EVERYRUNG_DATABASE", "postgresql+psycopg://somebody@localhost/nowhere")
    code, said = studio("--restore")
    assert code == 2
    assert "pg_restore" in said


def test_an_unknown_backup_is_refused_with_the_list(tmp_path: Path) -> None:
    with pytest.raises(Invalid, match="none there"):
        Backups(database=tmp_path / "studio.sqlite").find("1")
