"""The quick entry: what is tapped becomes history, is corrected and taken out, and goes with the person."""

import json
import re
from datetime import date, datetime
from typing import Any

import pytest
from starlette.testclient import TestClient

from everyrung.people.history import history_from_text
from everyrung.store.backups import Backups
from everyrung.store.owners import Owner, Owners
from everyrung.terms.forecast import Advice, PersonAdvice, Take
from everyrung.terms.history import Source
from everyrung.terms.person import Person
from everyrung.web.card_takes import ENDING, keep_takes
from everyrung.web.history_rows import studio_history
from everyrung.web.person_form import add
from everyrung.web.quick_entry import entry_cells
from everyrung.web.studio import Studio
from everyrung.weeks.week_load import evening_loads

DAY = "2027-01-11"


@pytest.fixture
def people(studio: Studio) -> dict[str, int]:
    return {name: add(studio.people, Person(name=name, stature_m=1.7)) for name in ("Aino", "Otto")}


def fields(page: str) -> dict[str, str]:
    """What the form would send untouched."""
    hidden = dict(re.findall(r'<input type="hidden" name="(cell|on)" value="([^"]*)"', page))
    loads = dict(re.findall(r'<input name="(load-\d+)" value="([^"]*)"', page))
    took = {}
    for name, options in re.findall(r'<select name="(took-\d+)".*?>(.*?)</select>', page, re.DOTALL):
        took[name] = re.findall(r'<option value="([^"]*)" selected>', options)[0]
    reps = dict(re.findall(r'name="(reps-\d+)"[^>]* value="(\d+)"', page))
    return {**hidden, **loads, **took, **reps}


def tap(client: TestClient, token: str, session: str, **more: str) -> Any:
    page = client.get(f"/session/{session}/answers?on={DAY}").text
    return client.post(f"/session/{session}/answers", data={**fields(page), **more}, headers={"X-Token": token})


def test_a_tap_becomes_a_record_of_who_came(
    client: TestClient, token: str, session: str, people: dict[str, int], studio: Studio
) -> None:
    answer = tap(client, token, session, **{f"left-{people['Aino']}": "3"})
    assert answer.status_code == 303
    (record,) = studio_history(studio).records
    assert (record.person, record.left, record.on, record.source) == ("Aino", 3, date(2027, 1, 11), Source.ENTRY)
    assert record.cell
    assert record.move
    assert "1 answer kept" in client.get(f"/session/{session}/answers").text


def test_the_list_begins_with_what_the_card_said_and_what_was_done_is_kept(
    client: TestClient, token: str, session: str, people: dict[str, int], studio: Studio
) -> None:
    """A version of further down the ladder and fewer repetitions: what is believed next time rests on them."""
    text = studio.sessions.head(session).text
    led, aino = studio.on_clock(text).session, Owner(name="Aino", person=people["Aino"])
    cell = entry_cells(led)[0]
    take = Take(
        kind=None, rung="An easier one", dose="5 of 8 reps", reps=5, load="2 x 3 kg", entry_test="", form=cell.rung.form
    )
    advice = Advice(ref=cell.ref, move="", take=take, reason="", effort="", harder=None)
    card = PersonAdvice(name="Aino", taken=(), cells=(advice,), balls=(), heart="")
    folder = studio.settings.folder
    for name, day in (("a", DAY), ("b", "2027-01-04")):
        path = folder / "cards" / "x" / f"{name}{ENDING}"
        keep_takes(Owners(folder), path, aino, card, led.title, date.fromisoformat(day))
    assert path.stat().st_mode & 0o077 == 0
    page = client.get(f"/session/{session}/answers?on={DAY}").text
    assert "An easier one" in page
    tap(client, token, session, **{f"left-{people['Aino']}": "2", f"left-{people['Otto']}": "2"})
    kept = {each.person: each for each in studio_history(studio).current}
    assert (kept["Aino"].version, kept["Aino"].reps, str(kept["Aino"].load)) == ("An easier one", 5, "2 x 3 kg")
    assert kept["Otto"].reps == cell.bouts[0].reps
    tap(client, token, session, **{f"left-{people['Aino']}": "2", f"reps-{people['Aino']}": "4"})
    assert [each.reps for each in studio_history(studio).current if each.person == "Aino"] == [4]
    page = client.get(f"/session/{session}/answers?on={DAY}").text
    assert re.search(rf'name="reps-{people["Aino"]}"[^>]* value="4"', page)
    wrong = tap(client, token, session, **{f"left-{people['Aino']}": "2", f"reps-{people['Aino']}": "many"})
    assert wrong.status_code == 422
    assert "repetitions" in wrong.text
    path.write_text("{", encoding="utf-8")  # spoilt: the list is there all the same
    assert client.get(f"/session/{session}/answers?on=2027-01-04").status_code == 200


