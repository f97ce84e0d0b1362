"""The moving figures in a real browser: what is drawn, when it moves, when it stands still, and how it is turned."""

import json
import threading
from collections.abc import Callable, Iterator
from functools import cache
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from everyrung.moves.library import standard_library
from everyrung.publish.figure.frames import rung_frames

STATIC = Path(__file__).parents[2] / "src" / "everyrung" / "static"
TOKENS = Path(__file__).parents[2] / "src" / "everyrung" / "publish" / "templates" / "tokens.css"
pytestmark = pytest.mark.skipif(
    not (STATIC / "vendor" / "three.module.min.js").is_file(), reason="vendor scripts not built"
)
POLICY = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'"
CSS = "body { margin: 0; background: var(--paper) } canvas.f { width: 300px; height: 240px } .o { width: 420px }"
KINDS = {".js": "text/javascript", ".css": "text/css", ".json": "application/json", ".html": "text/html"}
MOVING = '<canvas class="f" id="f" data-motion-url="/squat/base.json"></canvas>'
STILL = '<canvas class="f" id="f" data-motion-url="/squat/base.json" data-playing="false"></canvas>'
ORBIT = '<div class="o" id="o" data-orbit-url="/squat/base.json" data-playing="false"></div>'
INK = """(id) => {
  const canvas = document.getElementById(id), { width, height } = canvas;
  const bytes = canvas.getContext("2d").getImageData(0, 0, width, height).data;
  let count = 0, across = 0, low = 0, left = width, right = 0;
  for (let at = 0; at < bytes.length; at += 4) {
    if (bytes[at + 3] < 200 || bytes[at] > 90) continue;
    const x = (at / 4) % width, y = Math.floor(at / 4 / width);
    count++; across += x; low = Math.max(low, y); left = Math.min(left, x); right = Math.max(right, x);
  }
  return { count, across: across / count / width, low, left, right };
}"""
PICTURE = "(id) => document.getElementById(id).toDataURL()"
FIGURE = """async ([rung, ms, options]) => {
  const { mountFigure } = await import("/figure/figure.js");
  const motion = await (await fetch(`/${rung}.json`)).json();
  window.figure?.destroy();
  window.figure = mountFigure(document.getElementById("f"), motion, { playing: false, ...options });
  window.figure.seek(ms);
}"""
Open = Callable[..., Any]


@cache
def motion(address: str) -> bytes:
    library = standard_library()
    return json.dumps(rung_frames(library.rung(*address.split("/")), library)).encode()


class Handler(BaseHTTPRequestHandler):
    """Static files as they are, motions by their rung, and the page under test."""

    page = ""

    def do_GET(self) -> None:
        path = self.path.partition("?")[0]
        body = self._body(path)
        self.send_response(404 if body is None else 200)
        self.send_header("Content-Type", KINDS.get(Path(path).suffix, "text/plain"))
        self.send_header("Content-Security-Policy", POLICY)
        self.end_headers()
        self.wfile.write(body or b"")

    def _body(self, path: str) -> bytes | None:
        fixed = {"/page.html": self.page.encode(), "/own.css": CSS.encode(), "/favicon.ico": b""}
        if path in fixed:
            return fixed[path]
        if path == "/missing.json":
            return None
        if path.endswith(".json"):
            return motion(path.removeprefix("/").removesuffix(".json"))
        return (TOKENS if path == "/tokens.css" else STATIC / path.removeprefix("/")).read_bytes()

    def log_message(self, *_given: Any) -> None:
        pass


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    thread.join()
    server.server_close()


@pytest.fixture
def show(chromium: Any, address: str) -> Iterator[Open]:
    """Opens a page with this in its body; at the end nothing may have gone wrong in it."""
    contexts, wrong = [], []

    def opened(body: str, *, expected: str = "", before: str = "", **settings: Any) -> Any:
        Handler.page = (
            '<!doctype html><html lang="en" data-theme="light"><title>Figures</title>'
            '<link rel="stylesheet" href="/tokens.css"><link rel="stylesheet" href="/own.css">'
            '<script type="module" src="/figure.js"></script><script type="module" src="/orbit.js"></script>'
            f"<body>{body}</body></html>"
        )
        context = chromium.new_context(viewport={"width": 800, "height": 700}, **settings)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda problem: wrong.append(str(problem)))
        page.on("console", lambda said: said.type == "error" and said.text not in expected and wrong.append(said.text))
        if before:
            page.add_init_script(before)
        page.goto(f"{address}/page.html", wait_until="networkidle")
        return page

    yield opened
    for context in contexts:
        context.close()
    assert not wrong


def same_after(page: Any, ms: int, look: Callable[[], Any]) -> bool:
    before = look()
    page.wait_for_timeout(ms)
    return bool(before == look())


