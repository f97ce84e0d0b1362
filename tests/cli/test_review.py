"""`everyrung review`: plan against transcript on the screen and as JSON; refusals in a sentence."""

import json
from pathlib import Path

import pytest
from spoken import lines_of, sets_of

from everyrung.cli import main
from everyrung.terms.units import clock_text

DEMO = Path(__file__).parents[2] / "examples" / "boathouse-30.toml"


@pytest.fixture(scope="module")
def transcript(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo as planned, without its last set."""
    sets = sets_of("boathouse-30")
    path = tmp_path_factory.mktemp("talk") / "talk.txt"
    lines, _ = lines_of(sets, range(len(sets) - 1))
    path.write_text("\n".join(f"[{int(at_s) // 60}:{int(at_s) % 60:02d}] {text}" for at_s, text in lines))
    return path


def test_the_report_has_plan_and_transcript_side_by_side(
    transcript: Path, capsys: pytest.CaptureFixture[str], file_language: object
) -> None:
    assert main(["review", str(DEMO), "--transcript", str(transcript)]) == 0
    out = capsys.readouterr().out
    right = next(each for each in sets_of("boathouse-30") if (each.ref, each.part) == ("Main/One/lunge", 1))
    at = clock_text(right.at_ms)
    assert f"{at}   {at}    Split squat, right" in out
    assert "Standing chest opener: not led" in out
    assert callable(file_language)
    assert file_language(out) == []


def test_json_has_every_set_with_its_times(transcript: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["review", str(DEMO), "--transcript", str(transcript), "--json"]) == 0
    values = json.loads(capsys.readouterr().out)
    right = next(each for each in values["sets"] if each["ref"] == "Main/One/lunge" and each["side"] == "right")
    assert abs(right["at_ms"] - right["plan_ms"]) <= 5000 == values["resolution_ms"]
    assert right["sure"] is True


def test_what_is_no_transcript_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "notes.txt"
    path.write_text("She led it well.")
    assert main(["review", str(DEMO), "--transcript", str(path)]) == 2
    err = capsys.readouterr().err
    assert err.startswith("notes.txt:1: transcript: expected WebVTT")
    assert "Traceback" not in err
