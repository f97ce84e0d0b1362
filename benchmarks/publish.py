"""Publishing and leading, measured: `python benchmarks/publish.py [--voice] [--video]`.

The folder by product, and the files of a stage, against typesetting the run sheet alone; the film against encoding as
many pictures that are ready; placing of cues at three sizes with its gap, against a check of the plan; the line of a
stage, and its frames in Chromium.
"""

import os
import re
import shutil
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import av

from everyrung.cues.tracks import cue_tracks
from everyrung.moves.library import standard_library
from everyrung.pipeline import Options, run
from everyrung.publish.folder.bundle import build_bundle
from everyrung.publish.folder.sound import sound_of
from everyrung.publish.sheet.content import sheet_content
from everyrung.publish.sheet.write import sheet_pdf
from everyrung.publish.stage import write_stage
from everyrung.publish.video.encode import encoder
from everyrung.publish.video.layout import FILM
from everyrung.publish.video.write import write_video
from everyrung.results.analysis import Analysis
from everyrung.store.cache import default_cache
from everyrung.store.kept_files import sound_store
from everyrung.timing.timeline import build_timeline

ROOT = Path(__file__).parents[1]
PLAN = ROOT / "examples" / "boathouse-30.toml"
PORT = 8048
BROWSERS = ("/usr/bin/chromium-headless-shell", "/usr/bin/chromium")  # as the browser tests look for it


def main() -> None:
    """Prints all of it."""
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(1))
    check_ms = statistics.median(timed_ms(lambda: run(PLAN)) for _ in range(5))
    print(f"time and check the 30-minute plan {check_ms:37.0f} ms")
    folder(voice="--voice" in sys.argv, video="--video" in sys.argv)
    cues(check_ms)
    stage()


def timed_ms(work: object) -> float:
    begin = time.perf_counter()
    work()  # type: ignore[operator]
    return (time.perf_counter() - begin) * 1000


def said(name: str, ms: float, base_ms: float) -> None:
    print(f"{name:<60} {ms:10.0f} ms  {ms / base_ms:8.1f} x the baseline")


def folder(*, voice: bool, video: bool) -> None:
    begin = time.perf_counter()
    wanted = Options(bodies=True, drawings=True, cues=True, branches=True, voice=voice, cache=default_cache())
    done = run(PLAN, options=wanted)
    chain_ms = (time.perf_counter() - begin) * 1000
    sheet = sheet_content(done)
    base_ms = statistics.median(timed_ms(lambda: sheet_pdf(sheet, done.session, done.timeline)) for _ in range(5))
    print(f"baseline: the run sheet typeset alone {base_ms:33.0f} ms")
    said("chain with bodies (from the cache), pictures and cues", chain_ms, base_ms)
    shutil.rmtree(sound_store().folder, ignore_errors=True)  # those of this machine are made again when wanted
    for when in ("first", "again"):
        published(done, base_ms, f"{when}{', with voice' * voice}")
    with tempfile.TemporaryDirectory() as out:
        said(
            "a stage set", timed_ms(lambda: write_stage(done, Path(out), standard_library(), default_cache())), base_ms
        )
    if video:
        film(done)


def published(done: Analysis, base_ms: float, when: str) -> None:
    """The folder once, by product: on the clock, and the processor's time of this process and of those beside it."""
    with tempfile.TemporaryDirectory() as out:
        before, begin = os.times(), time.perf_counter()
        made = build_bundle(done, PLAN.read_bytes(), Path(out), lambda *_: None)
        whole_ms = (time.perf_counter() - begin) * 1000
        after = os.times()
    for name, ms in made.steps_ms:
        said(f"  {name}", ms, base_ms)
    said(f"whole folder, {when}", whole_ms, base_ms)
    said("  of the processor, here", 1000 * sum(after[:2]) - 1000 * sum(before[:2]), base_ms)
    said("  of the processor, beside", 1000 * sum(after[2:4]) - 1000 * sum(before[2:4]), base_ms)


