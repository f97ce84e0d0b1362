"""The stage and the other screens: who leads and who looks on, the phone, a studio or a line that goes away."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from stage_steps import SMALL, left_s, open_stage, set_stage
from wire import Wire

SEEN = """async (ms) => {
  const { clock, show, draw } = window.stage;
  if (ms !== null) { clock().seek(ms); draw(); }
  else if (clock().playing) await new Promise(requestAnimationFrame); // what was drawn just now, not a busy while ago
  window.stage.figure()?.seek(0); // one moment of each motion
  const figure = document.getElementById("figure"), gone = figure.classList.contains("gone");
  const named = show.cellOf(show.spanAt(clock().nowMs()))?.name ?? "";
  return [named, document.getElementById("name").textContent, gone ? "" : figure.toDataURL()];
}"""
BOUTS = """() => {
  const work = window.stage.show.spans.filter((span) => span.kind === "work");
  return work.map((span) => (span.at_ms + span.end_ms) / 2);
}"""


@pytest.fixture
def wire(shared: Any) -> Iterator[Wire]:
    with Wire(shared.port) as made:
        yield made


def pictures_by_name(page: Any, session: str) -> dict[str, set[str]]:
    """Each move's name with the pictures that it has, with the studio there all along."""
    open_stage(page, session)
    found: dict[str, set[str]] = {}
    for ms in page.evaluate(BOUTS):
        named, words, picture = page.evaluate(SEEN, ms)
        assert words == named
        assert len(picture) > 3000
        found.setdefault(named, set()).add(picture)
    assert len(found) >= 3
    for name, pictures in found.items():
        assert not any(pictures & others for other, others in found.items() if other != name)
    return found


@pytest.mark.parametrize("drops", [6, pytest.param(100, marks=pytest.mark.slow)])
def test_however_often_the_line_drops_name_and_picture_belong_together(
    drops: int, stage: Any, session: str, wire: Wire, shared: Any
) -> None:
    known = pictures_by_name(stage, session)
    open_stage(stage, session.replace(shared.address, wire.address))
    stage.keyboard.press(" ")
    stage.wait_for_selector("#go >> text=Pause")
    bouts = stage.evaluate(BOUTS)
    for drop in range(drops):
        wire.down = drop % 2 == 1  # every second time it stays away
        wire.cut()
        named, words, picture = stage.evaluate(SEEN, bouts[drop % len(bouts)])
        assert words == named
        assert picture in known[named]
    wire.down = False
    stage.wait_for_selector("#line:empty", state="attached")
    assert not stage.locator("#elsewhere").is_visible()
    assert stage.evaluate("window.stage.clock().playing")


def test_a_picture_that_did_not_come_leaves_larger_words_and_comes_later(stage: Any, session: str) -> None:
    known = pictures_by_name(stage, session)
    missing = stage.evaluate("window.stage.show.cells.at(-1).figure")
    stage.route(f"**/stage/motion/{missing}?*", lambda route: route.abort())
    stage.goto(f"{session}/stage")
    stage.wait_for_selector("#line >> text=did not load")
    stage.keyboard.press(" ")
    stage.wait_for_selector("#go >> text=Pause")
    size = "() => parseFloat(getComputedStyle(document.getElementById('name')).fontSize)"
    *before, last = stage.evaluate(BOUTS)
    assert stage.evaluate(SEEN, before[0])[2]
    small = stage.evaluate(size)
    named, words, picture = stage.evaluate(SEEN, last)
    assert (words, picture) == (named, "")
    assert stage.evaluate(size) > 1.3 * small
    stage.unroute(f"**/stage/motion/{missing}?*")
    stage.wait_for_selector("#figure:not(.gone)")
    assert stage.evaluate(SEEN, last)[2] in known[named]


AT_START = (
    "(({ x, y }) => document.elementFromPoint(x + 9, y + 9).id)(document.getElementById('go').getBoundingClientRect())"
)


