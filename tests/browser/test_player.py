"""The player in a real browser, from a file and without network: it plays, keeps time, and shows what suits."""

import json
import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from everyrung.moves.library import standard_library
from everyrung.people.history import read_history
from everyrung.pipeline import Options, run
from everyrung.publish.figure.frames import rung_frames
from everyrung.publish.player.write import write_player
from everyrung.runsheet.build import figure_key
from everyrung.store.cache import default_cache

DEMO = Path(__file__).parents[2] / "examples" / "boathouse-30.toml"
OFF_MS = 5.0  # what a beep may be away from the plan, before the ear hears two where there is one
LEAST_PX = 44  # WCAG 2.2, 2.5.5 Target Size (Enhanced)
# axe leaves target size out unless asked; of what passes it would else bring every element of a page.
RULES = {"rules": {"target-size": {"enabled": True}}, "resultTypes": ["violations"]}
RECORD = """
window.beeped = [];
const start = OscillatorNode.prototype.start;
OscillatorNode.prototype.start = function (when) {
  window.beeped.push({ when, now: this.context.currentTime, hz: this.frequency.value });
  return start.call(this, when);
};"""
BLOCK = """() => { const block = () => { const until = performance.now() + 250; while (performance.now() < until); };
  window.blocking = setInterval(block, 300); }"""
SMALL = """(least) => [...document.querySelectorAll("button, select, summary, input, textarea, .jump a, #to-read")]
  .filter((each) => each.checkVisibility())
  .map((each) => [each.outerHTML.slice(0, 90), (each.closest("label") || each).getBoundingClientRect()])
  .filter(([, box]) => box.width < least || box.height < least).map(([words]) => words)"""


@pytest.fixture(scope="module")
def player(tmp_path_factory: pytest.TempPathFactory, chromium: Any) -> Path:
    del chromium  # skipped where there is none
    path = tmp_path_factory.mktemp("player") / "player.html"
    done = run(DEMO, options=Options(drawings=True, cues=True, cache=default_cache()))
    cell = list(done.session.cells)[6]
    load = cell.bouts[0].load
    moving = rung_frames(cell.rung, standard_library(), default_cache(), load=load)
    write_player(done, path, {figure_key(cell.rung, load): moving})
    return path


@pytest.fixture(scope="module")
def data(player: Path) -> Any:
    found = re.search(r'id="data">(.*?)</script>', player.read_text(encoding="utf-8"), re.DOTALL)
    assert found
    both = json.loads(found[1])
    return {**both["extras"], **both["sheet"], **both["sheet"]["variants"][0]}


def begins_ms(data: Any, number: int) -> int:
    """Where the first span of a set begins."""
    return int(next(span["at_ms"] for span in data["spans"] if span["cell"] == number - 1))


def ready_ms(data: Any, number: int) -> int:
    """Where people get into position for the first bout of a set."""
    mine = [span for span in data["spans"] if span["cell"] == number - 1]
    work = next(at for at, span in enumerate(mine) if span["kind"] == "work")
    return int(next(span["at_ms"] for span in reversed(mine[:work]) if span["kind"] == "getting into position"))


def place_of(rungs: list[Any], kind: str) -> int:
    """A rung's place in the list of choices, where those that are alike stand once."""
    faces = list(dict.fromkeys(json.dumps({**rung, "kind": None}) for rung in rungs))
    return faces.index(json.dumps({**next(rung for rung in rungs if rung["kind"] == kind), "kind": None}))


@pytest.fixture
def page(player: Path, chromium: Any) -> Iterator[Any]:
    """A phone without network; its console must stay silent and nothing but the file be asked for."""
    context = chromium.new_context(viewport={"width": 390, "height": 800}, reduced_motion="reduce", offline=True)
    made = context.new_page()
    wrong: list[str] = []
    made.on("pageerror", lambda error: wrong.append(str(error)))
    made.on("console", lambda said: wrong.append(said.text) if said.type in ("error", "warning") else None)
    made.on("request", lambda asked: None if asked.url.startswith(("file:", "data:")) else wrong.append(asked.url))
    made.add_init_script(RECORD)
    made.add_init_script(
        "document.addEventListener('securitypolicyviolation', (e) => console.error(e.violatedDirective));"
    )
    made.goto(player.as_uri())
    yield made
    assert not wrong
    context.close()