@pytest.mark.parametrize(
    "rung", ["squat/base", "ball-leg-curl/base", "split-squat/pair", "side-plank/base", "push-up/chair"]
)
def test_a_figure_is_drawn_in_ink(show: Open, rung: str) -> None:
    page = show(f'<canvas class="f" id="f" data-motion-url="/{rung}.json" data-playing="false"></canvas>')
    found = page.evaluate(INK, "f")
    assert found["count"] > 2500
    assert found["right"] - found["left"] > 60
    assert 0.2 < found["across"] < 0.8


def test_a_figure_moves(show: Open) -> None:
    page = show(MOVING)
    assert not same_after(page, 400, lambda: page.evaluate(PICTURE, "f"))


def test_a_figure_says_what_it_shows(show: Open) -> None:
    page = show(STILL + '<canvas class="f" id="g" data-motion-url="/squat/base.json" aria-label="Hers"></canvas>')
    assert page.get_attribute("#f", "role") == "img"
    assert page.get_attribute("#f", "aria-label") == "Squat, seen from the side: sit 2 s, stand 2 s."
    assert page.get_attribute("#g", "aria-label") == "Hers"


def test_with_less_motion_it_shows_both_ends_and_stands_still_until_play_is_pressed(show: Open) -> None:
    page = show(MOVING + '<button type="button" data-plays="#f">Play</button>', reduced_motion="reduce")
    look = lambda: page.evaluate(PICTURE, "f")  # noqa: E731
    posed = look()
    assert same_after(page, 500, look)
    page.evaluate(FIGURE, ["squat/base", 2000, {}])
    assert look() != posed  # the full pose alone lacks the ghost of the start
    page = show(MOVING + '<button type="button" data-plays="#f">Play</button>', reduced_motion="reduce")
    page.click("button")
    assert page.inner_text("button") == "Pause"
    assert not same_after(page, 400, look)
    page.click("button")
    assert page.inner_text("button") == "Play"
    assert same_after(page, 300, look)


def test_the_same_moment_is_the_same_picture_in_every_round(show: Open) -> None:
    page = show('<canvas class="f" id="f"></canvas>')
    pictures = []
    for ms in (700, 4700, 1700, -3300):
        page.evaluate(FIGURE, ["squat/base", ms, {}])
        pictures.append(page.evaluate(PICTURE, "f"))
    assert pictures[0] == pictures[1] == pictures[3]
    assert pictures[0] != pictures[2]


def test_a_moment_between_two_frames_lies_between_them(show: Open) -> None:
    page = show('<canvas class="f" id="f"></canvas>')
    shins = page.evaluate("""async () => {
      const { readMotion } = await import("/figure/timeline.js");
      const line = readMotion(await (await fetch("/squat/base.json")).json());
      const place = (row, name) => [0, 1, 2].map((i) => row[line.point[name] + i]);
      const far = (row, one, two) => Math.hypot(...place(row, one).map((at, i) => at - place(row, two)[i]));
      return Array.from({ length: 401 }, (_, at) => {
        const row = line.at(at * 10);
        return [row[line.point.pelvis + 2], far(row, "knee_left", "ankle_left"), far(row, "elbow_left", "wrist_left")];
      });
    }""")
    heights = [row[0] for row in shins]
    assert all(before >= after - 1e-4 for before, after in pairwise(heights[:201]))
    assert all(before <= after + 1e-4 for before, after in pairwise(heights[200:]))
    for bone in (1, 2):
        found = [row[bone] for row in shins]
        assert max(found) - min(found) < 0.004  # m; frames are some degrees apart, and lines between them are smooth


def test_it_does_not_jump_and_stands_on_one_floor(show: Open) -> None:
    page = show('<canvas class="f" id="f"></canvas>')
    lows = set()
    for ms in (0, 500, 1000, 2000):
        page.evaluate(FIGURE, ["squat/base", ms, {}])
        lows.add(page.evaluate(INK, "f")["low"])
    assert len(lows) == 1


def test_mirrored_is_the_picture_turned_over(show: Open) -> None:
    page = show('<canvas class="f" id="f"></canvas>')
    page.evaluate(FIGURE, ["push-up/base", 0, {}])
    plain = page.evaluate(INK, "f")["across"]
    page.evaluate(FIGURE, ["push-up/base", 0, {"mirrored": True}])
    assert abs(plain - 0.5) > 0.015
    assert page.evaluate(INK, "f")["across"] == pytest.approx(1 - plain, abs=0.005)


def test_it_turns_dark_with_the_page_and_light_again(show: Open) -> None:
    page = show(STILL)
    light = page.evaluate(INK, "f")["count"]
    counts = []
    for theme in ("dark", "light"):
        page.evaluate("(theme) => { document.documentElement.dataset.theme = theme }", theme)
        page.wait_for_timeout(100)
        counts.append(page.evaluate(INK, "f")["count"])
    assert counts[0] != light == counts[1]


