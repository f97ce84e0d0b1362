"""What is made for the film of a recording, read back with PyAV, OpenTimelineIO and webvtt-py.

The recording is made here: the stage's beeps of two sets, with a pause, and a picture whose grey says how old it is.
"""

import io
import json
from collections.abc import Sequence
from contextlib import redirect_stdout
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
import opentimelineio as otio
import pytest
import webvtt
from spoilt_sound import RATE_HZ, Truth, beep_sound

from everyrung.cli import main
from everyrung.lookback.plan_sets import PlanSet, plan_sets
from everyrung.lookback.stage_log import StageLog, stage_events, stage_log_text
from everyrung.pipeline import Options, run
from everyrung.publish.chapters import chapters, check_chapters
from everyrung.results.analysis import Analysis
from everyrung.runsheet.beeps import Beep, beeps

PLAN = Path(__file__).parents[2] / "examples" / "office-20.toml"
LATE_S, PAUSE_S = 12.5, 31.0
STOP_MS, END_MS = 110_000, 240_000
LENGTH_S = END_MS / 1000 + LATE_S + PAUSE_S + 20
WIDE, HIGH, FPS = 320, 180, 25
GREY_S = 1.5  # seconds for each step of grey


@pytest.fixture(scope="module")
def analysis() -> Analysis:
    return run(PLAN, options=Options(branches=True))


@pytest.fixture(scope="module")
def marks(analysis: Analysis) -> tuple[Beep, ...]:
    return beeps(analysis.timeline, count_in_ms=analysis.session.clock.count_in_ms)


@pytest.fixture(scope="module")
def sets(analysis: Analysis) -> tuple[PlanSet, ...]:
    return plan_sets(analysis.session, analysis.timeline)


