"""The Look back screen: what there is of a show brought in, laid on its plan, taken into the next one, and erased."""

import json
import os
import re
import sqlite3
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from led_evening import squat
from starlette.testclient import TestClient
from test_plain_pages import found

from everyrung.lookback.plan_sets import plan_sets
from everyrung.store.backups import Backups
from everyrung.store.people_store import PersonRow
from everyrung.store.sessions import NotFound
from everyrung.web.history_rows import studio_history
from everyrung.web.jobs import JobResult, do_job
from everyrung.web.led_answers import day_of
from everyrung.web.plan_templates import DEMO, start
from everyrung.web.show_requests import next_job, review_job
from everyrung.web.studio import Studio

START = 1_790_000_000_000
SECRET = "Wilma whispered turnip"  # stands in the transcript and nowhere else


@pytest.fixture
def rows(studio: Studio) -> Any:
    run = studio.on_clock(start(DEMO))
    return plan_sets(run.session, run.timeline)


@pytest.fixture
def show(post: Callable[..., Any], session: str, rows: Any, studio: Studio) -> str:
    """The address of a show: three sets of round three left out, all others led to their end."""
    three = next(place for place, each in enumerate(rows) if each.ref.startswith("Main/Three"))
    from_ms, to_ms = rows[three].at_ms, rows[three + 3].at_ms
    total_ms = studio.on_clock(start(DEMO)).timeline.total_ms
    events: list[dict[str, Any]] = [
        {"wall_ms": START, "at_ms": 0, "what": what, "by": "stage"} for what in ("start", "go")
    ]
    for place, each in enumerate(rows):
        end_ms = each.work_at_ms + each.bout.duration_ms
        late_ms = 0 if place < three else from_ms - to_ms
        if place == three:
            events.append({"wall_ms": START + from_ms, "at_ms": from_ms, "what": "skip", "to_ms": to_ms})
        if not three <= place < three + 3:
            events.append({"wall_ms": START + end_ms + late_ms, "at_ms": end_ms, "what": "set", "cell": each.ref})
    events.append({"wall_ms": START + total_ms - to_ms + from_ms, "at_ms": total_ms, "what": "end"})
    assert (
        post(f"/session/{session}/log", id="one-show", revision=1, log=json.dumps({"events": events})).status_code
        == 204
    )
    return f"/session/{session}/led/one-show"


@pytest.fixture
def wilma(studio: Studio) -> int:
    (key,) = studio.people.put([PersonRow(name="Wilma Ek", text='[[person]]\nname = "Wilma Ek"\nstature = "165 cm"\n')])
    return key


def computed(studio: Studio, session: str) -> tuple[JobResult, JobResult]:
    """The show's two jobs, done here."""
    (log,) = studio.session_logs.of(session)
    first, later = review_job(studio, log), next_job(studio, log, studio.sessions.head(session))
    results = do_job(first, lambda _: None), do_job(later, lambda _: None)
    studio.jobs.said(first, results[0])  # type: ignore[attr-defined]
    studio.trials.said(later, results[1])  # type: ignore[attr-defined]
    return results