def test_out_of_sight_it_rests(show: Open) -> None:
    page = show('<div id="tall"></div>' + MOVING)
    page.evaluate("document.getElementById('tall').style.height = '3000px'")
    page.wait_for_timeout(200)
    assert same_after(page, 400, lambda: page.evaluate(PICTURE, "f"))
    page.evaluate("document.getElementById('f').scrollIntoView()")
    page.wait_for_timeout(200)
    assert not same_after(page, 400, lambda: page.evaluate(PICTURE, "f"))


def test_what_cannot_be_fetched_is_told_in_a_plain_sentence(show: Open) -> None:
    body = '<canvas class="f" id="f" data-motion-url="/missing.json" data-fallback="words"></canvas>'
    page = show(
        body + '<p id="words" hidden></p>',
        expected="Failed to load resource: the server responded with a status of 404 (Not Found)",
    )
    assert page.is_visible("#words")
    assert page.inner_text("#words").startswith("The moving figure could not be loaded.")
    assert not page.is_visible("#f")


def test_a_figure_that_comes_with_a_swap_is_drawn(show: Open) -> None:
    page = show('<div id="place"></div>')
    page.evaluate(
        """(body) => {
          const place = document.getElementById("place");
          place.innerHTML = body;
          place.dispatchEvent(new CustomEvent("htmx:load", { bubbles: true, detail: { elt: place } }));
        }""",
        STILL,
    )
    page.wait_for_selector("#f[role=img]")
    assert page.evaluate(INK, "f")["count"] > 2500


def test_a_frame_is_drawn_well_within_a_sixtieth_of_a_second(show: Open) -> None:
    page = show('<canvas class="f" id="f"></canvas>')
    page.evaluate(FIGURE, ["split-squat/pair", 0, {}])
    ms = page.evaluate("""() => {
      const context = document.getElementById("f").getContext("2d");
      const each = Array.from({ length: 100 }, (_, at) => {
        const begun = performance.now();
        window.figure.seek(at * 37);
        context.getImageData(0, 0, 1, 1);
        return performance.now() - begun;
      });
      return each.sort((one, other) => one - other)[5];
    }""")  # of the quickest, for others may have the processor most of the time
    assert ms < 16


def test_keys_and_buttons_turn_the_solid_figure(show: Open) -> None:
    page = show(ORBIT)
    canvas = page.locator("#o canvas")
    canvas.wait_for()
    look = canvas.screenshot
    start = look()
    canvas.focus()
    pictures = [start]
    for key in ("ArrowLeft", "ArrowUp", "+", "-", "ArrowDown"):
        page.keyboard.press(key)
        pictures.append(look())
        assert pictures[-1] != pictures[-2], key
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Front"
    shown = []
    for view in ("Front", "Side", "Above"):
        page.click(f"#o button:text-is('{view}')")
        shown.append(look())
    assert len(set(shown)) == 3


def test_the_solid_figure_moves_and_pauses(show: Open) -> None:
    page = show(ORBIT)
    look = page.locator("#o canvas").screenshot
    assert same_after(page, 300, look)
    page.click("#o button:text-is('Play')")
    assert not same_after(page, 500, look)
    page.click("#o button:text-is('Pause')")
    assert same_after(page, 300, look)


def test_the_solid_figure_stands_still_where_less_motion_is_wanted(show: Open) -> None:
    page = show(ORBIT.replace(' data-playing="false"', ""), reduced_motion="reduce")
    assert same_after(page, 500, page.locator("#o canvas").screenshot)
    assert page.is_visible("#o button:text-is('Play')")


def test_without_webgl_a_sentence_says_so_and_the_flat_figure_still_moves(show: Open) -> None:
    none = """const before = HTMLCanvasElement.prototype.getContext;
      HTMLCanvasElement.prototype.getContext = function (kind, ...given) {
        return kind.startsWith("webgl") ? null : before.call(this, kind, ...given);
      };"""
    page = show(MOVING + ORBIT.replace("<div", '<div data-fallback="words"') + '<p id="words" hidden></p>', before=none)
    assert "shows no 3D pictures" in page.inner_text("#words")
    assert not same_after(page, 400, lambda: page.evaluate(PICTURE, "f"))


@pytest.mark.slow
def test_what_is_taken_away_gives_its_memory_back(show: Open) -> None:
    page = show('<div class="o" id="o"></div>')
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    left = page.evaluate("""async () => {
      const { mountOrbit } = await import("/orbit.js");
      const motion = await (await fetch("/squat/base.json")).json();
      for (let at = 0; at < 20; at++) mountOrbit(document.getElementById("o"), motion, { playing: false }).destroy();
      return document.getElementById("o").childElementCount;
    }""")
    assert left == 0
    assert not [words for words in said if "Too many active WebGL contexts" in words]
