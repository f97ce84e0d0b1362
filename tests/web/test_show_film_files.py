"""For the film of a show's recording, on the Look back screen: made, listed, taken, and gone with what it came from."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import test_film
from starlette.testclient import TestClient

from everyrung.pipeline import run_plan
from everyrung.plan.read import plan_from_text
from everyrung.runsheet.beeps import beeps
from everyrung.web.jobs import do_job
from everyrung.web.plan_templates import DEMO, start
from everyrung.web.settings import MAX_HOURS_BYTES, MAX_UPLOAD_BYTES
from everyrung.web.show_film import film_folder
from everyrung.web.show_requests import film_job
from everyrung.web.studio import Studio

LATE_S, END_MS = 12.5, 240_000
FILES = ("chapters.vtt", "captions.vtt", "edit-list.otio", "contact-sheet.png", "overlay.mov")


@pytest.fixture
def show(post: Callable[..., Any], session: str) -> str:
    """One that was led without the stage."""
    answer = post(f"/session/{session}/led", part=False, when="2026-11-23T18:30")
    return str(answer.headers["location"]).split("#")[0]


@pytest.fixture(scope="module")
def recording(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("film") / "take.mp4"
    write_take(path)
    return path


def write_take(path: Path) -> None:
    """The first sets' beeps, and grey pictures."""
    run = run_plan(plan_from_text(start(DEMO), "plan.toml"))
    marks = beeps(run.timeline, count_in_ms=run.session.clock.count_in_ms)
    rows = [(beep, LATE_S + beep.at_ms / 1000) for beep in marks if beep.at_ms < END_MS]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(test_film, "FPS", 2)
        test_film.film_of(path, rows, END_MS / 1000 + LATE_S + 10)


def make(studio: Studio, session: str, overlay: str = "") -> None:
    (log,) = studio.session_logs.of(session)
    job = film_job(studio, log, overlay)
    result = do_job(job, lambda _: None)
    assert not result.problem
    studio.jobs.said(job, result)  # type: ignore[attr-defined]


def test_the_film_s_files_are_made_taken_and_gone_with_the_recording(
    client: TestClient, post: Callable[..., Any], bring: Callable[..., Any], show: str, session: str, studio: Studio,
    recording: Path,
) -> None:  # fmt: skip
    assert post(f"{show}/film", part=False, overlay="none").status_code == 422
    assert "For the film" not in client.get(show).text
    post(f"{show}/recording", part=False, path=recording)
    bring(f"{show}/transcript", "talk.txt", "[1:02] March on the spot and breathe")
    assert "For the film" in client.get(show).text
    answer = post(f"{show}/film", part=False, overlay="animation")
    assert answer.status_code == 303
    make(studio, session, "animation")
    screen = client.get(str(answer.headers["location"])).text
    for name in FILES:
        assert f"{show}/film/file/{name}" in screen
        assert client.get(f"{show}/film/file/{name}").status_code == 200
    assert client.get(f"{show}/film/file/take.mp4").status_code == 404
    assert client.get(f"{show}/film/file/..%2F..%2Fcookies.key").status_code == 404
    made = recording.read_bytes()
    (path,) = [each for each in studio.led_sources.of(show.rsplit("/", 1)[1]) if each.name == "take.mp4"]
    assert post(f"{show}/files/{path.id}/remove", part=False).status_code == 303
    assert not film_folder(studio.settings.folder, show.rsplit("/", 1)[1]).exists()
    assert client.get(f"{show}/film/file/chapters.vtt").status_code == 404
    assert recording.read_bytes() == made


def test_forgetting_the_show_takes_its_film_along_and_half_a_film_is_not_kept(
    post: Callable[..., Any], show: str, session: str, studio: Studio, recording: Path
) -> None:
    post(f"{show}/recording", part=False, path=recording)
    (log,) = studio.session_logs.of(session)

    class LeaveError(Exception):
        pass

    def leave(told: Any) -> None:
        if getattr(told, "words", "").startswith("chapters"):
            raise LeaveError

    with pytest.raises(LeaveError):
        do_job(film_job(studio, log, ""), leave)
    folder = film_folder(studio.settings.folder, log.id)
    assert list(folder.glob("*")) == []
    make(studio, session)
    assert (folder / "1" / "contact-sheet.png").is_file()
    assert post(f"{show}/delete", part=False).status_code == 303
    assert not folder.exists()


def test_a_recording_that_has_gone_is_said(
    post: Callable[..., Any], show: str, session: str, studio: Studio, tmp_path: Path
) -> None:
    path = tmp_path / "gone.mp4"
    path.write_bytes(b"x")
    post(f"{show}/recording", part=False, path=path)
    path.unlink()
    (log,) = studio.session_logs.of(session)
    assert "gone.mp4" in do_job(film_job(studio, log, ""), lambda _: None).problem


def test_only_who_sits_at_the_machine_makes_and_takes_it(
    client: TestClient, post: Callable[..., Any], show: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("everyrung.web.routes.film.is_at_the_machine", lambda *_: False)
    assert post(f"{show}/film", part=False, overlay="none").status_code == 403
    assert client.get(f"{show}/film/file/contact-sheet.png").status_code == 403


def test_hours_of_words_and_heart_rate_may_be_larger_than_other_files(bring: Callable[..., Any], show: str) -> None:
    between = b"x" * (MAX_UPLOAD_BYTES + 1_000)
    assert bring(f"{show}/answers", "form.csv", between).status_code == 413
    for what in ("transcript", "heart"):
        assert bring(f"{show}/{what}", "file.tcx", between).status_code == 422
        assert bring(f"{show}/{what}", "file.tcx", b"x" * (MAX_HOURS_BYTES + 1)).status_code == 413
