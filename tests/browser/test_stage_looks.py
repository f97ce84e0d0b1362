"""What is seen and heard of the stage: all in sight at any moment, from eight metres, the right side, beeps on time."""

from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from stage_steps import SIZES, open_stage, seek
from waits import until

from everyrung.pipeline import Options, run

# axe leaves target size out unless asked; of what passes it would else bring every element of a page.
RULES = {"rules": {"target-size": {"enabled": True}}, "resultTypes": ["violations"]}
BUSY = """() => setInterval(() => { const until = performance.now() + 250; while (performance.now() < until); }, 300)"""
TOO_SMALL = """() => [...document.querySelectorAll(".controls button")]
  .filter((each) => each.checkVisibility()).map((each) => each.getBoundingClientRect())
  .filter((box) => box.height < 44 || box.width < 44).length"""
HEARD = """() => {
  window.heard = [];
  const start = OscillatorNode.prototype.start;
  OscillatorNode.prototype.start = function (when) {
    window.heard.push([when, this.context.currentTime]);
    return start.call(this, when);
  };
}"""


INK = """() => {
  const figure = document.getElementById("figure"), { width, height } = figure;
  const { data } = figure.getContext("2d").getImageData(0, 0, width, height);
  const ink = (x, y) => Number(data[4 * (y * width + x) + 3] > 128);
  return Array.from({ length: height }, (_, y) => Array.from({ length: width }, (_, x) => ink(x, y)).join(""));
}"""


@pytest.mark.slow
def test_the_figure_works_on_the_side_that_is_named(stage: Any, boathouse: str) -> None:
    open_stage(stage, boathouse)
    found = {}
    for side in ("left", "right"):
        seek(stage, "work", side, 10_000)
        stage.evaluate("window.stage.draw()")
        stage.wait_for_timeout(500)
        found[side] = stage.evaluate(INK)
    turned = [row[::-1] for row in found["left"]]
    assert unlike(turned, found["right"]) < 0.2  # the hatch of the floor is not turned
    assert unlike(found["left"], found["right"]) > 0.5


def unlike(one: list[str], two: list[str]) -> float:
    """Points that only one of two pictures has, as a share of the ink."""
    off = sum(a != b for here, there in zip(one, two, strict=True) for a, b in zip(here, there, strict=True))
    return off / sum(row.count("1") for row in one)


WRONG = """() => {
  const wrong = [], by = (id) => document.getElementById(id), place = (id) => by(id).getBoundingClientRect();
  for (const id of ["name", "side", "kit", "next", "cue", "strip", "go", "card", "full"]) {
    const { right, bottom } = place(id);
    if (right > innerWidth + 1 || bottom > innerHeight + 1) wrong.push(`${id} is out of sight`);
  }
  for (const id of ["name", "side", "kit", "next", "cue", "ladder", "block", "owed"]) {
    const { scrollHeight, clientHeight, scrollWidth, clientWidth } = by(id);
    if (scrollHeight > clientHeight + 1 || scrollWidth > clientWidth + 1) wrong.push(`${id} is cut off`);
  }
  const names = parseFloat(getComputedStyle(by("ladder")).fontSize);
  const least = (innerWidth < 800 ? 0.019 : 0.033) * innerHeight;
  if (by("ladder").firstChild && names < least) wrong.push("the ladder is too small");
  return wrong;
}"""
# Both weights of the family: a fallback's buttons are wider.
FONTS = "Promise.all([400, 600].map((weight) => document.fonts.load(`${weight} 20px 'Hanken Grotesk'`)))"
PLACES = """() => ["name", "figure", "cue", "strip", "ladder", "go", "back", "skip", "full"].map((id) => {
  const { x, y, width, height } = document.getElementById(id).getBoundingClientRect();
  return [id, x, y, width, height].join(" ");
}).join()"""


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
def test_all_is_in_sight_and_nothing_moves_at_any_moment(stage: Any, boathouse: str, size: dict[str, int]) -> None:
    stage.set_viewport_size(size)
    open_stage(stage, boathouse)
    stage.evaluate(FONTS)
    stage.wait_for_timeout(500)
    places = {stage.evaluate(PLACES)}
    for begins, ends in stage.evaluate("window.stage.show.spans.map((span) => [span.at_ms, span.end_ms])"):
        for ms in (begins + 100, ends - 3000):
            stage.evaluate("(ms) => { window.stage.clock().seek(ms); window.stage.draw(); }", max(ms, begins))
            assert not stage.evaluate(WRONG), ms
            places.add(stage.evaluate(PLACES))
    stage.evaluate("window.stage.clock().seek(700_000)")
    for key in ("t", "t", "ArrowRight"):
        stage.keyboard.press(key)
        places.add(stage.evaluate(PLACES))
        assert not stage.evaluate(WRONG), key
    assert len(places) == 1


