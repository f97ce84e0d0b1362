"""The Publish screen: what was made is listed and taken; what is asked for wrongly is said before it begins."""

import re
import sys
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from everyrung.pipeline import AudienceSpec
from everyrung.web.jobs import Job, JobResult, WeeklySeries
from everyrung.web.studio import Studio

ASKED = {
    "starts": "2026-10-08T18:30",
    "zone": "Europe/Helsinki",
    "weeks": "4",
    "place": "",
    "people": "",
    "film": "",
    "go": "yes",
}


def test_nothing_is_made_before_it_is_asked_for(client: TestClient, session: str, studio: Studio) -> None:
    page = client.get(f"/session/{session}/publish").text
    assert "Make it" in page
    assert "hx-trigger" not in page[page.index('id="published"') :]
    assert "The folder is being made" in client.get(f"/session/{session}/publish?go=yes").text
    assert studio.sessions.head(session).number == 1


def test_files_are_listed_and_taken_by_number(client: TestClient, session: str, studio: Studio, tmp_path: Path) -> None:
    folder = tmp_path / "published" / session / "1"
    folder.mkdir(parents=True)
    (folder / "kit.txt").write_text("a ball")
    job = Job(
        text=studio.sessions.head(session).text, audience=AudienceSpec(), publish_folder=folder.parent,
        series=WeeklySeries(starts="2026-10-08 18:30", zone="Europe/Helsinki", weeks=4, place=""),
    )  # fmt: skip
    files = (("kit.txt", "what to bring", 6), ("gone.txt", "not there", 0))
    studio.jobs.said(job, JobResult(folder=folder, files=files, notes=("A note.",), finished=True))  # type: ignore[attr-defined]
    page = client.get(f"/session/{session}/publish", params=ASKED).text
    assert "what to bring" in page
    assert "A note." in page
    assert client.get(f"/session/{session}/publish/file/0", params=ASKED).text == "a ball"
    assert client.get(f"/session/{session}/publish/file/2", params=ASKED).status_code == 404
    assert client.get(f"/session/{session}/publish/file/0").status_code == 404  # of another asking


@pytest.mark.parametrize(
    "wrong",
    [{"zone": "Nowhere/Land"}, {"zone": "../../etc/passwd"}, {"starts": "soon"}, {"weeks": "many"}, {"weeks": "0"}],
)
def test_a_series_that_cannot_be_is_refused_in_words(wrong: dict[str, Any], client: TestClient, session: str) -> None:
    answer = client.get(f"/session/{session}/publish", params=ASKED | wrong)
    assert answer.status_code == 422
    assert "expected" in answer.text
    assert "The folder is being made" not in answer.text


def test_a_voice_is_another_asking(client: TestClient, session: str, studio: Studio) -> None:
    """What was made without a voice is not shown to whoever wants one."""
    folder = studio.settings.folder / "published" / session
    text = studio.sessions.head(session).text
    job = Job(text=text, audience=AudienceSpec(), publish_folder=folder, voice=True)
    files = (("voice-again.flac", "the cues spoken", 6),)
    studio.jobs.said(job, JobResult(files=files, finished=True))  # type: ignore[attr-defined]
    path = f"/session/{session}/publish"
    assert "voice-again.flac" in client.get(path, params={"go": "yes", "voice": "yes"}).text
    assert "voice-again.flac" not in client.get(path, params={"go": "yes"}).text


def test_a_voice_that_is_not_installed_cannot_be_ticked_and_the_remedy_is_told(
    client: TestClient, session: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = f"/session/{session}/publish"
    assert "disabled" not in client.get(path).text
    monkeypatch.setitem(sys.modules, "espeakng_loader", None)
    page = client.get(path).text
    assert re.search(r'name="voice"[^>]* disabled', page)
    assert "everyrung[voice]" in page