def until(page: Any, true: str, seconds: float = 12.0) -> None:
    """Waits as a person does: the page's policy lets no waiting script in."""
    for _ in range(int(seconds * 50)):
        if page.evaluate(true):
            return
        page.wait_for_timeout(20)
    raise AssertionError(true)


def shows(part: str, words: str) -> str:
    return f"document.getElementById('{part}').textContent === '{words}'"


def at_ms(page: Any) -> int:
    return int(page.locator("#play").get_attribute("data-ms"))


def start_at_set(page: Any, data: Any, number: int) -> Any:
    """Plays the set from getting into position."""
    begin_set(page, data, number)
    page.locator("#again").click()
    return data["cells"][number - 1]


def test_without_a_sound_card_it_plays_by_the_page_s_own_time(page: Any) -> None:
    """Firefox without a sound device waits for one for ever; seen on 30 November 2026."""
    page.add_init_script(
        "AudioContext.prototype.resume = () => new Promise(() => {});"
        "Object.defineProperty(AudioContext.prototype, 'state', { get: () => 'suspended' });"
        "Object.defineProperty(AudioContext.prototype, 'currentTime', { get: () => 0 });"
    )
    page.reload()
    page.locator("#start").click()
    before = page.locator("#left").inner_text()
    until(page, f"document.getElementById('left').textContent !== {before!r}")
    assert page.locator("#pause").inner_text() == "Pause"
    assert page.locator("#beeps").is_disabled()


def begin_set(page: Any, data: Any, number: int) -> None:
    """Plays the set from its first word."""
    page.locator("#start").click()
    cells = [span["cell"] for span in data["spans"]]
    stops = [cells[0], *(after for before, after in pairwise(cells) if before != after)]
    for _ in range(stops.index(number - 1)):
        page.locator("#on").click()


def test_it_starts_counts_and_stops_where_it_is(page: Any, data: Any) -> None:
    each = start_at_set(page, data, 7)
    assert page.locator("#move").text_content() == each["rungs"][0]["name"]
    until(page, shows("count", "5"))
    until(page, shows("unit", "of 8"))
    assert page.locator("#count").text_content() == "1"
    until(page, shows("count", "2"))
    page.locator("#pause").click()
    assert page.locator("#pause").text_content() == "Go on"
    page.wait_for_timeout(200)
    stood, left = at_ms(page), page.locator("#left").text_content()
    page.wait_for_timeout(1_500)
    assert at_ms(page) == stood
    assert page.locator("#left").text_content() == left
    page.locator("#pause").click()
    until(page, f"Number(document.getElementById('play').dataset.ms) > {stood + 500}")


@pytest.mark.slow
def test_repeat_back_and_next_go_to_where_sets_start(page: Any, data: Any) -> None:
    start_at_set(page, data, 8)
    page.wait_for_timeout(1_500)
    page.locator("#again").click()
    assert 0 <= at_ms(page) - ready_ms(data, 8) < 500
    page.locator("#back").click()
    assert 0 <= at_ms(page) - begins_ms(data, 7) < 500
    page.locator("#on").click()
    assert 0 <= at_ms(page) - begins_ms(data, 8) < 500


def test_a_figure_moves_while_the_clock_does_and_stands_with_it(player: Path, chromium: Any, data: Any) -> None:
    context = chromium.new_context(viewport={"width": 390, "height": 800}, offline=True)
    page = context.new_page()
    page.goto(player.as_uri())
    start_at_set(page, data, 7)
    until(page, "document.querySelector('.led canvas, .own canvas') !== null")
    seen = "document.querySelector('.led canvas, .own canvas').toDataURL()"
    before = page.evaluate(seen)
    page.wait_for_timeout(900)
    assert page.evaluate(seen) != before
    page.locator("#pause").click()
    until(page, shows("pause", "Go on"))
    stood = page.evaluate(seen)
    page.wait_for_timeout(500)
    assert page.evaluate(seen) == stood
    context.close()


def test_it_can_be_led_by_keys_alone(page: Any) -> None:
    page.locator('input[value="regular"]').focus()
    page.keyboard.press("ArrowLeft")
    assert page.locator('input[value="new"]').is_checked()
    page.locator("#start").focus()
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "pause"
    page.keyboard.press("Space")
    until(page, shows("pause", "Go on"))
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert at_ms(page) > 10_000


