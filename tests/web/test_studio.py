"""The studio's routes: what is written is kept, what others wrote is kept too, and nothing from outside gets in."""

import re
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy.exc import OperationalError
from starlette.testclient import TestClient

from everyrung.pipeline import run
from everyrung.store.sessions import Sessions
from everyrung.terms.errors import Invalid
from everyrung.web.app import app
from everyrung.web.passphrase import hash_passphrase
from everyrung.web.plan_templates import DEMO, start, starts
from everyrung.web.routes import files
from everyrung.web.routes.sessions import A_PAGE
from everyrung.web.save import draft
from everyrung.web.security import HEADERS
from everyrung.web.settings import Settings
from everyrung.web.studio import Studio

ROOT = Path(__file__).parents[2]
WRITTEN = {"note": "seen", "rest": "31 s"}  # two places of one cell
DOSE = {"edit": "cell", "ref": "Main/Two/squat", "field": "dose"}


def text_of(studio: Studio, session: str) -> str:
    return studio.sessions.head(session).text


def test_an_edit_is_saved_and_the_new_time_is_shown(post: Any, studio: Studio, session: str) -> None:
    answer = post(f"/session/{session}/edit", base=1, value="10 reps", **DOSE)
    assert answer.status_code == 200
    head = studio.sessions.head(session)
    assert (head.number, head.what) == (2, "Main, rounds Two and Three, ball wall squat, dose: 8 reps → 10 reps")
    assert '  dose = "10 reps"' in head.text
    total = studio.run(head.text).timeline.total_ms
    assert f"{total // 60000}:{total // 1000 % 60:02d}" in answer.text


def test_undo_and_redo(post: Any, studio: Studio, session: str) -> None:
    before = text_of(studio, session)
    post(f"/session/{session}/edit", base=1, value="10 reps", **DOSE)
    post(f"/session/{session}/undo", base=2)
    assert text_of(studio, session) == before
    post(f"/session/{session}/redo", base=1)
    assert "10 reps" in text_of(studio, session)


def test_two_editors_at_different_places_are_joined(post: Any, studio: Studio, session: str) -> None:
    post(f"/session/{session}/edit", base=1, value="10 reps", **DOSE)
    answer = post(f"/session/{session}/edit", base=1, edit="head", field="title", value="Anew")
    assert answer.status_code == 200
    assert "joined with what was changed elsewhere: Main, rounds Two and Three, ball wall squat, dose" in answer.text
    assert 'title = "Anew"' in text_of(studio, session)
    assert "10 reps" in text_of(studio, session)


def test_two_editors_at_one_place_are_both_shown_and_nothing_is_overwritten(
    post: Any, studio: Studio, session: str
) -> None:
    post(f"/session/{session}/edit", base=1, value="10 reps", **DOSE)
    answer = post(f"/session/{session}/edit", base=1, value="12 reps", **DOSE)
    assert answer.status_code == 409
    assert "Somebody changed the same place" in answer.text
    assert "10 reps" in answer.text
    assert "12 reps" in answer.text
    assert studio.sessions.head(session).number == 2
    post(f"/session/{session}/edit", base=2, value="12 reps", **DOSE)  # what "Take mine" sends
    assert "12 reps" in text_of(studio, session)


def test_an_edit_of_what_somebody_took_out_is_a_clash(post: Any, studio: Studio, session: str) -> None:
    post(f"/session/{session}/edit", base=1, edit="remove-move", block="Main", cell="squat")
    assert post(f"/session/{session}/edit", base=1, value="12 reps", **DOSE).status_code == 409
    assert studio.sessions.head(session).number == 2


def test_a_text_saved_over_another_is_a_clash_that_shows_both(post: Any, studio: Studio, session: str) -> None:
    text = text_of(studio, session)
    post(f"/session/{session}/edit", base=1, value="10 reps", **DOSE)
    answer = post(f"/session/{session}/text", part=False, base=1, text=text.replace("Boathouse thirty", "Mine"))
    assert answer.status_code == 409
    assert "Main, rounds Two and Three, ball wall squat, dose" in answer.text
    assert "Mine" in answer.text
    assert studio.sessions.head(session).number == 2


def test_a_refused_edit_says_why_and_changes_nothing(post: Any, studio: Studio, session: str) -> None:
    answer = post(f"/session/{session}/edit", base=1, value="many", **DOSE)
    assert answer.status_code == 422
    assert answer.headers["HX-Retarget"] == "#trouble"
    assert "expected a dose" in answer.text
    assert studio.sessions.head(session).number == 1


@pytest.mark.parametrize("name", sorted(starts()))
def test_every_start_makes_a_session_whose_file_is_the_same_text(name: str, client: TestClient, token: str) -> None:
    made = client.post("/new", data={"from": name, "token": token})
    assert made.status_code == 303
    assert client.get(made.headers["location"]).status_code == 200
    file = client.get(f"{made.headers['location']}/plan.toml")
    assert file.content.decode() == starts()[name]
    assert "attachment" in file.headers["content-disposition"]


