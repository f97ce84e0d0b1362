"""The studio measured on loopback: `python benchmarks/studio.py [editing | forecasts]`. Bounded: some 700 requests.

With `editing` the forecasts are left out, with `forecasts` all else.

Baseline is a small file, sent in the same run: what a request costs that computes nothing.
In Chromium, where there is one: an edit until its score is on the screen, and what each screen weighs.
"""

import contextlib
import os
import re
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import httpx2 as httpx

PORT = 8047
COACHES, EDITS_EACH = 10, 15
OWN_COACHES, OWN_EDITS_EACH = 60, 4
EDITS_SEEN = 40  # in the browser
# From a field's change to the frame after the one that paints another score, by the page's own clock.
STOPWATCH = """() => {
  window.painted = [];
  let from = 0, clock = document.querySelector(".sum b").textContent;
  document.addEventListener("change", () => { from = performance.now(); }, true);
  new MutationObserver(() => {
    const now = document.querySelector(".sum b")?.textContent;
    if (!now || now === clock || !document.querySelector("svg.score")) return;
    clock = now;
    requestAnimationFrame(() => setTimeout(() => window.painted.push(performance.now() - from)));
  }).observe(document.body, { childList: true, subtree: true, characterData: true });
}"""


def main() -> None:
    """Starts a studio of its own in a temporary folder, measures, prints, ends it."""
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(1))  # so that the studio ends with it
    with tempfile.TemporaryDirectory() as home:
        command = [sys.executable, "-m", "everyrung.cli", "studio", "--no-browser", "--demo", "--port", str(PORT)]
        process = subprocess.Popen(command, env=os.environ | {"EVERYRUNG_HOME": home}, start_new_session=True)
        try:
            wait_for_studio()
            measure()
        finally:
            os.killpg(process.pid, 15)
            process.wait()


def wait_for_studio() -> None:
    """Until it answers; half a minute at most."""
    for _ in range(300):
        with contextlib.suppress(httpx.ConnectError):
            httpx.get(f"http://localhost:{PORT}/")
            return
        time.sleep(0.1)


class Coach:
    """One browser's worth of requests, in the latest session or in one of their own."""

    def __init__(self, *, own: bool = False) -> None:
        self.client = httpx.Client(base_url=f"http://localhost:{PORT}", timeout=60)
        page = self.client.get("/").text
        self.token = re.search(r'"X-Token": "([^"]+)"', page)[1]  # type: ignore[index]
        self.session = re.search(r'href="(/session/[^"/]+)"', page)[1]  # type: ignore[index]
        if own:
            form = {"from": "boathouse-30", "token": self.token}
            self.session = self.client.post("/new", data=form).headers["location"]
        self.holds: dict[str, str] = {}
        self.at = self.shown(self.client.get(self.session).text)

    def dose(self, reps: int) -> None:
        """Another dose: the timeline changes."""
        self.edit("Main/Two/squat", "dose", f"{reps} reps")

    def edit(self, ref: str, field: str, value: str) -> None:
        """One field of a cell, sent as the page sends it."""
        holds = " ".join(f"{name}={digest}" for name, digest in self.holds.items())
        fields = {"edit": "cell", "ref": ref, "field": field, "value": value, "base": str(self.at), "holds": holds}
        answer = self.client.post(f"{self.session}/edit", data=fields, headers={"X-Token": self.token})
        assert answer.status_code == 200, answer.text[:300]
        self.at = self.shown(answer.text)

    def shown(self, page: str) -> int:
        """The version that a page shows; which parts it holds is noted."""
        self.holds |= dict(re.findall(r' id="([^"]+)" data-digest="([^"]+)"', page))
        return int(re.search(r'name="base" value="(\d+)"', page)[1])  # type: ignore[index]


def forecasts(coach: Coach, base_ms: float) -> None:
    """Until 2,000 people have walked through it, and until the bands of their shares are there; first with nothing
    computed, then after edits that change a dose alone.
    """
    said_whole = re.compile(r"<b>\d+%( \(\d+ to \d+\))?</b> of an audience")

    def waits(_: int) -> list[float]:
        start, waited_ms = time.perf_counter(), []
        while len(waited_ms) < 2:
            share = said_whole.search(coach.client.get(f"{coach.session}/computed?base=0").text)
            now_ms = (time.perf_counter() - start) * 1000
            if share:
                waited_ms += [now_ms] * (2 - len(waited_ms) if share[1] else 1 - len(waited_ms))
            time.sleep(0.02)
        return waited_ms

    def edit(number: int) -> list[float]:
        start = time.perf_counter()
        coach.dose(11 + number)
        saved_ms = (time.perf_counter() - start) * 1000
        return [saved_ms + each for each in waits(number)]

    for name, steps in (("first forecast", [waits(0)]), ("edit to forecast", [edit(number) for number in range(9)])):
        for what, each in zip(("counted", "with its bands"), zip(*steps, strict=True), strict=True):
            said(f"{name} of 2,000 people, {what}", list(each), base_ms)