def test_new_without_kit_gets_easier_or_no_kit_versions_and_rests_in_no_round(page: Any, data: Any) -> None:
    page.locator('input[value="new"]').check()
    kinds = page.evaluate("[...document.querySelectorAll('#sets .set')].map((each) => each.dataset.kinds)")
    assert len(kinds) == len(data["cells"])
    assert "rest" not in kinds  # the third round, which first-timers are not led through, has an easier version too
    for kind, each in zip(kinds, data["cells"], strict=True):
        first = kind.split(", ")[0].replace(" ", "-")
        rung = next(rung for rung in each["rungs"] if (rung["kind"] or "as-led") == first)
        assert {"easier", "no kit"} & set(kind.split(", "))
        assert not {item for item, _ in rung["kit"]} & set(data["kit"])
    late = next(at for at, each in enumerate(data["cells"]) if each["newcomers_rest"])
    assert "Half as many will do" in page.locator("#sets .set").nth(late).text_content()


@pytest.mark.parametrize("size", [{"width": 390, "height": 844}, {"width": 360, "height": 640}])
def test_the_first_screen_asks_three_things_and_start_is_in_sight(page: Any, size: dict[str, int]) -> None:
    page.set_viewport_size(size)
    assert page.locator("#before :is(legend, .stature > label)").count() <= 3
    box = page.locator("#start").bounding_box()
    assert box["y"] + box["height"] <= size["height"]
    page.locator("#start").click()
    until(page, "Number(document.getElementById('play').dataset.ms) > 0")


@pytest.mark.parametrize("width", [320, 390])
def test_pictures_are_half_a_phone_wide(page: Any, data: Any, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 700})
    start_at_set(page, data, 7)
    assert page.locator(".own .picture").bounding_box()["width"] >= width / 2


def test_the_text_marks_ones_own_version_and_any_set_is_a_press_away(page: Any, data: Any) -> None:
    page.locator('input[value="new"]').check()
    page.locator("#read summary").click()
    marked = page.locator("#read .versions .mine").all_text_contents()
    assert len(marked) == len(data["cells"])
    assert all(words.startswith("Yours: ") for words in marked)
    page.locator('.jump a[href="#set-17"]').click()
    assert abs(page.locator("#set-17").bounding_box()["y"]) < 100


@pytest.mark.slow  # a set is done to its end, 45 s
def test_how_many_were_left_lifts_the_next_round_and_is_given_back_only_by_a_press(page: Any, data: Any) -> None:
    page.locator('input[value="new"]').check()
    each = start_at_set(page, data, 7)
    until(page, "!document.getElementById('ask').hidden", 90)
    assert not page.locator("#back-box").is_visible()
    page.get_by_role("button", name="4 or more").click()
    assert not page.locator("#ask").is_visible()
    page.locator("#stop").click()
    page.locator("#yours summary").click()
    again = next(at for at, one in enumerate(data["cells"]) if at > 6 and one["move"] == each["move"])
    assert page.locator("#sets .set").nth(again).get_attribute("data-kinds") in ("as led", "no kit")
    page.locator("#person").fill("Ilka")
    with page.expect_download() as saved:
        page.locator("#keep").click()
    rows = read_history(Path(saved.value.path()), standard_library()).records
    assert [(row.person, row.left, str(row.source)) for row in rows] == [("Ilka", 4, "player")]


def test_kit_and_level_choose_the_rung_that_suits(page: Any, data: Any) -> None:
    def kinds() -> str:
        return str(page.locator("#sets .set").nth(16).get_attribute("data-kinds"))

    assert kinds() == "no kit"  # set 17 is led with a ball and two dumbbells
    page.get_by_label("a pair of dumbbells").check()
    assert kinds() == "no kit"
    page.get_by_label("ball", exact=True).check()
    assert kinds() == "as led"
    page.locator('input[value="strong"]').check()
    assert kinds() == "harder"
    page.locator("#stature").fill("5 ft 5")
    row = next(row for row in data["balls"]["wall"] if row["to_cm"] >= 165)
    assert row["words"] in page.locator("#ball-words").text_content()
    assert f"ball of {row['sizes']}" in page.locator("#sets .set").nth(16).text_content()


