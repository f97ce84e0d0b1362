"""The Publish screen: what was made is listed and taken; what is asked for wrongly is said before it begins."""

from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from everyrung.pipeline import Expected
from everyrung.web.errands import Computed, Errand, Weekly
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
    assert "It is being made" in client.get(f"/session/{session}/publish?go=yes").text
    assert studio.sessions.head(session).number == 1


def test_files_are_listed_and_taken_by_number(client: TestClient, session: str, studio: Studio, tmp_path: Path) -> None:
    folder = tmp_path / "published" / session
    folder.mkdir(parents=True)
    (folder / "kit.txt").write_text("a ball")
    errand = Errand(
        text=studio.sessions.head(session).text, expected=Expected(), publish_to=folder,
        series=Weekly(starts="2026-10-08 18:30", zone="Europe/Helsinki", weeks=4, place=""),
    )  # fmt: skip
    files = (("kit.txt", "what to bring", 6), ("gone.txt", "not there", 0))
    studio.backroom.said(errand, Computed(files=files, notes=("A note.",), finished=True))  # type: ignore[attr-defined]
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
    assert "It is being made" not in answer.text
