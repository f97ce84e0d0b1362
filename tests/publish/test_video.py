"""The animated film as a file: a slice really encoded and looked at again; chapters, captions, sound."""

from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import av
import numpy as np
import pytest
from numpy.typing import NDArray

from everyrung.publish.audio.files import onsets, read_audio
from everyrung.publish.audio.sound import SAMPLE_RATE_HZ, render
from everyrung.publish.captions.fit import captions
from everyrung.publish.chapters import chapters
from everyrung.publish.video.compose import Canvas
from everyrung.publish.video.encode import FRAMES_S, KEY_FRAMES, encoder, join
from everyrung.publish.video.layout import FILM, Line, LineSprites
from everyrung.publish.video.raster import cover_of, ink_planes
from everyrung.publish.video.scenes import Stopwatch
from everyrung.publish.video.write import FRAME_MS, write_video
from everyrung.results.analysis import Analysis
from everyrung.runsheet.beeps import beeps
from everyrung.terms.errors import Invalid

# The end of the split squat's left side, the side switch at 419 s, and the right side's start at 424 s.
BEGIN_MS, END_MS = 411_600, 431_600
GO_MS = 424_000
SYNC_MS = 40.0  # one frame
Pictures = NDArray[np.uint8]
Luminances = NDArray[np.float32]