def test_a_changed_choice_stays(page: Any, data: Any) -> None:
    rungs = data["cells"][6]["rungs"]
    harder = place_of(rungs, "harder")
    page.locator("#yours summary").click()
    page.locator('#sets [data-set="6"]').select_option(str(harder))
    page.locator('input[value="new"]').check()
    assert page.locator("#sets .set").nth(6).get_attribute("data-kinds") == "harder"
    begin_set(page, data, 7)
    assert page.locator(".own .name").text_content() == next(rung["name"] for rung in rungs if rung["kind"] == "harder")
    assert page.locator(".led .name").text_content() == rungs[0]["name"]
    until(page, "document.getElementById('said').textContent.startsWith('The leader: ')")  # names her version
    page.locator(".own select").select_option("-1")
    assert page.locator(".own .name").text_content() == "Rest this set"
    page.locator("#stop").click()
    assert page.locator("#sets .set").nth(6).get_attribute("data-kinds") == "rest"


def test_sides_are_told_in_words(page: Any, data: Any) -> None:
    start_at_set(page, data, 10)
    assert page.locator("#side").text_content() == "Your left side"
    assert "Your left side" in page.locator("#told").text_content()


@pytest.mark.parametrize(
    "blocked", [pytest.param(False, id="free", marks=pytest.mark.slow), pytest.param(True, id="blocked")]
)
def test_beeps_are_given_to_the_sound_card_ahead_and_on_time(page: Any, data: Any, blocked: bool) -> None:
    start_at_set(page, data, 8)
    page.evaluate("window.beeped.length = 0")
    page.locator("#again").click()
    if blocked:
        page.evaluate(BLOCK)
    page.wait_for_timeout(14_000)
    page.evaluate("clearInterval(window.blocking)")
    beeped = page.evaluate("window.beeped")
    planned = [beep for beep in data["beeps"] if beep[0] >= ready_ms(data, 8)][: len(beeped)]
    assert len(beeped) >= 5
    assert [one["hz"] for one in beeped] == [data["tones"][kind][0] for _, kind in planned]
    first_ms = beeped[0]["when"] * 1000 - planned[0][0]
    assert all(abs(one["when"] * 1000 - at - first_ms) < OFF_MS for one, (at, _) in zip(beeped, planned, strict=True))
    assert all(one["when"] - one["now"] >= 0.3 for one in beeped)


@pytest.mark.slow
def test_a_jump_silences_what_was_scheduled_and_beeps_follow_it(page: Any, data: Any) -> None:
    start_at_set(page, data, 8)
    page.wait_for_timeout(3_500)
    page.evaluate("window.beeped.length = 0")
    page.locator("#again").click()
    until(page, "window.beeped.length > 2")
    hz = [data["tones"][kind][0] for at, kind in data["beeps"] if at >= ready_ms(data, 8)]
    assert [one["hz"] for one in page.evaluate("window.beeped")] == hz[: page.evaluate("window.beeped.length")]


@pytest.mark.parametrize("theme", ["light", pytest.param("dark", marks=pytest.mark.slow)])
def test_axe_finds_nothing_before_during_and_in_the_text(page: Any, data: Any, theme: str) -> None:
    page.emulate_media(color_scheme=theme)
    page.locator("#stature").fill("165 cm")
    wrong = [(each["id"], node["target"]) for each in _axe(page) for node in each["nodes"]]
    start_at_set(page, data, 10)
    page.locator("#read summary").click()
    wrong += [(each["id"], node["target"]) for each in _axe(page) for node in each["nodes"]]
    assert not wrong


def _axe(page: Any) -> Any:
    return Axe().run(page, options=RULES).response["violations"]


def test_nothing_is_wider_than_a_narrow_phone_or_too_small_to_touch(page: Any, data: Any) -> None:
    page.set_viewport_size({"width": 320, "height": 640})

    def fits() -> bool:
        wide = page.evaluate("document.documentElement.scrollWidth")
        return wide <= 320 and page.evaluate(SMALL, LEAST_PX) == []

    page.locator("#stature").fill("165 cm")
    assert fits()
    start_at_set(page, data, 15)
    page.locator("#read summary").click()
    assert fits()


def test_what_was_said_of_oneself_is_kept_nowhere(page: Any) -> None:
    page.locator("#stature").fill("171 cm")
    page.locator('input[value="strong"]').check()
    page.reload()
    assert page.locator("#stature").input_value() == ""
    assert page.locator('input[value="regular"]').is_checked()
    assert page.evaluate("localStorage.length + sessionStorage.length") == 0
