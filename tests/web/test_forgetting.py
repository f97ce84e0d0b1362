"""Who is deleted is gone: from the list, the cards in every folder, the manifests, the background and the backups."""

import json
import sqlite3
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from starlette.testclient import TestClient

from everyrung.pipeline import AudienceSpec
from everyrung.publish.card import write_card
from everyrung.publish.folder import bundle
from everyrung.publish.folder.contents import MANIFEST, STATE, FolderInProgress, Part, product
from everyrung.publish.output import Order
from everyrung.publish.outputs.cards import cards as cards_output
from everyrung.store.backups import Backups
from everyrung.store.owners import Owner, Owners
from everyrung.store.paths import keep_private
from everyrung.web.jobs import Job, JobResult, cards_of
from everyrung.web.person_form import people_and_numbers
from everyrung.web.studio import Studio

CSV = b"name,stature,limits\nSunniva,165 cm,overhead\nOdd,180 cm,\nBo,170 cm,wrist load\n"


@pytest.fixture(autouse=True)
def cheap_cards(studio: Studio, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Cards that say no more than the name: nothing is computed on bodies. A studio with backups, in its own home."""
    monkeypatch.setenv("EVERYRUNG_HOME", str(tmp_path))
    monkeypatch.setattr("everyrung.publish.card.card_html", lambda card: f"<p>{card}</p>")
    monkeypatch.setattr("everyrung.publish.card.card_pdf", lambda card: f"%PDF {card}".encode())
    monkeypatch.setattr("everyrung.publish.card.large_card_pdf", lambda card: f"%PDF {card}".encode())
    monkeypatch.setattr("everyrung.publish.card.card_text", str)
    monkeypatch.setattr("everyrung.publish.card.person_card", lambda _, one: one.name)
    studio.backups = Backups(database=tmp_path / "studio.sqlite")


def brought(client: TestClient, token: str, content: bytes = CSV) -> None:
    files = {"file": ("people.csv", content, "text/csv")}
    assert client.post("/people/bring", data={"token": token}, files=files).status_code == 303


def run_for(names: list[str]) -> Any:
    """As much of a run as the writing of cards asks for."""
    session = SimpleNamespace(title="The boathouse evening")
    plan, advice = SimpleNamespace(file="plan.toml"), [SimpleNamespace(name=name, cells=()) for name in names]
    return SimpleNamespace(plan=plan, advice=advice, session=session, timeline=SimpleNamespace(total_ms=1))


def cards(studio: Studio, folder: Path) -> list[Path]:
    """A card for everyone on the list, as the background makes them."""
    people, numbers = people_and_numbers(studio.people)
    job = Job(text="", audience=AudienceSpec(people=people), numbers=numbers, cards_folder=folder)
    cards_of(run_for([one.name for one in people]), job, lambda *_: None)
    return sorted((folder / "1").iterdir())


def published(studio: Studio, folder: Path) -> Path:
    """The same in a published folder, with its manifest."""
    people, numbers = people_and_numbers(studio.people)
    run: Any = run_for([one.name for one in people])
    order = Order(run=run, folder=folder, numbers=numbers)
    products = [product(path, folder, what) for path, what in cards_output.write(order)]
    (folder / "kit.txt").write_text("a mat", encoding="utf-8")
    products.append(product(folder / "kit.txt", folder, "what to bring"))
    (folder / MANIFEST).write_text(bundle.manifest(run, b"", tuple(products)), encoding="utf-8")
    return folder / MANIFEST


def stopped(folder: Path, of: Path) -> Path:
    """A folder that was stopped after its cards, as the finished one `of` names them."""
    products = json.loads(of.read_text(encoding="utf-8"))["files"]
    unfinished = FolderInProgress(folder, "a digest", ["cards", "film"])
    unfinished.keep("cards", Part.of({"products": products, "notes": []}))
    return folder / STATE


def number_of(studio: Studio, name: str) -> int:
    return next(row.id for row in studio.people.all() if row.name == name)


def naming(folder: Path, name: str) -> list[str]:
    """The files in which somebody is named, or that are named after them."""
    small = name.casefold()
    return [
        path.relative_to(folder).as_posix()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
        and (name.encode() in path.read_bytes() or small in path.name or small.encode() in path.read_bytes())
    ]


def test_a_deleted_person_is_in_no_file_of_the_home_any_more(
    client: TestClient, token: str, post: Any, studio: Studio, tmp_path: Path
) -> None:
    brought(client, token)
    cards(studio, tmp_path / "cards" / "evening-own")
    manifest = published(studio, tmp_path / "published" / "evening")
    state = stopped(tmp_path / "published" / "morning", manifest)
    assert state in tmp_path.rglob("*")
    write_card(run_for([]), "Sunniva", tmp_path / "cards", "sunniva", Owner(name="sunniva"))  # type: ignore[arg-type]
    write_card(run_for([]), "Everyone", tmp_path / "cards", "poster", None)  # type: ignore[arg-type]
    assert studio.backups
    studio.backups.take()
    others = (
        naming(tmp_path, "Everyone"),
        naming(tmp_path / "cards", "Odd"),
        naming(tmp_path / "published" / "evening", "Odd"),
    )
    assert len(naming(tmp_path, "Sunniva")) >= 9
    post(f"/people/{number_of(studio, 'Sunniva')}/remove", part=False)
    assert naming(tmp_path, "Sunniva") == []
    assert not state.exists()
    assert others == (
        naming(tmp_path, "Everyone"),
        naming(tmp_path / "cards", "Odd"),
        naming(tmp_path / "published" / "evening", "Odd"),
    )
    assert len(others[2]) == 5
    assert "One person was deleted, with 13 files made with them, in the backups too." in client.get("/people").text
    left = [each["name"] for each in json.loads(manifest.read_text(encoding="utf-8"))["files"]]
    assert "kit.txt" in left
    assert len(left) == 9


def test_a_renamed_person_s_old_card_goes_with_them_and_a_namesake_s_stays(
    post: Any, studio: Studio, tmp_path: Path
) -> None:
    post("/people", part=False, name="Edda", stature="165 cm")
    first = number_of(studio, "Edda")
    cards(studio, tmp_path / "cards" / "one-own")
    write_card(run_for([]), "Edda", tmp_path / "cards", "edda", Owner(name="Edda"))  # type: ignore[arg-type]
    post(f"/people/{first}", part=False, name="Edda the elder", stature="165 cm")
    post("/people", part=False, name="Edda", stature="170 cm")
    cards(studio, tmp_path / "cards" / "two-own")
    post(f"/people/{first}/remove", part=False)
    assert not (tmp_path / "cards" / "one-own" / "1").exists()
    assert not (tmp_path / "cards" / "plan-edda.html").exists()  # of the command line, from before the new name
    assert [path.name for path in (tmp_path / "cards" / "two-own" / "1").iterdir() if path.suffix == ".html"] == [
        "plan-edda.html"
    ]
    assert Owners(tmp_path).files_of([Owner(name="Edda", person=number_of(studio, "Edda"))])


def test_a_card_of_which_nobody_noted_whose_it_is_goes_with_anybody(
    client: TestClient, token: str, post: Any, studio: Studio, tmp_path: Path
) -> None:
    """Of an older version, and one that a crash left half-written."""
    brought(client, token)
    for name in ("cards/plan-sunniva.html", "published/old/cards/plan-odd.pdf", "cards/x-own/.plan-bo.html.k2j"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(b"?")
    (tmp_path / "published" / "old" / "manifest.json").write_bytes(b"{")
    post(f"/people/{number_of(studio, 'Odd')}/remove", part=False)
    assert not [path for each in ("cards", "published") for path in (tmp_path / each).rglob("*") if path.is_file()]


def test_deleted_health_answers_take_the_cards_that_were_chosen_by_them(
    client: TestClient, token: str, post: Any, studio: Studio, tmp_path: Path
) -> None:
    brought(client, token)
    cards(studio, tmp_path / "cards" / "evening-own")
    assert studio.backups
    studio.backups.take()
    post("/people/health/remove", part=False)
    assert [path.name for path in sorted((tmp_path / "cards" / "evening-own" / "1").iterdir())] == [
        "plan-odd-large.pdf",
        "plan-odd-takes.json",
        "plan-odd.html",
        "plan-odd.pdf",
        "plan-odd.txt",
    ]
    assert (
        "The health answers of 2 people were deleted, with 10 files made with them, in the backups too"
        in client.get("/people").text
    )
    for path in studio.backups.all():
        with sqlite3.connect(path) as file:
            assert file.execute("SELECT COUNT(*) FROM health").fetchone() == (0,)
        file.close()


@pytest.mark.parametrize("way", ["form", "list"])
def test_other_answers_take_the_card_that_was_made_with_the_ones_before(
    way: str, client: TestClient, token: str, post: Any, studio: Studio, tmp_path: Path
) -> None:
    brought(client, token)
    cards(studio, tmp_path / "cards" / "evening-own")
    if way == "form":
        post(f"/people/{number_of(studio, 'Sunniva')}", part=False, name="Sunniva", stature="165 cm")
        assert "make them again" in client.get("/people").text
    else:
        brought(client, token, b"name,stature,limits\nSunniva,165 cm,fall risk\n")
    stems = {
        path.stem.removesuffix("-large").removesuffix("-takes")
        for path in (tmp_path / "cards" / "evening-own" / "1").iterdir()
    }
    assert stems == {"plan-odd", "plan-bo"}


def test_nothing_computed_with_a_deleted_person_waits_or_is_kept(
    client: TestClient, token: str, post: Any, studio: Studio, session: str
) -> None:
    brought(client, token)
    client.get(f"/cards?session={session}")
    assert studio.jobs._waiting
    job = next(iter(studio.jobs._waiting.values()))
    studio.jobs.said(job, JobResult(cards=("plan-sunniva",)))  # type: ignore[attr-defined]
    assert studio.jobs.result(job.key)
    post(f"/people/{number_of(studio, 'Sunniva')}/remove", part=False)
    assert not studio.jobs._waiting
    assert not studio.jobs.result(job.key)


def test_a_card_that_can_t_be_deleted_keeps_the_person_listed(
    client: TestClient, token: str, post: Any, studio: Studio, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    brought(client, token)
    cards(studio, tmp_path / "cards" / "evening-own")

    def stuck(path: Path, **_: Any) -> None:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(Path, "unlink", stuck)
    answer = post(f"/people/{number_of(studio, 'Sunniva')}/remove", part=False)
    assert answer.status_code == 503
    assert "Sunniva" in [row.name for row in studio.people.all()]


def test_what_is_personal_is_for_the_coach_s_own_account_in_an_older_home_too(tmp_path: Path) -> None:
    personal = [
        "cards/x-own/plan-odd.html",
        "published/e/cards/plan-odd.pdf",
        "published/e/2/cards/plan-odd.pdf",
        "published/e/manifest.json",
        "published/e/.unfinished.json",
        "health.key",
    ]
    for name in personal:
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(b"?")
        (tmp_path / name).chmod(0o644)
    (tmp_path / "studio.sqlite").chmod(0o644)
    tmp_path.chmod(0o755)
    keep_private(tmp_path)
    assert tmp_path.stat().st_mode & 0o777 == 0o700
    for name in (*personal, "studio.sqlite"):
        assert (tmp_path / name).stat().st_mode & 0o777 == 0o600, name


def test_a_new_database_and_new_cards_are_for_the_coach_s_own_account(tmp_path: Path) -> None:
    made = write_card(run_for([]), "Odd", tmp_path / "cards", "odd", Owner(name="Odd", person=1))  # type: ignore[arg-type]
    for path in (*made, *tmp_path.glob("studio.sqlite*"), tmp_path / "owners.sqlite"):
        assert path.stat().st_mode & 0o777 == 0o600, path.name


def test_a_folder_that_many_share_keeps_its_rights(tmp_path: Path) -> None:
    tmp_path.chmod(0o1777)
    keep_private(tmp_path)
    assert tmp_path.stat().st_mode & 0o7777 == 0o1777


def test_backups_that_are_not_reached_are_not_said_to_be(
    client: TestClient, token: str, post: Any, studio: Studio
) -> None:
    """Of a database on a server."""
    brought(client, token)
    studio.backups = None
    post(f"/people/{number_of(studio, 'Odd')}/remove", part=False)
    assert "Backups of the database&#39;s server are not reached" in client.get("/people").text