def test_no_press_is_lost_before_the_session_is_here(stage: Any, session: str) -> None:
    held: list[Any] = []
    stage.route("**/stage/run-sheet.json?*", lambda route: held.append(route))
    stage.goto(f"{session}/stage")
    stage.wait_for_selector("#line >> text=The session is loading.")
    assert stage.evaluate(AT_START) != "go"
    held[0].continue_()
    stage.locator("#go").click()  # waits until it can be pressed
    stage.wait_for_selector("#go >> text=Pause")


def test_start_waits_for_the_pictures_or_goes_without(stage: Any, session: str) -> None:
    held: list[Any] = []

    def hold(route: Any) -> None:
        held.append(route)

    stage.route("**/stage/motion/**", hold)
    stage.goto(f"{session}/stage")
    stage.wait_for_selector("#line >> text=Pictures: ")
    stage.keyboard.press(" ")
    stage.wait_for_selector("#line >> text=It starts once all the pictures have loaded: ")
    assert not stage.evaluate("window.stage.clock().playing")
    for route in held:
        route.continue_()
    stage.unroute("**/stage/motion/**")
    stage.wait_for_selector("#go >> text=Pause")
    stage.wait_for_selector("#line:empty", state="attached")
    held.clear()
    stage.route("**/stage/motion/**", hold)
    stage.goto(f"{session}/lead")  # a stage that runs would write again what is cleared
    stage.evaluate("localStorage.clear()")
    stage.goto(f"{session}/stage")
    stage.locator("#go").click()
    stage.get_by_role("button", name="Start without them").click()
    stage.wait_for_selector("#go >> text=Pause")
    assert not stage.get_by_role("button", name="Start without them").is_visible()
    for route in held:
        route.abort()


def test_a_second_stage_asks_before_it_leads(stage: Any, shared: Any, tmp_path: Path) -> None:
    plan = tmp_path / "cuts.toml"
    plan.write_text(SMALL.read_text(encoding="utf-8").replace("[who]", 'cut_order = ["Main/Two/bridge"]\n\n[who]', 1))
    session = set_stage(stage, shared.address, plan)
    open_stage(stage, session)
    stage.keyboard.press(" ")
    stage.wait_for_selector("#go >> text=Pause")
    stage.keyboard.press("ArrowRight")
    stage.keyboard.press("t")
    stage.keyboard.press("t")
    other = stage.context.new_page()
    open_stage(other, session)
    other.wait_for_selector("#elsewhere[open] >> text=that one leads")
    assert not other.locator("#resume").is_visible()
    assert stage.evaluate("window.stage.clock().playing")
    other.get_by_role("button", name="Just watch").click()
    other.wait_for_timeout(2500)
    here, there = (page.evaluate(SEEN, None) for page in (stage, other))
    assert here[:2] == there[:2]
    assert abs(left_s(stage) - left_s(other)) <= 1
    assert other.evaluate("window.stage.show.gone") == stage.evaluate("window.stage.show.gone") != []
    other.keyboard.press("ArrowRight")  # it only looks on
    assert abs(left_s(stage) - left_s(other)) <= 1
    other.locator("#over").click()
    other.wait_for_selector("#go >> text=Pause")
    stage.wait_for_selector("#elsewhere[open] >> text=Another screen has taken over")
    assert stage.locator("#over").is_visible()
    assert not stage.locator("#go").is_visible()
    assert abs(left_s(stage) - left_s(other)) <= 1
    other.close()
    stage.wait_for_selector("#elsewhere[open] >> text=has stopped answering")
    stood = left_s(stage)
    stage.get_by_role("button", name="Take it back here").click()
    stage.wait_for_selector("#go >> text=Pause")
    assert stood - 3 <= left_s(stage) <= stood
    assert stage.evaluate("window.stage.show.gone.length") > 0