def talk(rows: Any) -> str:
    lines = [(each.at_ms // 1000, f"next {each.name.replace(',', ' ')}") for each in rows]
    lines.append((70, SECRET))
    return "\n".join(f"[{at // 60}:{at % 60:02d}] {words}" for at, words in sorted(lines))


def tcx(began: datetime, bpm: int = 101) -> str:
    points = "".join(
        f"<Trackpoint><Time>{began + timedelta(seconds=5 * at):%Y-%m-%dT%H:%M:%SZ}</Time>"
        f"<HeartRateBpm><Value>{bpm + at % 7}</Value></HeartRateBpm></Trackpoint>"
        for at in range(380)
    )
    return f"<TrainingCenterDatabase><Track>{points}</Track></TrainingCenterDatabase>"


def test_each_show_is_listed_and_looked_back_on(client: TestClient, show: str, session: str, studio: Studio) -> None:
    assert f'href="{show}"' in client.get(f"/session/{session}/led").text
    assert "It is being matched to the plan" in client.get(show).text
    computed(studio, session)
    page = client.get(show).text
    for words in ("hx-get", "It is being laid"):
        assert words not in page.partition('id="review"')[2].partition(">")[0]
    assert len(set(re.findall(r">([^<]*): not done<", page))) == 3
    assert f"Leave out {squat()} in Main, Three, which was not led." in page
    assert "Where the time went" in page


def test_a_show_looked_back_on_does_not_speak_as_a_file_does(
    client: TestClient, bring: Callable[..., Any], show: str, session: str, studio: Studio, rows: Any, wilma: int,
    file_language: Callable[[str], list[str]],
) -> None:  # fmt: skip
    assert wilma
    bring(f"{show}/transcript", "talk.txt", talk(rows))
    bring(f"{show}/answers", "form.csv", "name,set,left,pain\nWilma,Hip hinge,2,knee\nOdd,,1,no\n")
    computed(studio, session)
    assert found(client.get(show).text, file_language) == []


def test_one_press_takes_a_change_and_another_undoes_it(
    client: TestClient, post: Callable[..., Any], show: str, session: str, studio: Studio
) -> None:
    _, later = computed(studio, session)
    assert later.review is not None
    number = next(at for at, each in enumerate(later.review.edits) if each.text)
    assert post(f"{show}/take", part=False, number=number, base=1).status_code == 303
    head = studio.sessions.head(session)
    assert head.number == 2
    assert head.text == later.review.edits[number].text
    computed(studio, session)
    page = client.get(f"{show}?taken=2").text
    assert 'id="undo-taken"' in page
    assert post(f"{show}/undo", part=False, base=2).status_code == 303
    assert studio.sessions.head(session).text == start(DEMO)


def test_a_press_on_what_was_tried_for_an_older_plan_takes_nothing(
    post: Callable[..., Any], show: str, session: str, studio: Studio
) -> None:
    computed(studio, session)
    for number, base in ((0, 7), (99, 1), ("x", 1), (0, "")):
        post(f"{show}/take", part=False, number=number, base=base)
    assert studio.sessions.head(session).number == 1


def test_words_hearts_and_a_recording_that_is_none_are_laid_beside_the_log(
    client: TestClient, bring: Callable[..., Any], post: Callable[..., Any], show: str, session: str, studio: Studio,
    rows: Any, wilma: int, tmp_path: Path,
) -> None:  # fmt: skip
    assert bring(f"{show}/transcript", "talk.txt", talk(rows)).status_code == 303
    began = datetime.fromtimestamp(START / 1000, UTC)
    assert bring(f"{show}/heart", "w.tcx", tcx(began), whose=wilma).status_code == 303
    silent = tmp_path / "no-sound.mp4"
    silent.write_bytes(b"no film")
    assert post(f"{show}/recording", part=False, path=str(silent)).status_code == 303
    first, later = computed(studio, session)
    assert first.review is not None
    assert later.review is not None
    assert first.review.talk
    assert [each.name for each in first.review.hearts] == ["Wilma Ek"]
    assert any(each.startswith("Recording: ") for each in first.review.problems)
    assert later.review.clock  # from one transcript alone, with its bounds
    page = client.get(show).text
    assert "Heart rate of Wilma Ek: w.tcx" in page
    assert 'class="rate"' in page
    assert silent.read_bytes() == b"no film"
    kept = [
        path for path in tmp_path.rglob("*") if path.is_file() and path != silent and b"no film" in path.read_bytes()
    ]
    assert kept == []  # the file was not copied


def test_who_takes_such_medicine_is_shown_no_rate(
    client: TestClient, bring: Callable[..., Any], show: str, session: str, studio: Studio, wilma: int
) -> None:
    row = studio.people.person(wilma)
    health = '[[person]]\nname = "Wilma Ek"\nmedicine = "rate-limiting"\n'
    studio.people.put([PersonRow(id=wilma, name=row.name, text=row.text, health=health)])
    bring(f"{show}/heart", "w.tcx", tcx(datetime.fromtimestamp(START / 1000, UTC)), whose=wilma)
    first, _ = computed(studio, session)
    assert first.review is not None
    assert "medicine limits this rate: not drawn" in first.review.wide
    assert 'class="rate"' not in client.get(show).text


def test_answers_go_into_the_history_once_and_what_is_not_matched_is_said(
    client: TestClient, bring: Callable[..., Any], show: str, session: str, studio: Studio, wilma: int
) -> None:
    assert wilma
    sheet = "Name;Kvar;Ont?;Kommentar\nWilma;2,5;ja, knä;tungt <b>\nBirger;3;nej;\n"
    assert bring(f"{show}/answers", "form.csv", sheet).status_code == 303
    assert bring(f"{show}/answers", "form.csv", sheet).status_code == 303
    (log,) = studio.session_logs.of(session)
    mine = [each for each in studio_history(studio, day_of(log)) if each.person == "Wilma Ek"]
    assert [(each.left, each.pain) for each in mine] == [(2.5, True)]
    assert not mine[0].cell.startswith("Main/Three/squat")  # that one was not led
    page = client.get(show).text
    words = re.sub(r"\s+", " ", page.partition('id="answers"')[2].partition("</ul>")[0])
    assert words.index("Wilma Ek: ") < words.index("Not matched. Line 3")
    assert "PAIN" in words
    assert "tungt &lt;b&gt;" in words


def test_a_player_s_file_is_taken_for_its_day_alone(
    bring: Callable[..., Any], show: str, session: str, studio: Studio, wilma: int
) -> None:
    (log,) = studio.session_logs.of(session)
    day, title = day_of(log), studio.sessions.head(session).title
    text = (
        "date,session,person,move,version,reps,left,source\n"
        f"{day.isoformat()},{title},,squat,base,8,3,player\n"
        f"{(day - timedelta(days=7)).isoformat()},{title},,squat,base,8,1,player\n"
    )
    assert bring(f"{show}/answers", "p.csv", text, whose=wilma).status_code == 303
    mine = [each.left for each in studio_history(studio) if each.person == "Wilma Ek"]
    assert mine == [3]


@pytest.mark.parametrize(
    ("what", "name", "content", "words"),
    [
        ("transcript", "t.txt", "no times at all", "a file without a single time"),
        ("heart", "h.gpx", "<gpx></gpx>", "a file with a heart rate"),
        ("answers", "a.csv", "left,effort\n1,2\n", "a column for the name"),
        ("answers", "a.csv", "", "Choose a spreadsheet"),
    ],
)
def test_what_can_t_be_used_is_refused_on_the_page(
    bring: Callable[..., Any], show: str, what: str, name: str, content: str, words: str
) -> None:
    answer = bring(f"{show}/{what}", name if content else "", content)
    assert answer.status_code == 422
    assert words in re.sub(r"\s+", " ", answer.text)


def test_a_recording_s_place_is_looked_at_and_said(post: Callable[..., Any], show: str, tmp_path: Path) -> None:
    folder = tmp_path / "films"
    folder.mkdir()
    (folder / "monday.mp4").write_bytes(b"x")
    (folder / "letter.txt").write_bytes(b"x")
    for path, words in (
        (folder / "gone.mp4", "There is no file"), ("films/a.mp4", "Give the full path"), ("", "Give the full path"),
        (folder / "empty", "There is no recording in"),
    ):  # fmt: skip
        (folder / "empty").mkdir(exist_ok=True)
        answer = post(f"{show}/recording", part=False, path=path)
        assert answer.status_code == 422
        assert words in answer.text


def test_a_folder_s_recordings_are_listed_and_one_is_chosen_by_a_press(
    client: TestClient, post: Callable[..., Any], show: str, tmp_path: Path
) -> None:
    folder = tmp_path / "films"
    folder.mkdir()
    for name, at_s in (("old.MOV", 1_000), ("monday.mp4", 2_000), ("letter.txt", 3_000)):
        (folder / name).write_bytes(b"x")
        os.utime(folder / name, (at_s, at_s))
    answer = post(f"{show}/recording", part=False, path=folder)
    assert answer.status_code == 200
    offers = re.findall(r'<button name="path" value="([^"]+)"', answer.text)
    assert offers == [str(folder / "monday.mp4"), str(folder / "old.MOV")]  # the newest first
    assert post(f"{show}/recording", part=False, path=offers[0]).status_code == 303
    assert "monday.mp4" in client.get(show).text
    assert f'value="{folder}"' in client.get(show).text  # where the next one is looked for


def test_a_show_without_a_stage_is_looked_back_on_by_its_words(
    client: TestClient, post: Callable[..., Any], bring: Callable[..., Any], session: str, studio: Studio, rows: Any
) -> None:
    answer = post(f"/session/{session}/led", part=False, when="2026-11-23T18:30")
    address = answer.headers["location"].partition("#")[0]
    assert "Nothing is known about it yet" in client.get(address).text
    bring(f"{address}/transcript", "talk.txt", talk(rows))
    first, _ = computed(studio, session)
    assert first.review is not None
    assert first.review.by == "the transcript"
    assert client.get(address).status_code == 200
    assert "led without the stage" in client.get(f"/session/{session}/led").text
    assert post(f"/session/{session}/led", part=False, when="soon").status_code == 422


def test_reports_hold_what_the_screen_does(
    client: TestClient, bring: Callable[..., Any], show: str, session: str, studio: Studio, wilma: int
) -> None:
    assert wilma
    assert client.get(f"{show}/review.html").status_code == 409
    bring(f"{show}/answers", "form.csv", "name,left\nWilma Ek,2\n")
    computed(studio, session)
    page = client.get(f"{show}/review.html")
    assert "Wilma Ek: " in page.text
    assert f"Leave out {squat()}" in page.text
    assert client.get(f"{show}/review.pdf").content.startswith(b"%PDF")
    assert client.get(f"{show}/review.doc").status_code == 404


def test_forgetting_a_show_leaves_nothing_that_came_of_it(
    client: TestClient, bring: Callable[..., Any], post: Callable[..., Any], show: str, session: str, studio: Studio,
    rows: Any, wilma: int, tmp_path: Path,
) -> None:  # fmt: skip
    """Issue 23, part 11: in the database, its log, the backups, and in what was computed."""
    studio.backups = Backups(database=tmp_path / "studio.sqlite")
    bring(f"{show}/transcript", "talk.txt", talk(rows))
    bring(f"{show}/heart", "w.tcx", tcx(datetime.fromtimestamp(START / 1000, UTC)), whose=wilma)
    bring(f"{show}/answers", "form.csv", "name,left,comment\nWilma Ek,2,turnip\n")
    computed(studio, session)
    (log,) = studio.session_logs.of(session)
    jobs = review_job(studio, log), next_job(studio, log, studio.sessions.head(session))
    studio.backups.take()
    sealed = [each.content for each in studio.led_sources.of("one-show")]
    assert len(sealed) == 4
    assert all(each.has_people for each in jobs)  # so that one that runs is ended, and its result goes at every studio
    assert not _holds(tmp_path, SECRET.encode())  # sealed
    assert post(f"{show}/delete", part=False).status_code == 303
    assert client.get(show).status_code == 404
    assert studio.led_sources.of("one-show") == ()
    assert studio.jobs.result(jobs[0].key) is None
    assert studio.trials.result(jobs[1].key) is None
    for path in (tmp_path / "studio.sqlite", *studio.backups.all()):
        with sqlite3.connect(path) as file:
            assert file.execute("SELECT count(*) FROM led_source").fetchone() == (0,)
            assert file.execute("SELECT count(*) FROM led").fetchone() == (0,)


def _holds(folder: Path, word: bytes) -> bool:
    return any(word in path.read_bytes() for path in folder.rglob("*") if path.is_file())


def test_one_file_can_be_taken_away_alone(
    client: TestClient, bring: Callable[..., Any], post: Callable[..., Any], show: str, studio: Studio, rows: Any
) -> None:
    bring(f"{show}/transcript", "talk.txt", talk(rows))
    (source,) = studio.led_sources.of("one-show")
    assert post(f"{show}/files/{source.id}/remove", part=False).status_code == 303
    assert "talk.txt" not in client.get(show).text
    assert post(f"{show}/files/{source.id}/remove", part=False).status_code == 404
    with pytest.raises(NotFound):
        studio.led_sources.remove("one-show", source.id)


def test_a_person_s_heart_and_words_go_with_the_person(
    bring: Callable[..., Any], post: Callable[..., Any], show: str, studio: Studio, wilma: int
) -> None:
    bring(f"{show}/heart", "w.tcx", tcx(datetime.fromtimestamp(START / 1000, UTC)), whose=wilma)
    bring(f"{show}/answers", "form.csv", "name,left\nWilma Ek,2\nWilma Eck,3\n")
    assert len(studio.led_sources.of("one-show")) == 3
    assert post(f"/people/{wilma}/remove", part=False).status_code == 303
    assert studio.led_sources.of("one-show") == ()


def test_without_its_key_what_was_kept_stays_shut_and_says_so(
    client: TestClient, bring: Callable[..., Any], show: str, studio: Studio, rows: Any, tmp_path: Path
) -> None:
    bring(f"{show}/transcript", "talk.txt", talk(rows))
    (tmp_path / "look-back.key").unlink()
    assert studio.led_sources.of("one-show")[0].content is None
    assert "opened any more; bring it in again" in client.get(show).text
