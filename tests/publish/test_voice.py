"""The cues as sound: every clip is over when its cue is, a count keeps to the beeps, and nothing is lost in the mix."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from everyrung.cues.speech import speech_text
from everyrung.pipeline import Options, run, run_plan
from everyrung.plan.read import plan_from_text
from everyrung.publish.audio.files import onsets, read_audio
from everyrung.publish.audio.sound import HURRIES, SAMPLE_RATE_HZ, render, voice_track
from everyrung.publish.folder.sound import BEEPS_UNDER_VOICE_DB, voice_files
from everyrung.results.analysis import Analysis
from everyrung.runsheet.beeps import COUNT_INS, BeepKind, beeps
from everyrung.store.cache import default_cache
from everyrung.terms.enums import CueKind, SpanKind
from everyrung.terms.errors import Invalid
from everyrung.terms.timeline import CueTrack, SaidCue, Track
from everyrung.voice.clips import Clips, speech_level
from everyrung.voice.engine import available

pytestmark = pytest.mark.skipif(not available(), reason="no voice here: pip install 'everyrung[voice]'")
PLAN = Path(__file__).parents[1] / "cli" / "small.toml"
BOTH = pytest.mark.parametrize("track", list(Track))
RATE = SAMPLE_RATE_HZ // 1000  # samples a ms


@pytest.fixture(scope="module")
def spoken() -> Analysis:
    return run(PLAN, options=Options(cues=True, voice=True, cache=default_cache()))


def of(done: Analysis, track: Track) -> CueTrack:
    return next(each for each in done.cues if each.track is track)


def clips_of(done: Analysis, track: Track) -> tuple[Any, ...]:
    assert done.voice
    clips, left = voice_track(of(done, track), done.voice)
    assert not left
    return clips


@BOTH
def test_every_clip_is_over_when_its_cue_is_and_before_the_next(track: Track, spoken: Analysis) -> None:
    said, clips = of(spoken, track).said, clips_of(spoken, track)
    assert len(clips) >= len(said) > 10
    ends = [clip.at_ms + len(clip.samples) / RATE for clip in clips]
    assert all(end <= later.at_ms for end, later in zip(ends, clips[1:], strict=False))
    for clip, end in zip(clips, ends, strict=True):
        assert any(cue.at_ms <= clip.at_ms and end <= cue.end_ms for cue in said)


@BOTH
def test_a_cue_lasts_as_long_as_its_clip(track: Track, spoken: Analysis) -> None:
    assert spoken.voice
    cues = [cue for cue in of(spoken, track).said if cue.ref and ", two, one" not in cue.text]
    assert len(cues) > 10
    for cue in cues:
        assert cue.end_ms - cue.at_ms == spoken.voice.length_ms(speech_text(cue.text))


@BOTH
def test_the_voice_is_silent_when_the_change_comes(track: Track, spoken: Analysis) -> None:
    """DESIGN: a change is told before it; facts of the trade: what is said over the beep is not heard."""
    clips = clips_of(spoken, track)
    voice = render((), spoken.timeline.total_ms, clips)
    ends = [span.end_ms for span in spoken.timeline.spans if span.kind is SpanKind.WORK]
    assert len(ends) >= 4
    for end_ms in ends:
        assert not voice[end_ms * RATE : (end_ms + 200) * RATE].any()


def test_the_numbers_of_a_count_in_start_with_their_beeps(spoken: Analysis) -> None:
    made = beeps(spoken.timeline, count_in_ms=spoken.session.clock.count_in_ms)
    counted = {beep.at_ms for beep in made if beep.kind in COUNT_INS}
    at = [clip.at_ms for clip in clips_of(spoken, Track.FIRST)]
    assert counted
    assert counted <= set(at)
    voice = render((), spoken.timeline.total_ms, clips_of(spoken, Track.FIRST))
    for at_ms in counted:
        (heard, *_) = onsets(voice[at_ms * RATE : (at_ms + 900) * RATE], SAMPLE_RATE_HZ)
        assert heard < 60  # the consonant of "two" and "three" swells; a beep starts at once


def test_a_sentence_too_long_for_its_time_is_said_faster_and_one_far_too_long_is_told(tmp_path: Path) -> None:
    voice, text = Clips(tmp_path, 140), "Welcome, everyone, to the boathouse."
    usual = voice.length_ms(text)

    def track(room_ms: int) -> CueTrack:
        cue = SaidCue(at_ms=1000, end_ms=1000 + room_ms, kind=CueKind.SET_UP, text=text, ref=None)
        return CueTrack(track=Track.FIRST, said=(cue,))

    ((clip,), left) = voice_track(track(round(usual / HURRIES[2])), voice)
    assert len(clip.samples) < usual * RATE
    assert not left
    clips, left = voice_track(track(usual // 2), voice)
    assert not clips
    assert len(left) == 1
    assert text in left[0]


def test_beeps_lie_under_the_voice_and_neither_loses_a_sample(spoken: Analysis) -> None:
    made, clips = beeps(spoken.timeline), clips_of(spoken, Track.FIRST)
    total = spoken.timeline.total_ms
    both = render(made, total, clips, beeps_db=BEEPS_UNDER_VOICE_DB)
    alone, beeped = render((), total, clips), render(made, total)
    size = min(len(alone), len(beeped))
    gain = 10 ** (BEEPS_UNDER_VOICE_DB / 20)
    assert np.abs(both[:size] - alone[:size] - gain * beeped[:size]).max() < 1e-6
    go = next(beep for beep in made if beep.kind is BeepKind.GO)
    tone = gain * beeped[(go.at_ms + 50) * RATE : (go.at_ms + 300) * RATE]
    difference_db = 20 * np.log10(speech_level(tone) / speech_level(clips[0].samples))
    assert abs(difference_db) < 3


def test_the_files_say_what_they_are_and_keep_the_voice_where_it_was(spoken: Analysis, tmp_path: Path) -> None:
    """H33 of the real-life cases: the voice has a track of its own, so that music can be replaced."""
    notes: list[str] = []
    files = dict(voice_files(spoken, of(spoken, Track.FIRST), tmp_path, notes))
    names = {path.name for path in files}
    assert {"voice-first-time.flac", "spoken-first-time.opus"} <= names
    assert any("-23.0 LUFS" in note for note in notes)
    samples, rate_hz = read_audio(tmp_path / "voice-first-time.flac")
    alone = render((), spoken.timeline.total_ms, clips_of(spoken, Track.FIRST))
    assert (rate_hz, len(samples)) == (SAMPLE_RATE_HZ, len(alone))
    assert np.corrcoef(samples, alone)[0, 1] > 0.9999


def test_a_rate_too_slow_for_the_voice_is_refused_with_what_to_do() -> None:
    slow = PLAN.read_text(encoding="utf-8") + "\n[clock]\ntalk_wpm = 70\n"
    with pytest.raises(Invalid, match="80 words a minute") as problem:
        run_plan(plan_from_text(slow, "plan.toml"), options=Options(voice=True))
    assert "talk_wpm = 80" in problem.value.remedy


def test_every_clip_that_a_track_needs_is_told_of_while_they_are_made() -> None:
    told: list[tuple[int, int]] = []
    options = Options(
        cues=True, voice=True, cache=default_cache(), on_words=lambda done, total: told.append((done, total))
    )
    done = run(PLAN, options=options)
    (total,) = {total for _, total in told}
    assert [number for number, _ in told] == list(range(total))
    assert total >= len({speech_text(cue.text) for track in done.cues for cue in track.said})