def test_of_two_stages_one_alone_speaks(stage: Any, session: str) -> None:
    open_stage(stage, session, "?speed=60")
    stage.keyboard.press(" ")
    stage.wait_for_selector("#go >> text=Pause")
    stage.keyboard.press(" ")
    stage.wait_for_selector("#paused[open]")
    other = stage.context.new_page()
    open_stage(other, session)
    other.locator("#take").click()
    stage.wait_for_selector("#elsewhere[open]")
    prompter = stage.context.new_page()
    said: list[str] = []
    prompter.on("websocket", lambda line: line.on("framereceived", lambda one: said.append(str(one))))
    prompter.goto(f"{session}/prompter")
    prompter.wait_for_timeout(5000)
    places = [re.search(r'"ms":(\d+)', each).group(1) for each in said if '"state"' in each]
    assert len(places) > 2
    assert len(set(places)) == 1
    assert other.locator("#go").inner_text() == "Go on"
    assert other.locator("#paused").is_visible()
    assert not other.locator("#resume").is_visible()  # nothing was broken off


@pytest.mark.slow
def test_a_phone_that_is_paired_stays_so_over_a_restart_and_says_what_to_do_when_it_is_not(
    own_page: Any, served: Any
) -> None:
    session = set_stage(own_page, served.address, SMALL)
    code = own_page.locator("#code").inner_text()
    stage, phone = own_page.context.new_page(), own_page.context.new_page()
    open_stage(stage, session)
    phone.set_viewport_size({"width": 390, "height": 844})
    phone.goto(f"{session}/remote")
    phone.locator("#code").fill("000000" if code != "000000" else "000001")
    phone.get_by_role("button", name="Pair").click()
    phone.wait_for_selector("#line >> text=That is not the code. Look at the Lead screen. In 1 s you can try again.")
    phone.locator("#code").fill(code)
    phone.wait_for_timeout(1100)
    phone.get_by_role("button", name="Pair").click()
    phone.get_by_role("button", name="Next set").wait_for()
    served.kill()
    phone.wait_for_selector("#line >> text=The studio can't be reached")
    served.start()
    phone.wait_for_selector("#line >> text=left.")
    before = left_s(stage)
    phone.get_by_role("button", name="Next set").click()
    stage.wait_for_timeout(500)
    assert left_s(stage) < before
    phone.reload()
    phone.wait_for_selector("#line >> text=left.")
    own_page.goto(f"{session}/lead")
    assert own_page.locator("#code").inner_text() == code
    own_page.get_by_role("button", name="Unpair all").click()
    phone.wait_for_selector("#line >> text=This phone is not paired. Type the code that the Lead screen shows now.")
    assert not phone.get_by_role("button", name="Next set").is_visible()
    own_page.wait_for_selector(f"#code:not(:text-is('{code}'))")


@pytest.mark.slow
def test_a_studio_killed_in_a_bout_stops_no_show_and_no_picture_is_another_move_s(own_page: Any, served: Any) -> None:
    session = set_stage(own_page, served.address, SMALL)
    stage = own_page
    known = pictures_by_name(stage, session)
    open_stage(stage, session, "?speed=10")
    stage.keyboard.press(" ")
    prompter = stage.context.new_page()
    prompter.goto(f"{session}/prompter")
    prompter.wait_for_selector("#coming li")
    stage.wait_for_selector("#of:text-matches('^of ')")  # in a bout
    served.kill()
    stage.wait_for_selector("text=the stage goes on")
    before, seen = left_s(stage), set()
    for _ in range(60):
        named, words, picture = stage.evaluate(SEEN, None)
        if "Well done" in words:  # a busy machine comes to the end in sixty looks
            break
        if named:
            assert named in words
            assert not picture or picture in known[named]
            seen.add(named)
        stage.wait_for_timeout(250)
    assert len(seen) > 1
    assert left_s(stage) < before
    served.start()
    prompter.wait_for_selector("#line >> text=left.")
    stage.wait_for_selector("#line:empty", state="attached")