def test_the_faulty_example_shows_the_findings_that_check_prints(client: TestClient, token: str) -> None:
    path = ROOT / "examples" / "faulty.toml"
    made = client.post("/bring", data={"token": token}, files={"file": ("faulty.toml", path.read_bytes())})
    page = client.get(made.headers["location"]).text
    found = run(path).findings
    assert f"({len(found)})" in page
    assert page.count('class="finding is-') == len(found)


def test_a_file_that_cannot_be_read_is_kept_and_its_faults_are_shown(
    client: TestClient, token: str, studio: Studio
) -> None:
    text = 'title = "Half a plan"\nslot_minutes = "long"\n'
    made = client.post("/bring", data={"token": token, "text": text})
    page = client.get(made.headers["location"]).text
    assert "to mend before it can be led" in page
    assert "plan.toml:2" in page
    assert studio.sessions.all()[0].title == "A plan that can't be read yet"
    assert client.get(f"{made.headers['location']}/plan.toml").text == text


@pytest.mark.parametrize("content", [b"\xff\xfe\x00", b"", b"   "])
def test_what_is_no_text_is_refused_in_words(content: bytes, client: TestClient, token: str, studio: Studio) -> None:
    made = client.post("/bring", data={"token": token}, files={"file": ("x.toml", content)})
    assert made.status_code == 422
    assert not studio.sessions.all()


def test_versions_are_listed_compared_and_gone_back_to(
    post: Any, client: TestClient, studio: Studio, session: str
) -> None:
    post(f"/session/{session}/edit", base=1, value="10 reps", **DOSE)
    assert (
        "Main, rounds Two and Three, ball wall squat, dose: 8 reps → 10 reps"
        in client.get(f"/session/{session}/versions").text
    )
    page = client.get(f"/session/{session}/versions/compare?from=1&to=2").text
    assert "Main, rounds Two and Three, ball wall squat, dose" in page
    post(f"/session/{session}/versions/back", part=False, base=2, number=1)
    assert studio.sessions.head(session).number == 3
    assert text_of(studio, session) == starts()["boathouse-30"]


def test_every_answer_has_the_headers_and_no_script_of_its_own(client: TestClient, session: str) -> None:
    for address in ("/", f"/session/{session}", f"/session/{session}/text", f"/session/{session}/versions", "/nowhere"):
        answer = client.get(address)
        for name, value in HEADERS.items():
            assert answer.headers[name] == value
        assert not re.search(r"<script(?![^>]* src=)", answer.text)
        assert not re.search(r"<[^>]+ style=|<style|<[^>]+ on[a-z]+=", answer.text)


def test_words_of_a_plan_are_escaped(client: TestClient, token: str) -> None:
    bad = "<img src=x onerror=alert(1)>'\\\"&"
    text = f'title = "{bad}"\nslot_minutes = 9\nwho.in_room = 1\n[[block]]\nkind = "main"\nname = "{bad}"\n'
    text += f'[[block.move]]\nmove = "squat"\nas = "{bad}"\nnote = "{bad}"\n'
    made = client.post("/bring", data={"token": token, "text": text})
    page = client.get(made.headers["location"]).text
    assert "<img src=x" not in page
    assert "&lt;img src=x" in page


def test_foreign_hosts_pages_and_tokens_change_nothing(client: TestClient, token: str, studio: Studio) -> None:
    assert client.get("/", headers={"Host": "evil.example"}).status_code == 421
    form = {"from": "empty", "token": token}
    assert client.post("/new", data=form, headers={"Sec-Fetch-Site": "cross-site"}).status_code == 403
    assert client.post("/new", data=form, headers={"Origin": "http://evil.example"}).status_code == 403
    assert client.post("/new", data={"from": "empty", "token": "x"}).status_code == 403
    assert client.post("/new", data={"from": "empty"}).status_code == 403
    assert client.post("/new", data=form | {"more": "x" * 2_100_000}).status_code == 413
    assert not studio.sessions.all()


@pytest.mark.parametrize(
    "path",
    ["/static/x/../../settings.py", "/static/x/%2e%2e/%2e%2e/guard.py", "/static/x//etc/passwd", "/figure/..%2f.svg"],
)
def test_no_name_from_outside_reaches_a_file(path: str, client: TestClient) -> None:
    assert client.get(path).status_code == 404