# The height of a capital as a part of the screen's, by place: the least over every moment that something is said in.
LETTERS = """() => {
  const { show, clock, draw } = window.stage, pen = document.createElement("canvas").getContext("2d"), least = {};
  const capital = (box) => {
    const { fontWeight, fontSize, fontFamily } = getComputedStyle(box);
    pen.font = `${fontWeight} ${fontSize} ${fontFamily}`;
    return pen.measureText("H").actualBoundingBoxAscent / innerHeight;
  };
  const script = show.sheet.variants[0].script["first time"].map(([at]) => at + 50);
  for (const ms of [...script, ...show.spans.flatMap((span) => [span.at_ms + 100, span.end_ms - 3000])]) {
    clock().seek(ms);
    draw();
    for (const id of ["cue", "kit", "next", "side", "count", "name"]) {
      const box = document.getElementById(id);
      if (box.textContent) least[id] = Math.min(least[id] ?? 1, capital(box));
    }
  }
  return least;
}"""
TWENTIETH = (
    0.05  # of the height: 30 mm on a screen 60 cm high, which at 8 m is one part in 270 (common practice, no source)
)
PX = 1  # letters are measured in whole ones
FAR = [{"width": 1920, "height": 1080}, {"width": 1280, "height": 720}, {"width": 1280, "height": 800}]


@pytest.mark.parametrize("size", FAR)
def test_what_is_said_held_and_next_is_read_at_eight_metres(stage: Any, session: str, size: dict[str, int]) -> None:
    letters_of(stage, session, size)


@pytest.mark.slow
@pytest.mark.parametrize("size", FAR)
def test_a_whole_evening_is_read_at_eight_metres(stage: Any, boathouse: str, size: dict[str, int]) -> None:
    letters_of(stage, boathouse, size)


def letters_of(stage: Any, session: str, size: dict[str, int]) -> None:
    stage.set_viewport_size(size)
    open_stage(stage, session)
    least = stage.evaluate(LETTERS)
    assert {"cue", "kit", "next", "count", "name"} <= set(least)
    px = PX / size["height"]
    assert min(least[place] for place in least if place not in ("count", "name")) >= TWENTIETH - px, least
    assert least["count"] >= 0.22, least
    assert least["name"] >= 0.04 - px, least
    box = stage.locator(".controls").bounding_box()
    assert box["y"] + box["height"] <= size["height"] + 1


# The same of what is said, with other words in the place of one cue's, over all the time that it is said in.
SAID = """(texts) => {
  const { show, clock, draw } = window.stage, pen = document.createElement("canvas").getContext("2d");
  const box = document.getElementById("cue"), script = show.sheet.variants[0].script["first time"];
  const [from, until, , place] = script.reduce((one, other) => (other[1] - other[0] > one[1] - one[0] ? other : one));
  return texts.map((text) => {
    show.sheet.words[place] = text;
    const found = [0, 0.25, 0.5, 0.75, 0.99].map((share) => {
      clock().seek(from + share * (until - from));
      draw();
      const { fontWeight, fontSize, fontFamily } = getComputedStyle(box);
      pen.font = `${fontWeight} ${fontSize} ${fontFamily}`;
      const capital = pen.measureText("H").actualBoundingBoxAscent / innerHeight;
      return [capital, box.scrollHeight <= box.clientHeight + 1, box.textContent];
    });
    const least = Math.min(...found.map(([capital]) => capital));
    return [least, found.every(([, fits]) => fits), found.map((each) => each[2])];
  });
}"""


@pytest.mark.slow  # the words of twelve plans are placed first
@pytest.mark.parametrize("size", FAR)
def test_however_long_what_is_said_is_read_at_eight_metres(
    stage: Any, session: str, said_in_examples: list[str], size: dict[str, int]
) -> None:
    stage.set_viewport_size(size)
    open_stage(stage, session)
    assert max(map(len, said_in_examples)) > 120
    for text, (capital, fits, seen) in zip(said_in_examples, stage.evaluate(SAID, said_in_examples), strict=True):
        assert capital >= TWENTIETH - PX / size["height"], (text, capital)
        assert fits, text
        assert " ".join(dict.fromkeys(seen)) == text


@pytest.fixture(scope="module")
def said_in_examples() -> list[str]:
    plans = sorted((Path(__file__).parents[2] / "examples").glob("*-[0-9][0-9].toml"))
    tracks = [track for plan in plans for track in run(plan, options=Options(cues=True)).cues]
    return sorted({cue.text for track in tracks for cue in track.said})


