"""A folder that is being made says so, can be stopped anywhere, and is gone on with; time to go is by measured rate."""

import json
import re
import signal
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from everyrung.cli.publish import STOPPED
from everyrung.pipeline import Options, run
from everyrung.publish.folder.bundle import build_bundle
from everyrung.publish.folder.contents import MANIFEST, MARK, STATE, folder_state
from everyrung.publish.video.write import PIECE_FRAMES, write_video
from everyrung.results.analysis import Analysis
from everyrung.store.cache import default_cache
from everyrung.terms.pace import LEAST_S, WINDOW_S, Pace, left_words

PLAN = Path(__file__).parents[1] / "cli" / "small.toml"
PARTS = ["run sheet", "texts", "in words", "stills", "captions", "audio description", "filming", "player page", "audio"]


class Enough(Exception):
    """Somebody pressed Stop."""


def stop_at(part: str) -> Callable[[str, int, int], None]:
    def telling(name: str, *_: int) -> None:
        if name == part:
            raise Enough

    return telling


@pytest.fixture(scope="module")
def small() -> Analysis:
    return run(PLAN, options=Options(bodies=True, drawings=True, cues=True, cache=default_cache()))


def names(folder: Path) -> set[str]:
    return {path.name for path in folder.rglob("*") if path.is_file()}


def test_a_stopped_folder_says_what_is_missing_and_is_gone_on_with(small: Analysis, tmp_path: Path) -> None:
    with pytest.raises(Enough):
        build_bundle(small, PLAN.read_bytes(), tmp_path, stop_at("filming"))
    said = (tmp_path / MARK).read_text(encoding="utf-8")
    assert "6 of 10 parts are there. Missing: filming, player page, audio, notes." in said
    assert MANIFEST not in names(tmp_path)
    found = folder_state(tmp_path)
    assert found
    assert (found.parts, found.missing) == (10, ("filming", "player page", "audio", "notes"))
    before = {path: path.stat().st_mtime_ns for path in tmp_path.glob("captions*")}
    (tmp_path / "kit.txt").write_text("spoilt")
    told: list[str] = []
    made = build_bundle(small, PLAN.read_bytes(), tmp_path, lambda part, *_: told.append(part))
    assert told == PARTS
    assert made.kept == ("run sheet", "in words", "stills", "captions", "audio description")
    assert [name for name, _ in made.steps_ms] == ["texts", "filming", "player page", "audio"]
    assert {path: path.stat().st_mtime_ns for path in tmp_path.glob("captions*")} == before
    assert not {MARK, STATE} & names(tmp_path)
    assert folder_state(tmp_path) is None
    listed = {one["name"] for one in json.loads((tmp_path / MANIFEST).read_text(encoding="utf-8"))["files"]}
    assert {Path(name).name for name in listed} == names(tmp_path) - {MANIFEST}
    assert any("LUFS" in note for note in made.notes)  # those of kept parts too


def test_of_other_inputs_nothing_is_kept_and_what_was_ours_goes(small: Analysis, tmp_path: Path) -> None:
    with pytest.raises(Enough):
        build_bundle(small, PLAN.read_bytes(), tmp_path, stop_at("captions"))
    (tmp_path / "mine.txt").write_text("a coach's own file")
    (tmp_path / "kit.txt").write_text("changed by hand")
    other = replace(small, session=replace(small.session, title="Another evening"))
    with pytest.raises(Enough):
        build_bundle(other, PLAN.read_bytes(), tmp_path, stop_at("run sheet"))
    assert names(tmp_path) == {MARK, STATE, "mine.txt", "kit.txt"}
    made = build_bundle(other, PLAN.read_bytes(), tmp_path, lambda *_: None)
    assert not made.kept
    with pytest.raises(Enough):  # a manifest of before is not true any more
        build_bundle(small, PLAN.read_bytes(), tmp_path, stop_at("run sheet"))
    assert names(tmp_path) == {MARK, STATE, "mine.txt"}


@pytest.mark.parametrize("state", ["", "{", "[]", '{"inputs": 1, "names": ["a"], "parts": {"a": 5}}'])
def test_a_spoilt_state_only_costs_time(state: str, small: Analysis, tmp_path: Path) -> None:
    (tmp_path / STATE).write_text(state)
    with pytest.raises(Enough):
        build_bundle(small, PLAN.read_bytes(), tmp_path, stop_at("texts"))
    assert folder_state(tmp_path)