def in_browser(base_ms: float) -> None:
    """An edit as it is felt, and the weight of every screen."""
    if not Path("/usr/bin/chromium").exists():
        print("no Chromium here, so nothing is measured in the browser")
        return
    from playwright.sync_api import sync_playwright

    flags = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=flags)
        page = browser.new_page()
        session = Coach().session
        for path in ("/", session, f"{session}/rehearse", "/moves", "/moves/squat", "/people"):
            weigh(browser, path)
        page.goto(f"http://localhost:{PORT}{session}?open=Main%2FTwo%2Fsquat")
        page.evaluate(STOPWATCH)
        sizes: list[int] = []
        page.on("response", lambda answer: sizes.append(len(answer.body())) if answer.url.endswith("/edit") else None)

        def edit(number: int) -> None:
            dose = page.locator("#panel").get_by_label("Dose")
            dose.fill(f"{5 + number % 7} reps")
            dose.press("Tab")
            while page.evaluate("window.painted.length") <= number:
                page.wait_for_timeout(50)
            page.wait_for_timeout(300)

        timed(EDITS_SEEN, edit)
        said("typed to new score painted, in the browser", page.evaluate("window.painted"), base_ms)
        print(f"the answer to such an edit: {statistics.median(sizes) / 1000:.1f} kB")
        browser.close()


def weigh(browser: Any, path: str) -> None:
    """What a first visit of a screen brings, its pictures drawn by a visit before."""
    name = re.sub("/session/[^/]+", "/session/…", path)
    for wait_ms in (8000, 3000):
        page, sizes = browser.new_context().new_page(), list[int]()
        page.on("response", lambda answer, sizes=sizes: sizes.append(int(answer.headers.get("content-length", 0))))
        page.goto(f"http://localhost:{PORT}{path}", wait_until="load")
        page.wait_for_timeout(wait_ms)
        page.context.close()
    print(f"first visit of {name:<28} {len(sizes):3} requests  {sum(sizes) / 1000:6.0f} kB sent")


def timed(times: int, done: Callable[[int], object]) -> list[float]:
    found = []
    for number in range(times):
        start = time.perf_counter()
        done(number)
        found.append((time.perf_counter() - start) * 1000)
    return found


def said(name: str, found: list[float], base_ms: float) -> None:
    middle, high = statistics.median(found), sorted(found)[int(0.95 * (len(found) - 1))]
    print(f"{name:<52} median {middle:6.1f} ms  p95 {high:6.1f} ms  {middle / base_ms:5.1f} x the baseline")


def measure() -> None:
    coach = Coach()
    base_ms = statistics.median(timed(30, lambda _: coach.client.get("/static/0/mark.svg")))
    said("baseline: a small file", timed(30, lambda _: coach.client.get("/static/0/mark.svg")), base_ms)
    if "editing" not in sys.argv:
        forecasts(coach, base_ms)
    if "forecasts" in sys.argv:
        return
    said("an edit: saved, timed, checked, score drawn", timed(50, lambda n: coach.dose(6 + n % 5)), base_ms)
    page = coach.client.get(coach.session)
    print(f"the Write page: {len(page.content) / 1000:.0f} kB of HTML, the score in it")
    ten_at_once(base_ms)
    sixty_at_once(base_ms)
    in_browser(base_ms)
    form = {"from": "boathouse-30", "token": coach.token}
    for _ in range(200):
        coach.client.post("/new", data=form)
    said("the list of 201 sessions, its first page", timed(20, lambda _: coach.client.get("/")), base_ms)
    print(f"which is {len(coach.client.get('/').content) / 1000:.0f} kB")


def ten_at_once(base_ms: float) -> None:
    """Ten coaches write at ten different places of one session; every edit has to be in the end."""
    cells = ["One/squat", "One/lift", "One/curl", "One/lunge", "One/hinge", "Two/squat", "Two/lift", "Two/curl",
             "Two/lunge", "Two/hinge"]  # fmt: skip

    def write(place: str) -> list[float]:
        coach = Coach()
        return timed(EDITS_EACH, lambda number: coach.edit(f"Main/{place}", "note", f"{place} {number}"))

    alone = statistics.median(write("One/squat"))
    before = Coach()
    with ThreadPoolExecutor(COACHES) as pool:
        found = [each for one in pool.map(write, cells) for each in one]
    text = before.client.get(f"{before.session}/plan.toml").text
    lost = [place for place in cells if f'note = "{place} {EDITS_EACH - 1}"' not in text]
    said("an edit by one coach alone", [alone], base_ms)
    said(f"an edit while {COACHES} coaches write in one session", found, base_ms)
    print(f"which is {statistics.median(found) / alone:.1f} x one coach alone")
    print(f"edits sent {COACHES * EDITS_EACH}, last words lost: {len(lost)}")


def sixty_at_once(base_ms: float) -> None:
    """Sixty coaches write in sessions of their own; an edit that is refused or fails ends the run."""

    def write(coach: Coach) -> list[float]:
        return timed(OWN_EDITS_EACH, lambda number: coach.dose(6 + number))

    coaches = [Coach(own=True) for _ in range(OWN_COACHES)]
    with ThreadPoolExecutor(OWN_COACHES) as pool:
        found = [each for one in pool.map(write, coaches) for each in one]
    texts = [coach.client.get(f"{coach.session}/plan.toml").text for coach in coaches]
    lost = [text for text in texts if f'dose = "{5 + OWN_EDITS_EACH} reps"' not in text]
    said(f"an edit while {OWN_COACHES} coaches write in sessions of their own", found, base_ms)
    print(f"edits sent {len(found)}, errors 0, last words lost: {len(lost)}")


if __name__ == "__main__":
    main()