def film_of(path: Path, rows: Sequence[tuple[Beep, float]], length_s: float) -> None:
    """An MP4 with these beeps at their seconds."""
    truth = Truth(at_s={place: at_s for place, (_, at_s) in enumerate(rows)}, drift=0.0, length_s=length_s)
    track = beep_sound([beep for beep, _ in rows], truth)
    with av.open(str(path), "w") as container:
        video: Any = container.add_stream("libx264", rate=FPS, options={"preset": "ultrafast", "g": "50"})
        sound: Any = container.add_stream("aac", rate=RATE_HZ, layout="mono")
        video.width, video.height, video.pix_fmt = WIDE, HIGH, "yuv420p"
        for number in range(round(length_s * FPS)):
            pixels = np.full((HIGH * 3 // 2, WIDE), 128, np.uint8)
            pixels[:HIGH] = grey(number / FPS)
            picture = av.VideoFrame.from_ndarray(pixels, format="yuv420p")
            picture.pts, picture.time_base = number, Fraction(1, FPS)
            container.mux(video.encode(picture))
        container.mux(video.encode(None))
        for at in range(0, len(track), RATE_HZ):
            piece: Any = np.ascontiguousarray(track[None, at : at + RATE_HZ])
            frame = av.AudioFrame.from_ndarray(piece, "fltp", "mono")
            frame.sample_rate, frame.pts = RATE_HZ, at
            container.mux(sound.encode(frame))
        container.mux(sound.encode(None))


def grey(at_s: float) -> int:
    return 20 + int(at_s / GREY_S)


def really_ms(plan_ms: float) -> float:
    """When a moment of the plan was in the recording."""
    return 1000 * LATE_S + plan_ms + (1000 * PAUSE_S if plan_ms > STOP_MS else 0)


@pytest.fixture(scope="module")
def made(
    marks: Sequence[Beep], sets: Sequence[PlanSet], tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, list[dict[str, str]]]:
    """The folder, and what the command says of it."""
    folder = tmp_path_factory.mktemp("film")
    rows = [(beep, really_ms(beep.at_ms) / 1000) for beep in marks if beep.at_ms < END_MS]
    film_of(folder / "take.mp4", rows, LENGTH_S)
    lines = []
    for each in sets:
        if each.work_at_ms < END_MS:
            second = int(really_ms(each.at_ms) / 1000) + 1
            name = each.cell.rung.name.replace("squat", "squad")
            words = f"then {each.bout.side}" if each.part else f"next the {name}"
            lines.append(f"[{second // 60}:{second % 60:02}] {words}")
    (folder / "talk.txt").write_text("\n".join(lines), encoding="utf-8")
    arguments = ["--video", str(folder / "take.mp4"), "--transcript", str(folder / "talk.txt"), "--json"]
    said = io.StringIO()
    with redirect_stdout(said):
        assert main(["review", str(PLAN), *arguments, "--film", str(folder), "--overlay", "animation"]) == 0
    return folder, json.loads(said.getvalue())["film"]


def test_every_file_that_is_named_is_there(made: tuple[Path, list[dict[str, str]]]) -> None:
    folder, rows = made
    names = [row["file"] for row in rows if row["file"]]
    assert names == [
        "chapters.vtt", "chapters.txt", "captions.vtt", "captions.srt", "captions-to-check.txt", "edit-list.otio",
        "edit-list.edl", "contact-sheet.png", "overlay.mov",
    ]  # fmt: skip
    assert all((folder / name).stat().st_size for name in names)


def test_chapters_begin_where_the_beeps_say_and_hosts_take_them(
    made: tuple[Path, list[dict[str, str]]], analysis: Analysis
) -> None:
    with av.open(str(made[0] / "take.mp4")) as container:
        length_ms = (container.duration or 0) // 1000
    assert not check_chapters((made[0] / "chapters.vtt").read_text(encoding="utf-8"), length_ms)
    found = {each.text: each.start_in_seconds for each in webvtt.read(made[0] / "chapters.vtt")}
    planned = [each for each in chapters(analysis.timeline) if each.end_ms < END_MS + 60_000]
    assert planned
    for each in planned:
        assert found[each.title] == pytest.approx(really_ms(each.at_ms) / 1000, abs=1)
    assert found["Before the session"] == 0
    assert found["After the session"] == pytest.approx(really_ms(END_MS) / 1000, abs=15)


def timeline_of(folder: Path) -> Any:
    return otio.adapters.read_from_file(str(folder / "edit-list.otio"))


def test_the_edit_list_has_each_set_that_sounded_and_cuts_the_pause(
    made: tuple[Path, list[dict[str, str]]], sets: Sequence[PlanSet]
) -> None:
    timeline = timeline_of(made[0])
    pictures, sound = timeline.video_tracks()[0], timeline.audio_tracks()[0]
    clips = list(pictures.find_clips())
    led = [each for each in sets if each.work_at_ms + each.bout.duration_ms < END_MS]
    halves = [f", part {number} of 2" for number in (1, 2)]
    names = [
        name for each in led for name in ([each.name + half for half in halves] if is_paused(each) else [each.name])
    ]
    assert [clip.name for clip in clips][: len(names)] == names
    assert [clip.source_range for clip in sound.find_clips()] == [clip.source_range for clip in clips]
    for each in led:
        clip = next(clip for clip in clips if clip.name.startswith(each.name))
        go = next(mark for mark in clip.markers if mark.name == "GO")
        frame = really_ms(each.work_at_ms) / 1000 * FPS
        assert go.marked_range.start_time.value == pytest.approx(frame, abs=1)
        assert go.marked_range.start_time.rate == FPS
    cut = next(mark for clip in clips for mark in clip.markers if "stood still" in mark.name)
    assert f"{PAUSE_S:.1f} s" in cut.name


def is_paused(each: PlanSet) -> bool:
    return each.at_ms < STOP_MS < each.work_at_ms + each.bout.duration_ms


def test_the_plain_edit_list_keeps_names_and_frames_and_says_what_it_loses(
    made: tuple[Path, list[dict[str, str]]],
) -> None:
    text = (made[0] / "edit-list.edl").read_text(encoding="utf-8")
    back = otio.adapters.read_from_string(text, adapter_name="cmx_3600", rate=FPS)
    whole = [(each.name, each.source_range) for each in timeline_of(made[0]).video_tracks()[0].find_clips()]
    assert [(each.name, each.source_range) for each in back.find_clips()] == whole
    assert not back.audio_tracks()
    assert "no sound track" in text


def test_the_overlay_is_clear_but_for_its_plates_and_counts_with_the_beeps(
    made: tuple[Path, list[dict[str, str]]], marks: Sequence[Beep]
) -> None:
    """Between one repetition's beep and the next the picture stands; it changes at the beep, to the frame."""
    beep = next(each for each in marks if each.at_ms > STOP_MS and each.kind == "rep")
    at = round(really_ms(beep.at_ms) / 1000 * FPS)
    with av.open(str(made[0] / "overlay.mov")) as container:
        stream = container.streams.video[0]
        assert (stream.width, stream.height, stream.average_rate) == (WIDE, HIGH, FPS)
        assert stream.frames == pytest.approx(LENGTH_S * FPS, abs=2)
        pictures = [frame.to_ndarray(format="rgba") for frame in container.decode(stream) if inside(frame, at)]
    assert not pictures[0].any(), "before the session nothing is shown"
    around = pictures[1:]
    alphas = around[0][..., 3]
    assert {0, 225, 255} <= set(np.unique(alphas).tolist())
    assert 0.02 < np.mean(alphas > 0) < 0.5
    changes = [number for number in range(1, len(around)) if not np.array_equal(around[number - 1], around[number])]
    assert changes == [pytest.approx(5, abs=1)]


def inside(frame: av.VideoFrame, at: int) -> bool:
    number = round(float(frame.time or 0) * FPS)
    return number == 10 or at - 5 <= number < at + 10


def test_the_stills_are_from_the_middle_of_each_set(
    made: tuple[Path, list[dict[str, str]]], sets: Sequence[PlanSet]
) -> None:
    """The picture's grey says how old it was."""
    with av.open(str(made[0] / "contact-sheet.png")) as container:
        sheet = next(container.decode(video=0)).to_ndarray(format="rgb24")
    each = sets[0]
    middle_s = (really_ms(each.work_at_ms) + each.bout.duration_ms / 2) / 1000
    luma = float(sheet[16 + 20 : 16 + 160, 16 + 20 : 16 + 300].mean()) / 255 * 219 + 16
    assert luma == pytest.approx(grey(middle_s), abs=2)


def test_captions_have_the_plan_s_names_and_mark_what_was_heard_instead(
    made: tuple[Path, list[dict[str, str]]],
) -> None:
    folder = made[0]
    words = " ".join(each.text for each in webvtt.read(folder / "captions.vtt"))
    assert "squat" in words
    assert "squad" not in words
    assert "(heard: squad)" in (folder / "captions-to-check.txt").read_text(encoding="utf-8")
    assert "NOTE to check" in (folder / "captions.vtt").read_text(encoding="utf-8")


def test_what_was_led_twice_is_another_take_that_starts_from_a_still_pose(
    marks: Sequence[Beep], sets: Sequence[PlanSet], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Back from 120 s to 60 s: the later take is in the film, the first beside it and off."""
    first = [(beep, LATE_S + beep.at_ms / 1000) for beep in marks if beep.at_ms < 120_000]
    again = [(beep, LATE_S + 60 + beep.at_ms / 1000) for beep in marks if 60_000 <= beep.at_ms < 160_000]
    film_of(tmp_path / "take.mp4", [*first, *again], 240)
    values = [(0, 0, "start", None), (0, 0, "go", None), (120, 120_000, "back", 60_000), (220, 160_000, "pause", None)]
    events = stage_events(
        {"wall_ms": 1000 * at_s, "at_ms": at_ms, "what": what, "to_ms": to_ms} for at_s, at_ms, what, to_ms in values
    )
    log = tmp_path / "led.json"
    log.write_text(stage_log_text(StageLog(title="t", revision=1, events=events)), encoding="utf-8")
    arguments = [
        "--log",
        str(log),
        "--video",
        str(tmp_path / "take.mp4"),
        "--film",
        str(tmp_path),
        "--overlay",
        "prores",
    ]
    assert main(["review", str(PLAN), *arguments]) == 0
    assert "No captions: they need a transcript" in capsys.readouterr().out
    pictures, others = timeline_of(tmp_path).video_tracks()
    twice = next(each for each in sets if each.at_ms < 120_000 <= each.at_ms + each.length_ms)
    chosen = [clip for clip in pictures.find_clips() if clip.name.startswith(twice.name)]
    beside = [clip for clip in others.find_clips() if clip.name.startswith(twice.name)]
    assert beside
    assert all(not clip.enabled for clip in beside)
    assert chosen[0].metadata["everyrung"]["pick_up"]
    assert "still" in chosen[0].metadata["everyrung"]["still"]
    assert chosen[0].source_range.start_time > beside[0].source_range.start_time
    prores_keeps_transparency(tmp_path / "overlay.mov")


def prores_keeps_transparency(path: Path) -> None:
    with av.open(str(path)) as container:
        stream = container.streams.video[0]
        assert stream.codec_context.name == "prores"
        for frame in container.decode(stream):
            if frame.time is not None and frame.time >= 100:
                alphas = frame.to_ndarray(format="rgba")[..., 3].astype(int)
                break
    assert np.abs(alphas[:5, :5]).max() == 0
    near = np.min(np.abs(alphas[..., np.newaxis] - np.array([0, 225, 255])), axis=-1)
    assert np.mean(near <= 1) > 0.9  # the rest are edges of letters


def test_without_a_recording_there_is_nothing_to_make(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    talk = tmp_path / "talk.txt"
    talk.write_text("[0:40] next the squat [1:20] next the hip hinge", encoding="utf-8")
    assert main(["review", str(PLAN), "--transcript", str(talk), "--film", str(tmp_path)]) == 2
    assert "--video FILE" in capsys.readouterr().err
