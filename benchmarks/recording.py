"""What an hour of 1080p costs to review: processor time and memory of the command, each in a process of its own.

`python benchmarks/recording.py [FOLDER]`: the film is made once into FOLDER (some 3 GB): whole-body-45 led with speech
over it, pictures of moving grain; a minute of pictures is encoded and stands there sixty times.
"""

import resource
import subprocess
import sys
import tempfile
import time
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "docs" / "accuracy"))
PLAN = ROOT / "examples" / "whole-body-45.toml"
MINUTES, FPS, WIDE, HIGH = 60, 30, 1920, 1080
LIMIT_CPU_S, LIMIT_MB = MINUTES * 60 / 10 * 2, 300  # a tenth of its length on two cores; memory as the issue asks


def minute_of_pictures(path: Path) -> None:
    """Grain that moves, at some 7 Mbit/s, a whole picture each second."""
    grain = np.random.default_rng(1).integers(100, 140, (HIGH * 3 // 2, WIDE), dtype=np.uint8)
    with av.open(str(path), "w") as container:
        options = {"preset": "ultrafast", "g": str(FPS), "b": "7M", "maxrate": "8M", "bufsize": "8M"}
        stream: Any = container.add_stream("libx264", rate=FPS, options=options)
        stream.width, stream.height, stream.pix_fmt = WIDE, HIGH, "yuv420p"
        for number in range(60 * FPS):
            frame = av.VideoFrame.from_ndarray(np.roll(grain, number * 2, axis=1), format="yuv420p")
            frame.pts, frame.time_base = number, Fraction(1, FPS)
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))


def hour(path: Path) -> None:
    """Sound of the whole session, and the minute of pictures again and again."""
    from spoilt_sound import RATE_HZ, Truth, beep_sound, mixed, speech

    from everyrung.pipeline import run
    from everyrung.runsheet.beeps import beeps

    analysis = run(PLAN)
    marks = beeps(analysis.timeline, count_in_ms=analysis.session.clock.count_in_ms)
    at_s = {place: 300 + (1 + 50e-6) * beep.at_ms / 1000 for place, beep in enumerate(marks)}
    track = mixed(beep_sound(marks, Truth(at_s=at_s, drift=50e-6, length_s=60 * MINUTES)), speech(), -10, 1)
    track *= np.float32(0.9 / np.abs(track).max())
    minute = path.with_name("minute.mp4")
    minute_of_pictures(minute)
    with av.open(str(minute)) as source, av.open(str(path), "w") as container:
        video: Any = container.add_stream_from_template(source.streams.video[0])
        sound: Any = container.add_stream("aac", rate=RATE_HZ, layout="mono")
        packets = [(bytes(each), each.pts, each.dts, each.is_keyframe) for each in source.demux(video=0) if each.size]
        base = source.streams.video[0].time_base
        for number in range(MINUTES):
            for data, pts, dts, is_key in packets:
                packet = av.Packet(data)
                shift = round(60 * number / base)
                packet.stream, packet.time_base = video, base
                packet.pts, packet.dts, packet.is_keyframe = pts + shift, dts + shift, is_key
                container.mux(packet)
            for at in range(60 * number * RATE_HZ, 60 * (number + 1) * RATE_HZ, RATE_HZ):
                piece: Any = np.ascontiguousarray(track[None, at : at + RATE_HZ])
                frame = av.AudioFrame.from_ndarray(piece, "fltp", "mono")
                frame.sample_rate, frame.pts = RATE_HZ, at
                container.mux(sound.encode(frame))
        container.mux(sound.encode(None))


def measured(*arguments: str) -> None:
    """Runs the command and prints what it took."""
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    # a child of its own, so that the peak is not that of an earlier one
    code = (
        "import resource, sys; from everyrung.cli import main; code = main(sys.argv[1:]); "
        "print(code, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024, file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code, "review", str(PLAN), *arguments], capture_output=True, text=True)
    after, wall_s = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter() - start
    cpu_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    words = " ".join(each for each in arguments if each.startswith("--"))
    print(
        f"{words}: {cpu_s:.0f} s of the processor, {wall_s:.0f} s by the clock, {done.stderr.split()[-2:]} (exit, MB)"
    )
    print(f"  limits {LIMIT_CPU_S:.0f} s and {LIMIT_MB} MB", flush=True)


def main(folder: Path) -> None:
    film = folder / "hour.mp4"
    if not film.exists():
        hour(film)
    print(f"{film.stat().st_size / 1e9:.1f} GB", flush=True)
    measured("--video", str(film))
    measured("--video", str(film), "--film", str(folder / "made"))
    measured("--video", str(film), "--film", str(folder / "made"), "--overlay", "animation")


if __name__ == "__main__":
    if len(sys.argv) > 1:
        main(Path(sys.argv[1]))
    else:
        with tempfile.TemporaryDirectory() as name:
            main(Path(name))