# A set with a load in one hand, before one with a long name and a load.
HELD = """(move) => {
  const { show, clock, draw } = window.stage, span = show.spans.find((each) => each.work);
  Object.assign(span.work, { load: "10 lb", hand: "right" });
  Object.assign(show.cellOf(show.nextSet(span.at_ms)), { move, load: "10 lb" });
  clock().seek(span.at_ms + 100);
  draw();
  return ["kit", "next"].map((id) => document.getElementById(id).textContent);
}"""


@pytest.mark.parametrize(
    ("move", "words"), [("Ball overhead lift", "Ball overhead lift"), ("Hip hinge", "Hip hinge, 10 lb")]
)
def test_the_load_of_what_is_next_gives_way_before_its_letters_get_small(
    stage: Any, session: str, move: str, words: str
) -> None:
    stage.set_viewport_size(FAR[2])
    open_stage(stage, session)
    assert stage.evaluate(HELD, move) == ["10 lb, right hand", f"Next: {words}"]
    assert min(stage.evaluate(LETTERS)[place] for place in ("kit", "next")) >= TWENTIETH - PX / FAR[2]["height"]


def test_the_ladder_marks_where_we_are_and_says_what_is_the_same_once(stage: Any, session: str) -> None:
    ladders_of(stage, session)


@pytest.mark.slow
def test_the_ladders_of_a_whole_evening_mark_where_we_are(stage: Any, boathouse: str) -> None:
    ladders_of(stage, boathouse)


def ladders_of(stage: Any, session: str) -> None:
    open_stage(stage, session)
    found = stage.evaluate("""() => {
      const { show, clock, draw } = window.stage, ladder = document.getElementById("ladder");
      return show.spans.filter((span) => span.work).map((span) => {
        clock().seek(span.at_ms);
        draw();
        const versions = new Set(show.cellOf(span).rungs.map((rung) => `${rung.name} ${rung.bouts[0].load}`));
        return [versions.size, ladder.children.length, ladder.querySelectorAll("[aria-current]").length];
      });
    }""")
    assert any(versions > 1 for versions, *_ in found)
    for versions, steps, here in found:
        assert (steps, here) in ([(versions, 1)] if versions > 1 else [(0, 0), (1, 1)])


def test_beeps_keep_their_time_while_the_page_is_busy(stage: Any, session: str) -> None:
    """Scheduled on the audio clock: each within 5 ms of the plan, with the page busy for 250 ms at a time."""
    stage.add_init_script(f"({HEARD})()")
    open_stage(stage, session, "?speed=4")
    stage.evaluate("window.stage.clock().seek(window.stage.show.beeps[0][0] - 8000)")
    stage.keyboard.press(" ")
    stage.evaluate(f"({BUSY})()")
    stage.wait_for_timeout(9000)
    heard = stage.evaluate("window.heard")
    beeps = stage.evaluate("window.stage.show.beeps.map(([ms]) => ms)")[: len(heard)]
    assert len(heard) >= 8
    off = [when - ms / 4000 for (when, _), ms in zip(heard, beeps, strict=True)]
    assert max(off) - min(off) < 0.005
    assert all(when > now for when, now in heard)


@pytest.mark.parametrize("theme", ["light", pytest.param("dark", marks=pytest.mark.slow)])
def test_axe_finds_nothing_on_stage_prompter_remote_and_lead(stage: Any, session: str, theme: str) -> None:
    stage.emulate_media(color_scheme=theme)
    wrong = []
    for path in ("/lead", "/stage", "/prompter", "/remote"):
        stage.goto(session + path)
        stage.wait_for_timeout(400)
        found = Axe().run(stage, options=RULES).response["violations"]
        wrong += [(path, each["id"], node["target"]) for each in found for node in each["nodes"]]
        assert stage.evaluate(TOO_SMALL) == 0, path
    open_stage(stage, session)
    stage.keyboard.press("e")
    stage.wait_for_selector("#emergency[open]")
    wrong += [("card", each["id"]) for each in Axe().run(stage).response["violations"]]
    assert not wrong


@pytest.mark.slow
def test_without_a_sound_card_the_stage_goes_by_the_page_s_own_time(stage: Any, session: str) -> None:
    """A browser without a sound device may wait for one for ever, and the show with it."""
    stage.add_init_script(
        "AudioContext.prototype.resume = () => new Promise(() => {});"
        "Object.defineProperty(AudioContext.prototype, 'state', { get: () => 'suspended' });"
        "Object.defineProperty(AudioContext.prototype, 'currentTime', { get: () => 0 });"
    )
    open_stage(stage, session)
    stage.keyboard.press(" ")
    until(stage, "window.stage.clock().nowMs() > 500")
    assert stage.locator("#sound").inner_text() == "No sound"
    assert stage.locator("#sound").is_disabled()