def test_an_answer_is_corrected_and_both_stay(
    client: TestClient, token: str, session: str, people: dict[str, int], studio: Studio
) -> None:
    aino = f"left-{people['Aino']}"
    for left in ("3", "3", "1"):  # the second says nothing new
        tap(client, token, session, **{aino: left})
    history = studio_history(studio)
    assert [each.left for each in history.records] == [3, 1]
    assert [each.left for each in history.current] == [1]
    page = client.get(f"/session/{session}/answers?on={DAY}").text
    assert re.search(rf'name="{aino}" value="1" checked', page)


def test_the_room_answers_without_names(client: TestClient, token: str, session: str, studio: Studio) -> None:
    tap(client, token, session, heads="12", **{"left-room": "4"})
    (record,) = studio_history(studio).records
    assert (record.person, record.heads, record.left) == ("", 12, 4)


def test_what_was_taken_last_stands_there_the_next_time(
    client: TestClient, token: str, session: str, people: dict[str, int]
) -> None:
    page = client.get(f"/session/{session}/answers?on={DAY}").text
    number = people["Otto"]
    options = re.findall(r'<option value="([^"/]+/[^"]+)"', page.split(f"took-{number}")[1].split("</select>")[0])
    other = {f"took-{number}": options[-1], f"load-{number}": "2 x 3 kg", f"left-{number}": "2"}
    tap(client, token, session, **other)
    later = fields(client.get(f"/session/{session}/answers?on=2027-01-18").text)
    assert (later[f"took-{number}"], later[f"load-{number}"]) == (options[-1], "2 x 3 kg")


@pytest.mark.parametrize("wrong", [{"left": "9"}, {"load": "heavy"}])
def test_what_cannot_be_is_refused_in_words_and_nothing_is_kept(
    wrong: dict[str, str], client: TestClient, token: str, session: str, people: dict[str, int], studio: Studio
) -> None:
    number = people["Aino"]
    answer = tap(
        client, token, session, **{f"left-{number}": "2"}, **{f"{name}-{number}": it for name, it in wrong.items()}
    ) if "left" not in wrong else tap(client, token, session, **{f"left-{number}": wrong["left"]})  # fmt: skip
    assert answer.status_code == 422
    assert 'role="alert"' in answer.text
    assert not studio.history.all()


def test_heads_without_an_answer_are_counted_too(client: TestClient, token: str, session: str, studio: Studio) -> None:
    tap(client, token, session, heads="12")
    (record,) = studio_history(studio).records
    assert (record.heads, record.left) == (12, None)


def test_how_hard_the_evening_was_makes_the_load_of_the_week(
    client: TestClient, token: str, session: str, people: dict[str, int], studio: Studio
) -> None:
    """foster2001: effort times minutes; the mean of what people said."""
    aino, otto = people["Aino"], people["Otto"]
    tap(client, token, session, heads="12", **{f"effort-{aino}": "7", f"left-{otto}": "3", "effort-room": "4,5"})
    history = studio_history(studio)
    assert [(each.person, each.left, each.effort) for each in history] == [
        ("Aino", None, 7.0), ("Otto", 3.0, None), ("", None, 4.5),
    ]  # fmt: skip
    assert evening_loads(history, {date(2027, 1, 11): 40.0}) == {date(2027, 1, 11): 5.75 * 40}
    page = client.get(f"/session/{session}/answers?on={DAY}").text
    assert re.search(rf'id="effort-{aino}"[^>]* value="7"', page)
    again = tap(client, token, session, **{f"effort-{aino}": "7"})
    assert (again.status_code, len(studio_history(studio).records)) == (303, 3)  # nothing new


def test_an_effort_that_is_none_is_refused_in_words(
    client: TestClient, token: str, session: str, people: dict[str, int], studio: Studio
) -> None:
    for wrong in ({f"effort-{people['Aino']}": "11"}, {f"effort-{people['Aino']}": "hard"}, {"effort-room": "5"}):
        answer = tap(client, token, session, **wrong)
        assert answer.status_code == 422
        assert 'role="alert"' in answer.text
    assert not studio.history.all()


def led(*cells: str) -> str:
    """A stage's log of the evening in which these sets came to their end."""
    wall_ms = int(datetime(2027, 1, 11, 19, 0).timestamp() * 1000)
    events = [{"wall_ms": wall_ms + at, "at_ms": at, "what": "set", "cell": cell} for at, cell in enumerate(cells)]
    return json.dumps({"events": events})


