"""Sound is encoded once: the same sound again is the same bytes, anything else is made; and parts are made beside."""

from dataclasses import replace
from pathlib import Path

import pytest

from everyrung.pipeline import Options, run
from everyrung.publish.folder import beside, sound
from everyrung.publish.folder.bundle import build_bundle
from everyrung.publish.folder.sound import beep_files
from everyrung.publish.output import NAMES
from everyrung.results.analysis import Analysis
from everyrung.store.cache import default_cache
from everyrung.store.paths import home
from everyrung.terms.timeline import Track
from everyrung.voice.engine import available

PLAN = Path(__file__).parents[1] / "cli" / "small.toml"


@pytest.fixture(scope="module")
def small() -> Analysis:
    return run(PLAN, options=Options(bodies=True, drawings=True, cues=True, cache=default_cache()))


@pytest.fixture
def encodings(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The name of each file that was really encoded as FLAC, with none kept from before."""
    made: list[str] = []
    write = sound.write_flac

    def counted(path: Path, *rest: object) -> None:
        made.append(path.name)
        write(path, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(sound, "write_flac", counted)
    for each in (home() / "sounds").glob("*"):
        each.unlink()
    return made


def written(run: Analysis, folder: Path) -> tuple[dict[str, bytes], list[str], list[str]]:
    notes: list[str] = []
    files = list(beep_files(run, folder, notes))
    return {path.name: path.read_bytes() for path, _ in files}, [what for _, what in files], notes


def test_the_same_beeps_again_are_taken_as_they_were(small: Analysis, tmp_path: Path, encodings: list[str]) -> None:
    first = written(small, tmp_path / "one")
    assert len(first[0]) >= 2
    assert "LUFS" in first[2][0]
    assert written(small, tmp_path / "two") == first
    assert encodings == ["beeps.flac"]


def test_another_time_is_another_sound_and_a_spoilt_one_is_made_again(
    small: Analysis, tmp_path: Path, encodings: list[str]
) -> None:
    first = written(small, tmp_path)
    clock = replace(small.session.clock, count_in_ms=small.session.clock.count_in_ms - 1_000)
    assert written(replace(small, session=replace(small.session, clock=clock)), tmp_path) != first
    assert len(encodings) == 2
    for each in (home() / "sounds").iterdir():
        each.write_bytes(each.read_bytes()[:-1])
    assert written(small, tmp_path) == first
    assert len(encodings) == 3


@pytest.mark.skipif(not available(), reason="no voice here: pip install 'everyrung[voice]'")
def test_a_voice_is_encoded_once_and_other_words_anew(tmp_path: Path, encodings: list[str]) -> None:
    done = run(PLAN, options=Options(cues=True, voice=True, cache=default_cache()))
    track = next(each for each in done.cues if each.track is Track.FIRST)

    def voice(said: object) -> dict[str, bytes]:
        return {path.name: path.read_bytes() for path, _ in sound.voice_files(done, said, tmp_path, [])}  # type: ignore[arg-type]

    first = voice(track)
    assert voice(track) == first
    assert encodings == [f"voice-{NAMES[Track.FIRST]}.flac"]
    assert voice(replace(track, said=track.said[:-1])) != first
    assert len(encodings) == 2


def test_parts_made_beside_are_the_same_to_the_byte(
    small: Analysis, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    here = build_bundle(small, PLAN.read_bytes(), tmp_path / "here", lambda *_: None)
    monkeypatch.setattr(beside, "WORTH_MS", 0)
    monkeypatch.setattr(beside, "cpu_count", lambda: 2)
    told: list[str] = []
    there = build_bundle(small, PLAN.read_bytes(), tmp_path / "there", lambda part, *_: told.append(part))
    assert there.products == here.products
    assert there.notes == here.notes
    assert [name for name, _ in there.steps_ms] == [name for name, _ in here.steps_ms]
    assert told.index("player page") < told.index("audio")


def test_who_stops_while_a_part_is_made_beside_is_heard(
    small: Analysis, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(beside, "WORTH_MS", 0)
    monkeypatch.setattr(beside, "cpu_count", lambda: 2)

    class Enough(Exception):
        """Somebody pressed Stop."""

    def telling(part: str, *_: int) -> None:
        if part == "audio":
            raise Enough

    with pytest.raises(Enough):
        build_bundle(small, PLAN.read_bytes(), tmp_path, telling)
    assert (tmp_path / "UNFINISHED.txt").is_file()
    made = build_bundle(small, PLAN.read_bytes(), tmp_path, lambda *_: None)
    assert "player page" in made.kept
    assert "beeps.flac" in [one.name for one in made.products]
