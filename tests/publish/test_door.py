"""The door: all questions on one page, help in this room, and a page of ticks that keeps and sends nothing."""

import json
import re
from base64 import b64encode
from hashlib import sha256
from pathlib import Path

import pytest
from pypdf import PdfReader

from everyrung import load_plan
from everyrung.cli import main
from everyrung.moves.library import standard_library
from everyrung.moves.limit_words import questions
from everyrung.plan.resolve import resolve
from everyrung.publish.door import SAID, door, write_door
from everyrung.room.paths import path
from everyrung.room.read import read_room
from everyrung.terms.enums import Caution, OptionKind
from everyrung.terms.session import Session

EXAMPLES = Path(__file__).parents[2] / "examples"
PLANS = sorted(EXAMPLES.glob("*-[0-9][0-9].toml"))
LIBRARY = standard_library()


def session_of(plan: Path) -> Session:
    return resolve(load_plan(plan), LIBRARY)


@pytest.mark.parametrize("plan", PLANS, ids=lambda each: each.stem)
def test_the_card_is_one_page_with_every_question(plan: Path, tmp_path: Path) -> None:
    emergency = read_room(EXAMPLES / "rooms" / "boat-bay.toml").emergency
    _, paper = write_door(door(session_of(plan), LIBRARY, emergency), tmp_path)
    reader = PdfReader(paper)
    assert len(reader.pages) == 1
    text = " ".join(reader.pages[0].extract_text().split())
    for words in (*SAID, "112", "left of the stairs", "Medicine that keeps the pulse low", "First time"):
        assert words in text


def test_the_page_chooses_what_the_path_chooses(tmp_path: Path) -> None:
    """What the script does, done here over the page's own data: the first version without what is ticked."""
    session = session_of(EXAMPLES / "bare-floor-30.toml")
    page, _ = write_door(door(session, LIBRARY, None), tmp_path)
    data = re.search(r'<script type="application/json" id="ways">(.*?)</script>', page.read_text(), re.DOTALL)
    assert data
    ways = json.loads(data[1])
    for avoid in (
        (),
        (Caution.LYING_BACK,),
        (Caution.FALL_RISK, Caution.TO_FLOOR),
        (Caution.OVERHEAD, Caution.WRIST_LOAD),
    ):
        steps = path(session, LIBRARY, avoid)
        assert len(ways) == len(steps)
        for way, step in zip(ways, steps, strict=True):
            first = next(each for each in way["versions"] if not set(each["avoid"]) & set(map(str, avoid)))
            assert step.rung
            assert first["name"].endswith(step.rung.name)
            assert first["source"] == str(step.source)


def test_who_is_there_for_the_first_time_is_given_the_easier_version_and_rests_after_their_rounds(
    tmp_path: Path,
) -> None:
    """First-timers do less: easier versions, fewer rounds (common practice, no source)."""
    session = session_of(EXAMPLES / "boathouse-30.toml")
    ways = door(session, LIBRARY, None).ways
    assert session.newcomer_rounds == 2
    offers = 0
    for way, cell in zip(ways, session.cells, strict=True):
        easier = [option.rung.name for option in cell.options if option.kind is OptionKind.EASIER]
        assert not easier or way.first[0]["name"].endswith(easier[0])
        assert [each["name"] for each in way.first[len(easier) :]] == [each["name"] for each in way.versions]
        offers += bool(easier)
    assert offers > 10
    assert {way.round for way in ways if way.rests} == {"Main, Three"}
    page, _ = write_door(door(session, LIBRARY, None), tmp_path)
    assert '<input type="checkbox" id="first-time">' in page.read_text()


def test_the_page_keeps_and_sends_nothing(tmp_path: Path) -> None:
    page, _ = write_door(door(session_of(PLANS[0]), LIBRARY, None), tmp_path)
    text = page.read_text()
    script = re.findall(r"<script>(.*?)</script>", text, re.DOTALL)[0]
    assert f"sha256-{b64encode(sha256(script.encode()).digest()).decode()}" in text  # or the browser refuses to run it
    assert "default-src 'none'" in text
    assert "form-action 'none'" in text
    assert not re.search(r"localStorage|sessionStorage|fetch\(|XMLHttp|cookie|https?://", text)
    assert "<a " not in text


# Public guidance: pregnancy, ACOG's older list (retold, CN34); bones, Giangregorio 2014 table 5 (CN30).
LISTS = {
    "Pregnant": ("bleeding", "before any effort", "dizziness", "headache", "chest pain", "weak muscles", "calf",
                 "contractions", "fluid", "less movement"),
    "Thin bones": ("bending", "turning the trunk to its limit", "planted feet"),
}  # fmt: skip


@pytest.mark.parametrize(("name", "signs"), LISTS.items())
def test_stop_signs_by_who_comes_hold_all_of_the_published_list(
    name: str, signs: tuple[str, ...], tmp_path: Path
) -> None:
    content = door(session_of(PLANS[0]), LIBRARY, None)
    (topic,) = [each for each in content.topics if each.name == name]
    assert [sign for sign in signs if sign not in topic.stop] == []
    page, paper = write_door(content, tmp_path)
    assert topic.stop in page.read_text()
    assert re.sub(r"\s", "", topic.stop) in re.sub(r"\s", "", PdfReader(paper).pages[0].extract_text())


def test_every_word_at_the_door_opens_questions() -> None:
    assert all(questions(name) for name in SAID)
    assert {one.limit for one in questions("Pregnant")} >= {Caution.LYING_BACK, Caution.FALL_RISK, Caution.HELD_BREATH}


def test_a_plan_cannot_break_out_of_the_page(tmp_path: Path) -> None:
    session = session_of(PLANS[0])
    object.__setattr__(session, "title", "</script><img src=x>")
    page, _ = write_door(door(session, LIBRARY, None), tmp_path)
    assert "<img src=x>" not in page.read_text()


def test_the_command_writes_both(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan, room = EXAMPLES / "boathouse-30.toml", EXAMPLES / "rooms" / "boat-bay.toml"
    assert main(["door", str(plan), "--room", str(room), "--out", str(tmp_path)]) == 0
    assert "286 have a way through all 24" in capsys.readouterr().out
    assert (tmp_path / "door.pdf").exists()