def test_the_stage_writes_down_once_what_was_led_and_the_last_of_it_is_asked_about(
    client: TestClient, token: str, session: str, studio: Studio
) -> None:
    cells = ("Main/One/squat", "Warm-up/One/march", "Main/Two/squat", "Main/Two/squat")
    for count in (1, 3, 4):  # a log is sent again and again, each time whole
        fields = {"id": "one-show", "revision": 1, "log": led(*cells[:count])}
        assert client.post(f"/session/{session}/log", data=fields, headers={"X-Token": token}).status_code == 204
    records = studio_history(studio).records
    assert [(each.cell, each.source, each.left) for each in records] == [
        ("Main/One/squat", Source.STAGE, None), ("Main/Two/squat", Source.STAGE, None),
    ]  # fmt: skip
    assert all(each.reps for each in records)
    page = client.get(f"/session/{session}/answers?on={DAY}").text
    assert re.search(r'value="Main/Two/squat" selected', page)
    assert page.count("(not led)") == page.count('<option value="Main/') - 2
    assert "(not led)" not in client.get(f"/session/{session}/answers?on=2027-01-18").text


def bring(client: TestClient, token: str, text: str, whose: int = 0) -> Any:
    file = {"file": ("back.csv", text, "text/csv")}
    return client.post("/people/history", data={"whose": str(whose)}, files=file, headers={"X-Token": token})


ROW = "2027-01-11,Boathouse,{name},Main/Two/hinge,hip-hinge,pair,2 x 10 lb,8,{left},player"
HEAD = "date,session,person,cell,move,version,load,reps,left,source"


def test_what_a_player_gave_back_is_written_down_once_and_corrected(
    client: TestClient, token: str, people: dict[str, int], studio: Studio
) -> None:
    text = "\n".join([HEAD, ROW.format(name="aino", left=3)])
    for _ in range(2):
        assert bring(client, token, text).status_code == 303
    (record,) = studio_history(studio).records
    assert (record.person, record.left, record.source) == ("Aino", 3, Source.PLAYER)
    bring(client, token, "\n".join([HEAD, ROW.format(name="Aino", left=1)]))
    assert [each.left for each in studio_history(studio).records] == [3, 1]
    assert [each.left for each in studio_history(studio).current] == [1]
    client.post(f"/people/{people['Aino']}/remove", headers={"X-Token": token})
    assert not studio_history(studio).records


@pytest.mark.parametrize("name", ["", "Ainoo"])
def test_a_player_s_file_of_nobody_on_the_list_is_refused_unless_it_is_said_whose_it_is(
    client: TestClient, token: str, people: dict[str, int], studio: Studio, name: str
) -> None:
    text = "\n".join([HEAD, ROW.format(name=name, left=3)])
    answer = bring(client, token, text)
    assert answer.status_code == 422
    assert "Choose whose it is" in answer.text
    assert ("Nearest: Aino." in answer.text) == bool(name)
    assert not studio.history.all()
    assert bring(client, token, text, people["Otto"]).status_code == 303
    assert [each.person for each in studio_history(studio).records] == ["Otto"]


def test_a_spreadsheet_s_fault_has_its_line(client: TestClient, token: str, people: dict[str, int]) -> None:
    assert people
    answer = bring(client, token, f"{HEAD}\n{ROW.format(name='Aino', left='many')}")
    assert answer.status_code == 422
    assert "back.csv, line 2." in answer.text


def test_everything_can_be_taken_out_and_reads_back(
    client: TestClient, token: str, session: str, people: dict[str, int], studio: Studio
) -> None:
    tap(client, token, session, heads="5", **{f"left-{people['Otto']}": "2", "left-room": "3"})
    text = client.get("/people/history.csv").text
    assert history_from_text(text, "history.csv", studio.library).records == studio_history(studio).records


def test_it_goes_with_the_person_from_the_database_its_file_and_its_backups(
    client: TestClient, token: str, session: str, people: dict[str, int], studio: Studio
) -> None:
    number = people["Aino"]
    tap(client, token, session, **{f"left-{number}": "3", f"load-{number}": "17.25 kg"})
    tap(client, token, session, **{f"left-{people['Otto']}": "1"})
    database = studio.settings.folder / "studio.sqlite"
    studio.backups = Backups(database=database)
    studio.backups.take()
    client.post(f"/people/{number}/remove", headers={"X-Token": token})
    assert [each.person for each in studio_history(studio).records] == ["Otto"]
    files = [path for path in studio.settings.folder.rglob("*") if path.is_file()]
    assert len(studio.backups.all()) == 1
    assert not [path for path in files if b"17.25 kg" in path.read_bytes()]
