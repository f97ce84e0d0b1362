"""Every address of the studio, with whatever comes from outside: an answer in words, and never a broken page."""

import re
from collections.abc import Callable
from typing import Any
from urllib.parse import quote, urlencode

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.routing import Route
from starlette.testclient import TestClient

from everyrung.web.app import ROUTES
from everyrung.web.security import HEADERS
from everyrung.web.studio import Studio

WORDS = st.one_of(
    st.text(max_size=25),
    st.sampled_from([
        "Main/Two/squat", "Main", "squat", "base", "boathouse", "1", "0", "-1", "9" * 12, "{}", "[]",
        '{"pause": "2 s"}', "../../etc/passwd", "%2e%2e", "own", "room", "165 cm", "yes", "\x00", "on",
    ]),
)  # fmt: skip
NAMES = (
    "ref", "value", "edit", "field", "base", "block", "cell", "move", "text", "number", "away", "from", "open", "mix",
    "count", "known", "against", "session", "kit", "name", "stature", "mass", "rung", "lever", "levers", "entry_test",
    "own", "theme", "back", "say", "minutes", "kit.0", "level", "include", "kit_each", "instead",
    "focus", "position", "shown", "to", "seen", "on", "title", "first", "weeks", "brief", "day-0", "starts-0", "closed",
)  # fmt: skip
FIELDS = st.dictionaries(st.sampled_from(NAMES), WORDS, max_size=5)
# Compute on bodies; tests/web/test_moves.py and test_weeks.py have them.
PUT_OFF = (
    "/moves/{move}/ladder", "/moves/{move}/weighed", "/weeks/{block}/sheet", "/weeks/{block}/block.pdf",
    "/weeks/{block}/members.html", "/weeks/{block}/members.txt",
)  # fmt: skip


def methods(route: Route) -> list[str]:
    return [each for each in sorted(route.methods or ()) if each != "HEAD"]


EVERY = [(route.path, method) for route in ROUTES for method in methods(route) if route.path not in PUT_OFF]


@pytest.mark.parametrize(("path", "method"), EVERY, ids=lambda one: str(one))
@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(words=st.lists(WORDS, min_size=4, max_size=4), fields=FIELDS, known=st.booleans())
def test_whatever_comes_the_answer_is_in_words(
    path: str, method: str, words: list[str], fields: dict[str, str], known: bool,
    client: TestClient, token: str, session: str, studio: Studio, keep_winter: Callable[[], str],
) -> None:  # fmt: skip
    real = {"session": session, "move": "squat", "person": "1", "at": "0"} if known else {}
    if known and "{block}" in path:
        real["block"] = keep_winter()
    rest = iter(words)

    def filled(found: re.Match[str]) -> str:
        name, kind = found[1], found[2] or ""
        word = real.get(name) or ("7" if kind == ":int" else next(rest))
        return quote(word or "x", safe="/" if kind == ":path" else "")

    address = re.sub(r"\{(\w+)(:\w+)?\}", filled, path)
    if method == "GET":
        answer = client.get(f"{address}?{urlencode(fields, errors='replace')}")
    else:
        answer = client.request(method, address, data=fields, headers={"X-Token": token})
    assert answer.status_code < 500 or answer.status_code == 501, (address, fields, answer.text[-300:])
    assert "Something went wrong on our side" not in answer.text
    assert all(answer.headers[name] == value for name, value in HEADERS.items())
    if real and studio.sessions.all() == ():
        studio.sessions.archive(session, in_archive=False)


@pytest.mark.parametrize(("path", "method"), [each for each in EVERY if each[1] != "GET"], ids=lambda one: str(one))
def test_a_post_without_this_browser_s_token_changes_nothing(
    path: str, method: str, client: TestClient, token: str, session: str, studio: Studio
) -> None:
    del token  # the browser has one; this form does not say it
    before: Any = studio.sessions.head(session)
    address = re.sub(r"\{(\w+)(:\w+)?\}", lambda found: session if found[1] == "session" else "1", path)
    assert client.request(method, address, data={"edit": "add-round", "block": "Main", "base": "1"}).status_code == 403
    assert studio.sessions.head(session) == before
