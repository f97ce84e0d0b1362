"""Help: every page of docs/ opens in the studio, every link in them leads somewhere, and messages lead to them."""

import re
import tomllib
from html import unescape
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from everyrung.terms.errors import Invalid
from everyrung.web.help import help_files, help_pages, link_pages

ROOT = Path(__file__).parents[2]
PAGES = sorted(path.stem for path in (ROOT / "docs").glob("*.md"))


def test_every_page_is_listed_and_has_a_title_and_a_first_sentence(client: TestClient) -> None:
    assert sorted(help_pages()) == PAGES
    page = client.get("/help").text
    assert [name for name in PAGES if f'href="/help/{name}"' not in page] == []
    assert [each.name for each in help_pages().values() if not each.about or each.title == each.name] == []
    assert 'href="/help" aria-current="page"' in page


@pytest.mark.parametrize("name", PAGES)
def test_every_link_and_picture_of_a_page_leads_somewhere(name: str, client: TestClient) -> None:
    page = client.get(f"/help/{name}")
    assert page.status_code == 200
    wrong = []
    for address in set(re.findall(r'(?:href|src)="([^"]+)"', help_pages()[name].html)):
        if re.match(r"https?:", address):
            continue
        path, _, part = unescape(address).partition("#")
        answer = client.get(path) if path else page
        if answer.status_code != 200 or (part and f'id="{part}"' not in answer.text):
            wrong.append(address)
    assert wrong == []


def test_markdown_is_shown_as_it_is_meant(client: TestClient) -> None:
    page = client.get("/help/plan-file").text
    assert "<table>" in page
    assert '<pre tabindex="0"><code' in page
    assert "|---" not in page
    assert "```" not in page


def test_what_is_not_there_is_said(client: TestClient) -> None:
    for path in ("nothing", "..%2Fpyproject", "file/../pyproject.toml", "file/accuracy/studies.py", "file/tutorial.md"):
        assert client.get(f"/help/{path}").status_code == 404
    answer = client.get("/help/file/examples/faulty.toml")
    assert answer.headers["content-type"].startswith("text/plain")


def test_a_message_leads_to_the_page_that_it_names() -> None:
    message = str(link_pages("<b> See docs/people-file.md, docs/no-such-page.md."))
    assert message == ('&lt;b&gt; See <a href="/help/people-file">docs/people-file.md</a>, docs/no-such-page.md.')


def test_a_refusal_in_the_studio_has_the_link(client: TestClient, token: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise Invalid("answers", "a file", "none", remedy="See docs/rehearsal.md.")

    monkeypatch.setattr("everyrung.web.routes.sessions.start", refuse)
    answer = client.post("/new", data={"token": token, "from": "empty"})
    assert answer.status_code == 422
    assert '<a href="/help/rehearsal">docs/rehearsal.md</a>' in answer.text


def test_each_page_that_a_message_names_is_there() -> None:
    """Messages are texts of the program; comments and docstrings may name pages of a checkout too."""
    named = {
        name
        for path in (ROOT / "src").rglob("*.py")
        for name in re.findall(r"docs/([a-z-]+)\.md", path.read_text(encoding="utf-8"))
    }
    assert named
    assert named <= set(PAGES)


def test_the_wheel_has_every_page_and_picture() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    included = project["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]
    assert all(f"docs/{name}.md" in included for name in PAGES)
    assert all(target == f"everyrung/{source}" for source, target in included.items())
    shown = [name for name in help_files() if not name.startswith("examples/")]
    assert [name for name in shown if not any(f"docs/{name}".startswith(source) for source in included)] == []