def test_a_name_that_leads_out_of_the_folder_deletes_nothing(small: Analysis, tmp_path: Path) -> None:
    from hashlib import sha256

    outside = tmp_path / "outside.txt"
    outside.write_text("mine")
    folder = tmp_path / "folder"
    folder.mkdir()
    files = [{"name": "../outside.txt", "sha256": sha256(b"mine").hexdigest()}]
    (folder / MANIFEST).write_text(json.dumps({"files": files}))
    with pytest.raises(Enough):
        build_bundle(small, PLAN.read_bytes(), folder, stop_at("run sheet"))
    assert outside.exists()


@pytest.mark.slow
def test_a_film_that_was_stopped_goes_on_with_what_is_missing_and_is_the_same(small: Analysis, tmp_path: Path) -> None:
    """Source: FFmpeg's own demuxer and decoder, over the joined pieces."""
    import numpy as np

    silence = np.zeros(48_000 * 70, np.float32)
    asked = {"part_ms": (0, 70_000), "cache": default_cache()}
    write_video(small, tmp_path / "whole.mp4", silence, **asked)  # type: ignore[arg-type]

    def stop(done: int, _: int) -> None:
        if done > PIECE_FRAMES * 0.6:
            raise Enough

    pieces, lengths = tmp_path / "pieces", {"piece-0000.mp4": PIECE_FRAMES, "piece-0001.mp4": 70 * 25 - PIECE_FRAMES}
    with pytest.raises(Enough):
        write_video(small, tmp_path / "film.mp4", silence, 48_000, stop, pieces=pieces, **asked)  # type: ignore[arg-type]
    there = names(pieces)
    assert there < set(lengths)  # pieces are whole or not there at all, whoever was at them
    for name in there:
        assert _last_frame(pieces / name) == lengths[name] - 1
    assert not (tmp_path / "film.mp4").exists()
    before = {name: (pieces / name).stat().st_mtime_ns for name in there}
    told: list[int] = []
    write_video(
        small, tmp_path / "film.mp4", silence, 48_000, lambda done, _: told.append(done), pieces=pieces, **asked
    )  # type: ignore[arg-type]
    assert told[0] == sum(lengths[name] for name in there)
    assert before == {name: (pieces / name).stat().st_mtime_ns for name in there}
    assert (tmp_path / "whole.mp4").read_bytes() == (tmp_path / "film.mp4").read_bytes()
    assert _last_frame(tmp_path / "film.mp4") == 70 * 25 - 1


def _last_frame(path: Path) -> int:
    """The number of the last picture, after those before it in the order of time."""
    import av

    with av.open(str(path)) as container:
        at = [float(frame.pts * frame.time_base) for frame in container.decode(video=0)]  # type: ignore[operator]
    assert at == sorted(set(at))
    return round(at[-1] * 25)


def test_time_to_go_is_by_the_rate_of_the_last_half_minute() -> None:
    now = [0.0]
    pace = Pace(lambda: now[0])
    assert pace.left_s(0, 100) is None
    now[0] = LEAST_S / 2
    assert pace.left_s(50, 100) is None  # half of it was kept from before
    for step in range(1, 41):
        now[0] = LEAST_S + step
        left_s = pace.left_s(50 + step, 100)
    assert left_s == pytest.approx(10, rel=0.05)  # one a second
    assert now[0] > WINDOW_S
    now[0] += 5
    assert pace.left_s(0, 10) is None  # another work


@pytest.mark.parametrize(
    ("left_s", "words"), [(None, ""), (3, "about 10 s to go"), (44, "about 40 s to go"), (200, "about 3 min to go")]
)
def test_time_to_go_is_said_no_finer_than_it_is_known(left_s: float | None, words: str) -> None:
    assert left_words(left_s) == words


def test_ctrl_c_ends_the_command_with_what_is_there_and_how_to_go_on(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "everyrung.cli", "publish", str(PLAN), str(tmp_path / "out")]
    heard = {"preexec_fn": lambda: signal.signal(signal.SIGINT, signal.SIG_DFL)}  # not so in a shell's background
    with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, **heard) as process:
        assert process.stderr
        for line in process.stderr:
            if line == "writing: captions\n":  # the solver that placed the cues has been at work
                process.send_signal(signal.SIGINT)
                break
        said = process.stderr.read()
    assert process.returncode == STOPPED, said
    assert re.search(r"Stopped: \d of 10 parts are in .*\. The same command picks up where it left off\.", said)
    assert "Traceback" not in said
    assert folder_state(tmp_path / "out")