def test_others_on_a_network_need_the_passphrase(
    studio: Studio, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("everyrung.web.passphrase.SLOWER_S", 0)
    with pytest.raises(Invalid, match="passphrase"):
        Settings(host="192.168.0.7", folder=tmp_path)
    known = Settings(host="192.168.0.7", folder=tmp_path, passphrase_hash=hash_passphrase("oars in the rack"))
    studio.settings = known
    client = TestClient(app(studio), base_url="http://192.168.0.7:8040", follow_redirects=False)
    assert client.get("/").headers["location"] == "/enter"
    assert client.post("/new", data={"from": "empty"}).status_code == 401
    found = re.search(r'name="token" value="([^"]+)"', client.get("/enter").text)
    assert found
    form = {"token": found[1], "passphrase": "oars in the rack"}
    assert client.post("/enter", data=form | {"passphrase": "wrong"}).status_code == 401
    assert client.post("/enter", data=form).status_code == 303
    assert client.get("/").status_code == 200


def test_a_full_disk_is_a_plain_sentence(post: Any, session: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OperationalError("INSERT", {}, Exception("database or disk is full"))

    monkeypatch.setattr(Sessions, "save", full)
    answer = post(f"/session/{session}/edit", base=1, value="10 reps", **DOSE)
    assert answer.status_code == 503
    assert "The disk is full" in answer.text
    assert "What was saved before is safe" in answer.text


def test_ten_coaches_in_one_session_at_once_lose_nothing(studio: Studio, session: str) -> None:
    cells = [f"Main/{name}/{move}" for name in ("One", "Two") for move in ("squat", "lift", "curl", "lunge", "hinge")]
    served = app(studio)

    def write(ref: str) -> set[int]:
        client = TestClient(served, base_url="http://localhost:8040")
        page = client.get(f"/session/{session}").text
        token, base = re.search(r'"X-Token": "([^"]+)"', page), re.search(r'name="base" value="(\d+)"', page)
        assert token
        assert base
        fields = {"edit": "cell", "ref": ref, "base": base[1]}
        sent = [fields | {"field": field, "value": value} for field, value in WRITTEN.items()]
        answers = [client.post(f"/session/{session}/edit", data=each, headers={"X-Token": token[1]}) for each in sent]
        return {answer.status_code for answer in answers}

    with ThreadPoolExecutor(len(cells)) as pool:
        codes = list(pool.map(write, cells))
    assert codes == [{200}] * len(cells)
    assert studio.sessions.head(session).number == 1 + len(cells) * len(WRITTEN)
    assert text_of(studio, session).count('note = "seen"') == len(cells)


def test_what_was_done_is_told_once_and_by_the_studio_alone(client: TestClient, post: Any) -> None:
    assert "licence" not in client.get("/people?said=Your+licence+expired").text
    post("/people", part=False, name="Edda", stature="165 cm")
    assert "Edda is on your list." in client.get("/people").text
    assert "Edda is on your list." not in client.get("/people").text


def test_an_edit_that_changes_nothing_is_no_version(post: Any, studio: Studio, session: str) -> None:
    post(f"/session/{session}/edit", base=1, value="10 reps", **DOSE)
    assert post(f"/session/{session}/edit", base=2, value="10 reps", **DOSE).status_code == 200
    assert studio.sessions.head(session).number == 2


def test_a_list_of_people_is_sent_to_its_own_screen(client: TestClient, token: str, studio: Studio) -> None:
    files = {"file": ("people.csv", b"name,stature\nEdda,165 cm\n", "text/csv")}
    answer = client.post("/bring", data={"token": token}, files=files)
    assert answer.status_code == 422
    assert "People screen" in answer.text
    assert not studio.sessions.all()


WORDS = st.one_of(
    st.text(max_size=30),
    st.sampled_from(["Main/Two/squat", "Main/Two", "Main", "1", "0", "-1", "{}", '{"reps": 2}', "squat"]),
)
KINDS = st.sampled_from([
    "head", "part", "cell", "rung", "lever", "drop-lever", "add-round", "remove-round", "add-move", "remove-move",
    "shift-move", "skip", "add-block", "remove-block", "add-kit", "remove-kit", "",
])  # fmt: skip


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    kind=KINDS,
    field=st.one_of(WORDS, st.sampled_from(["dose", "load", "title", "options.easier", "who.limits", "say"])),
    words=st.lists(WORDS, min_size=8, max_size=8),
)
def test_no_form_breaks_the_studio(
    kind: str, field: str, words: list[str], post: Any, studio: Studio, session: str
) -> None:
    names = ("ref", "value", "block", "cell", "move", "to", "at", "kind")
    head = studio.sessions.head(session)
    fields = dict(zip(names, words, strict=True)) | {"edit": kind, "field": field, "base": head.number}
    answer = post(f"/session/{session}/edit", **fields)
    assert answer.status_code in (200, 403, 422), answer.text[:500]
    studio.run(text_of(studio, session))  # still a plan


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(words=st.lists(st.text(max_size=20), min_size=4, max_size=4))
def test_no_address_breaks_the_studio(words: list[str], client: TestClient, session: str) -> None:
    from urllib.parse import quote

    one, two, three, four = (quote(word, safe="") for word in words)
    for address in (
        f"/session/{one}", f"/session/{session}/cell?ref={two}", f"/static/{one}/{two}", f"/figure/{one}.svg",
        f"/session/{session}/computed?base={three}&seen={four}",
        f"/session/{session}/versions/compare?from={two}&to={three}",
    ):  # fmt: skip
        assert client.get(address).status_code in (200, 303, 307, 404, 422), address


def test_a_long_list_of_sessions_comes_by_pages(client: TestClient, studio: Studio, session: str) -> None:
    """Every session stands on one page, the latest first; a page that is not there is the nearest one that is."""
    for number in range(2 * A_PAGE + 3):
        studio.sessions.create(draft(starts()["empty"], f"number {number}"))

    def shown(address: str) -> list[str]:
        return re.findall(r'<th scope="row"><a href="/session/([^"]+)"', client.get(address).text)

    pages = [shown(address) for address in ("/", "/?page=2", "/?page=3")]
    assert [len(each) for each in pages] == [A_PAGE, A_PAGE, 4]
    assert [row.id for row in studio.sessions.all()] == [each for page in pages for each in page]
    assert pages[2][-1] == session
    assert shown("/?page=99") == pages[2]
    for nothing in ("0", "-1", "two", "9" * 30):
        assert shown(f"/?page={nothing}") == pages[0]
    assert 'rel="next" href="/?page=3"' in client.get("/?page=2").text
    assert 'rel="prev" href="/?page=1"' in client.get("/?page=2").text
    assert shown("/?shown=away") == []


def test_static_files_are_sent_packed_and_kept_for_good(client: TestClient) -> None:
    """By an address with a digest of all of them in it (RFC 8246: `immutable` is never asked for again)."""
    page = client.get("/").text
    addresses = re.findall(r'(?:src|href)="(/static/[0-9a-f]{12}/[^"]+)"', page)
    assert len(addresses) > 4
    for address in addresses:
        plain = client.get(address, headers={"Accept-Encoding": "identity"})
        packed = client.get(address, headers={"Accept-Encoding": "gzip"})  # unpacked by the client
        assert "content-encoding" not in plain.headers
        assert packed.headers["content-encoding"] == "gzip"
        assert packed.content == plain.content
        for each in (plain, packed):
            assert each.headers["cache-control"] == "public, max-age=31536000, immutable"
            assert each.headers["vary"] == "Accept-Encoding"


def test_pictures_are_sent_together_and_a_name_that_nobody_knows_is_left_out(
    client: TestClient, studio: Studio, session: str
) -> None:
    page = client.get(f"/session/{session}").text
    names = list(dict.fromkeys(re.findall(r'data-figure="([0-9a-f]{20})"', page)))
    assert len(names) > 10
    for number, name in enumerate(names):
        drawn: Future[str | None] = Future()
        drawn.set_result(f"<svg>{number}</svg>" if number else None)
        studio._pictures[name] = drawn
    answer = client.get("/figures", params={"names": ".".join(names[1:])})
    assert answer.json() == {name: f"<svg>{number}</svg>" for number, name in enumerate(names) if number}
    assert "immutable" in answer.headers["cache-control"]
    without = client.get("/figures", params={"names": ".".join([names[0], "0" * 20])})  # a rung without a picture
    assert list(without.json()) == [names[0]]
    assert without.headers["cache-control"] == "no-store"


def test_a_picture_that_is_still_being_drawn_is_asked_for_again(
    client: TestClient, studio: Studio, session: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(files, "SOON_S", 0.05)
    page = client.get(f"/session/{session}").text
    first, second = list(dict.fromkeys(re.findall(r'data-figure="([0-9a-f]{20})"', page)))[:2]
    studio._pictures[first], studio._pictures[second] = Future(), Future()
    studio._pictures[first].set_result("<svg/>")
    answer = client.get("/figures", params={"names": f"{first}.{second}"})
    assert answer.json() == {first: "<svg/>"}
    assert answer.headers["cache-control"] == "no-store"
    studio._pictures[second].set_result("<svg/>")
    assert len(client.get("/figures", params={"names": f"{first}.{second}"}).json()) == 2


def test_a_new_session_may_be_like_one_of_hers(client: Any, post: Any, studio: Any) -> None:
    first = studio.sessions.create(draft(start(DEMO), "Demo")).id
    assert 'label="Like one of yours"' in client.get("/").text
    answer = post("/new", part=False, **{"from": f"like {first}"})
    second = answer.headers["location"].rpartition("/")[2]
    assert second != first
    assert studio.sessions.head(second).text == studio.sessions.head(first).text
    assert post("/new", part=False, **{"from": "like nonsuch"}).status_code == 404