def film(done: Analysis) -> None:
    """Of the whole session, with its beeps: the pictures that it sends are encoded alone, by one thread, for a
    baseline.
    """
    samples, _ = sound_of(done)
    with tempfile.TemporaryDirectory() as out:
        path = Path(out) / "film.mp4"
        begin = time.perf_counter()
        made = write_video(done, path, samples, cache=default_cache())
        film_ms = (time.perf_counter() - begin) * 1000
        with av.open(str(path)) as container:
            sent = container.streams.video[0].frames
            ready = [frame for frame, _ in zip(container.decode(video=0), range(500), strict=False)]
        begin = time.perf_counter()
        with encoder(Path(out) / "ready.mp4", FILM) as into:
            for number in range(sent):
                into.picture(ready[number % len(ready)], number)
        base_ms = (time.perf_counter() - begin) * 1000
    print(f"baseline: as many pictures ({sent}) that are ready, encoded {base_ms:9.0f} ms")
    said(f"the film, {made.seconds / (film_ms / 1000):.1f} x as fast as its own length", film_ms, base_ms)
    print("  in all threads: " + ", ".join(f"{part} {seconds:.1f} s" for part, seconds in made.split.items()))


def cues(base_ms: float) -> None:
    session = run(PLAN).session
    main = next(block for block in session.blocks if len(block.rounds) > 1)
    for times in (1, 3, 10):
        rounds = tuple(replace(each, name=f"{each.name} {copy}") for copy in range(times) for each in main.rounds[:1])
        larger = replace(session, blocks=(replace(main, rounds=rounds * 3),))
        timeline = build_timeline(larger)
        bouts = sum(span.bout is not None for span in timeline.spans)
        begin = time.perf_counter()
        tracks = cue_tracks(larger, timeline)
        ms = (time.perf_counter() - begin) * 1000
        said(f"cues of two tracks placed, {bouts} bouts, gap {max(gap for _, gap in tracks):.2%}", ms, base_ms)


def stage() -> None:
    """A stage and a prompter in Chromium: how old a state is when it is shown, and how long a frame takes."""
    browser = next((each for each in BROWSERS if Path(each).exists()), None)
    if browser is None:
        print("no Chromium here, so nothing is measured of the stage")
        return
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as home:
        command = [sys.executable, "-m", "everyrung.cli", "studio", "--no-browser", "--demo", "--port", str(PORT)]
        process = subprocess.Popen(command, env=os.environ | {"EVERYRUNG_HOME": home}, start_new_session=True)
        try:
            time.sleep(4)
            flags = ["--no-sandbox", "--disable-background-networking", "--disable-component-update"]
            with sync_playwright() as playwright:
                led(playwright.chromium.launch(executable_path=browser, args=flags))
        finally:
            os.killpg(process.pid, 15)
            process.wait()


LATENCY = """async (session) => {
  const open = (role) => new Promise((ready) => {
    const socket = new WebSocket(`ws://${location.host}/session/${session}/live?as=${role}&code=`);
    socket.addEventListener("message", () => ready(socket), { once: true });
  });
  const stage = await open("stage"), prompter = await open("prompter"), found = [];
  for (let number = 0; number < 200; number++) {
    const begin = performance.now();
    const heard = new Promise((done) => prompter.addEventListener("message", done, { once: true }));
    stage.send(JSON.stringify({ is: "state", number }));
    await heard;
    found.push(performance.now() - begin);
  }
  return found.sort((a, b) => a - b);
}"""
FRAMES = """() => new Promise((done) => {
  const found = []; let last = performance.now();
  const frame = (now) => {
    found.push(now - last); last = now;
    found.length < 300 ? requestAnimationFrame(frame) : done(found.slice(5).sort((a, b) => a - b));
  };
  requestAnimationFrame(frame);
})"""


def led(browser: object) -> None:
    page = browser.new_page(viewport={"width": 1280, "height": 720})  # type: ignore[attr-defined]
    page.goto(f"http://localhost:{PORT}/")
    href = page.get_by_role("link", name="Boathouse thirty", exact=False).first.get_attribute("href")
    session = re.sub(".*/", "", href)
    page.goto(f"http://localhost:{PORT}{href}/lead")
    page.wait_for_selector("text=Open the prompter", timeout=300_000)
    found = page.evaluate(LATENCY, session)
    print(f"a state from stage to prompter, on loopback: median {found[100]:.1f} ms, p95 {found[190]:.1f} ms")
    page.goto(f"http://localhost:{PORT}{href}/stage?speed=4")
    page.wait_for_selector("#name:not(:empty)")
    page.keyboard.press("ArrowRight")
    page.keyboard.press(" ")
    page.wait_for_timeout(1500)
    frames = page.evaluate(FRAMES)
    print(f"frames of the stage: median {frames[147]:.1f} ms, p95 {frames[280]:.1f} ms, longest {frames[-1]:.1f} ms")


if __name__ == "__main__":
    main()