@pytest.fixture(scope="module")
def video(said: Analysis, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("video") / "slice.mp4"
    track = 0.7 * render(beeps(said.timeline), said.timeline.total_ms)
    made = write_video(said, path, track, SAMPLE_RATE_HZ, part_ms=(BEGIN_MS, END_MS))
    assert made.size_bytes == path.stat().st_size
    assert made.seconds * 1_000 == END_MS - BEGIN_MS
    return path


@pytest.fixture(scope="module")
def frames(video: Path) -> Pictures:
    """Luma of every frame, a quarter of the size (frame, row, column); video range."""
    return np.stack(seen(video, (END_MS - BEGIN_MS) // FRAME_MS))


def test_chapters_are_in_the_file(tmp_path: Path, said: Analysis) -> None:
    """Read back by FFmpeg's own demuxer."""
    path, wanted = tmp_path / "chapters.mp4", chapters(said.timeline)
    with encoder(tmp_path / "piece.mp4", FILM) as into:
        canvas = Canvas(FILM.wide, FILM.high)
        into.picture(canvas.frame, 0)
        into.picture(canvas.frame, 24)
    join([(tmp_path / "piece.mp4", 25)], path, chapters=wanted)
    with av.open(str(path)) as container:
        read = [
            (round(each["start"] * each["time_base"] * 1_000), each["metadata"]["title"])
            for each in container.chapters()
        ]
    assert read == [(each.at_ms, each.title) for each in wanted]
    assert len(read) >= 3


def test_paper_and_ink_have_the_publications_colours() -> None:
    cover = cover_of(np.array([[255, 0], [255, 0]], np.uint8).repeat(8, axis=0).repeat(8, axis=1))
    sprite = ink_planes(cover, "ink")
    planes = np.concatenate([sprite.luma.ravel(), sprite.blue.ravel(), sprite.red.ravel()]).reshape(24, 16)
    frame = av.VideoFrame.from_ndarray(planes, format="yuv420p")
    shown = frame.reformat(format="rgb24", src_colorspace="ITU709").to_ndarray()
    assert np.abs(shown[4, 2].astype(int) - (0xF8, 0xF3, 0xE7)).max() <= 3
    assert np.abs(shown[4, 13].astype(int) - (0x1E, 0x1A, 0x15)).max() <= 3


def test_captions_lie_beside_the_picture_and_can_be_switched_off(said: Analysis, video: Path, tmp_path: Path) -> None:
    """Read back from the file: each packet has its length before its words (3GPP TS 26.245, 5.17)."""
    wanted = captions(said.cues[0]).captions
    path = tmp_path / "soft.mp4"
    silence = np.zeros(48_000, dtype=np.float32)
    join([(video, (END_MS - BEGIN_MS) // FRAME_MS)], path, silence, captions=wanted)
    with av.open(str(path)) as container:
        assert [each.language for each in (*container.streams.audio, *container.streams.subtitles)] == ["eng", "eng"]
        (stream,) = container.streams.subtitles
        assert stream.codec_context.name == "mov_text"
        packets = [bytes(each) for each in container.demux(stream) if each.size]
    words = [packet[2:].decode() for packet in packets if len(packet) > 2]
    assert words == ["\n".join(each.lines) for each in wanted]


def test_signs_that_the_family_lacks_are_no_error() -> None:
    assert LineSprites().of(Line(words="Разминка #set $x$ \\", size=30)).sprite.wide > 100


def test_time_within_a_part_is_not_counted_twice() -> None:
    spent = Stopwatch()
    with spent.on("outer"), spent.on("inner"):
        sum(range(200_000))
    assert spent.by_part["outer"] < spent.by_part["inner"]


def test_length_frames_and_picture(video: Path, frames: Pictures) -> None:
    with av.open(str(video)) as container:
        stream = container.streams.video[0]
        assert (stream.codec_context.name, stream.width, stream.height) == ("h264", FILM.wide, FILM.high)
        assert container.duration is not None
        assert abs(container.duration / 1_000 - (END_MS - BEGIN_MS)) <= FRAME_MS
        packets = [each for each in container.demux(stream) if each.pts is not None]
    assert len(frames) == (END_MS - BEGIN_MS) // FRAME_MS
    at = [packet.pts * packet.time_base for packet in packets if packet.pts is not None]
    assert at == sorted(set(at))  # in the order of time
    assert at[0] == 0
    assert at[-1] == Fraction(len(frames) - 1, FRAMES_S)
    assert all((each * FRAMES_S).denominator == 1 for each in at)
    assert len(at) < len(frames)  # what did not change is not sent again
    keys = [each.pts * each.time_base for each in packets if each.is_keyframe and each.pts is not None]
    assert keys == sorted(keys)
    assert max(float(after - before) for before, after in pairwise(keys)) <= 2 * KEY_FRAMES / FRAMES_S
    dark = (frames < 80).mean(axis=(1, 2))
    assert dark.min() > 0.01
    assert dark.max() < 0.25


def test_a_picture_lasts_until_the_next_and_a_key_comes_every_five_seconds(tmp_path: Path) -> None:
    """Source: FFmpeg's demuxer. A still of eleven seconds that is repainted in place once."""
    canvas = Canvas(FILM.wide, FILM.high)
    with encoder(tmp_path / "v.mp4", FILM) as into:
        for number, colour in ((0, "paper"), (1, "ink"), (60, "paper"), (KEY_FRAMES, "ink"), (274, "paper")):
            canvas.fill(FILM.figure, colour)
            into.picture(canvas.frame, number)
    with av.open(str(tmp_path / "v.mp4")) as container:
        packets = [each for each in container.demux(video=0) if each.pts is not None]
        numbers = [round(each.pts * each.time_base * FRAMES_S) for each in packets if each.pts is not None]
    assert numbers == [0, 1, 60, KEY_FRAMES, 274]
    assert [each.is_keyframe for each in packets] == [True, False, False, True, True]
    middle = [picture[90, 90] for picture in seen(tmp_path / "v.mp4", 275)]
    assert [int(each) < 80 for each in middle] == [1 <= at < 60 or KEY_FRAMES <= at < 274 for at in range(275)]


def test_beeps_are_heard_when_they_are_due(said: Analysis, video: Path) -> None:
    samples, rate_hz = read_audio(video)
    heard = np.array(onsets(samples, rate_hz))
    due = [beep.at_ms - BEGIN_MS for beep in beeps(said.timeline) if BEGIN_MS <= beep.at_ms < END_MS]
    assert len(due) > 5
    assert len(heard) == len(due)
    assert np.abs(heard - due).max() <= SYNC_MS


def test_the_count_changes_with_the_beep(frames: Pictures) -> None:
    """The switch ends and the right side's first repetition starts: count and words change in that frame."""
    at = (GO_MS - BEGIN_MS) // FRAME_MS
    aside = frames[:, FILM.aside.y // 4 : 120, FILM.aside.x // 4 :].astype(int)
    changes = [(np.abs(aside[here + 1] - aside[here]) > 60).sum() for here in range(at - 4, at + 3)]
    assert max(changes) == changes[3]
    assert max(changes[:3] + changes[4:]) < changes[3] / 4


def test_the_figure_moves_and_turns_to_the_other_side(frames: Pictures) -> None:
    figure = frames[:, FILM.figure.y // 4 : 147, FILM.figure.x // 4 : 210] < 80
    left, right = ((at_ms - BEGIN_MS) // FRAME_MS for at_ms in (413_000, 426_000))  # both at full depth
    assert (figure[left] != figure[left + 50]).mean() > 0.01
    over = figure[right][:, ::-1]
    shifts = [(np.roll(over, shift, axis=1) != figure[left]).mean() for shift in range(-12, 13)]
    assert 5 * min(shifts) < (figure[right] != figure[left]).mean()  # whole pixels, so never quite


def seen(video: Path, frames: int) -> list[Pictures]:
    """What is on the screen at each frame's time: a picture stays until the next one. Luma, a quarter of the size."""
    result: list[Pictures] = []
    with av.open(str(video)) as container:
        for each in container.decode(video=0):
            assert each.pts is not None
            assert each.time_base is not None
            at = round(each.pts * each.time_base * FRAMES_S)
            assert at == len(result) == 0 or at > len(result) - 1
            result += result[-1:] * (at - len(result))
            result.append(
                each.reformat(width=FILM.wide // 4, height=FILM.high // 4, format="yuv420p").to_ndarray()[
                    : FILM.high // 4
                ]
            )
    return result + result[-1:] * (frames - len(result))


def relative_luminance(luma: Pictures) -> Luminances:
    """WCAG 2.2, relative luminance, of greys; ours are all near it. (frame, row, column), 0 to 1."""
    shade = np.clip((luma.astype(np.float32) - 16) / 219, 0, 1)
    linear: Luminances = np.where(shade <= 0.04045, shade / 12.92, ((shade + 0.055) / 1.055) ** 2.4)
    return linear.astype(np.float32)


def transitions(seen: Luminances) -> NDArray[np.bool_]:
    """Where a pixel has gone up or down by a tenth or more since it last turned, the darker below 0.80."""
    low, high = seen[0].copy(), seen[0].copy()
    direction = np.zeros(seen.shape[1:], np.int8)
    found = np.zeros(seen.shape, bool)
    for at, now in enumerate(seen):
        up = (now - low >= 0.1) & (low < 0.8) & (direction <= 0)
        down = (high - now >= 0.1) & (now < 0.8) & (direction >= 0)
        found[at] = up | down
        direction[up], direction[down] = 1, -1
        low = np.where(down | (direction < 0), np.minimum(np.where(down, now, low), now), np.where(up, now, low))
        high = np.where(up | (direction > 0), np.maximum(np.where(up, now, high), now), np.where(down, now, high))
        low, high = np.where(direction > 0, high, low), np.where(direction < 0, low, high)
    return found


def flashing(luma: Pictures) -> float:
    """The greatest part of 341 x 256 of 1024 x 768 px in which a pixel flashes more than three times in a second."""
    found = transitions(relative_luminance(luma))
    worst, wide, high = 0.0, luma.shape[2] // 3, luma.shape[1] // 3
    for begin in range(0, max(1, len(found) - FRAMES_S + 1), 5):
        busy = found[begin : begin + FRAMES_S].sum(axis=0) > 6  # a flash is a pair of changes
        for y in range(0, luma.shape[1] - high + 1, high // 2):
            for x in range(0, luma.shape[2] - wide + 1, wide // 2):
                worst = max(worst, float(busy[y : y + high, x : x + wide].mean()))
    return worst


def test_nothing_flashes(frames: Pictures) -> None:
    assert flashing(frames) < 0.25
    steps = np.diff(relative_luminance(frames), axis=0)
    assert (np.abs(steps) >= 0.1).mean(axis=(1, 2)).max() < 0.25  # not even one change of so large an area


def test_what_flashes_would_be_found(frames: Pictures) -> None:
    blinking = frames[:50].copy()
    blinking[::5, 40:120, 60:200] = 30  # five times a second
    slow = frames[:50].copy()
    slow[::25, 40:120, 60:200] = 30  # once a second
    assert flashing(blinking) > 0.25
    assert flashing(slow) < 0.25


def test_a_part_outside_the_session_is_refused(said: Analysis, tmp_path: Path) -> None:
    for part_ms in ((5_000, 5_000), (-1, 1_000), (1_800_000, 1_801_000)):
        with pytest.raises(Invalid, match="part_ms"):
            write_video(said, tmp_path / "none.mp4", part_ms=part_ms)
    assert not list(tmp_path.iterdir())


def test_what_fails_on_the_way_leaves_the_old_file(said: Analysis, tmp_path: Path) -> None:
    path = tmp_path / "video.mp4"
    path.write_text("old")

    def stop(*_: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_video(said, path, progress=stop, part_ms=(0, 1_000))
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_without_cues_and_sound_there_is_still_a_video(hostile: Analysis, tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    made = write_video(hostile, tmp_path / "v.mp4", progress=lambda *both: told.append(both), part_ms=(0, 1_500))
    assert told[0] == (0, 38)
    assert told[-1] == (38, 38)
    assert told == sorted(told)
    with av.open(str(tmp_path / "v.mp4")) as container:
        assert not container.streams.audio
    assert len(seen(tmp_path / "v.mp4", 38)) == made.frames == 38


def test_the_same_run_makes_the_same_bytes(said: Analysis, tmp_path: Path) -> None:
    both = [tmp_path / "one.mp4", tmp_path / "two.mp4"]
    for path in both:
        write_video(said, path, part_ms=(71_000, 73_000))
    assert both[0].read_bytes() == both[1].read_bytes()
