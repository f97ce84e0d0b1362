"""`everyrung body`: one rung on one body, printed, compared, drawn, and every bad value refused in one line."""

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from everyrung.cli import main


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("EVERYRUNG_HOME", str(tmp_path / "home"))


def printed(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = main(["body", *arguments])
    out, err = capsys.readouterr()
    return code, out, err


def test_the_issues_own_example_prints_every_table(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = printed(
        capsys, *["split-squat", "opposite", "--stature", "165cm", "--mass", "62kg", "--load", "10lb"]
    )
    assert code == 0
    assert "female, 165 cm, 62 kg, holding 4.5 kg; a repetition of 4 s" in out
    for word in ("knee extension right", "gluteus medius right", "foot right", "trunk moment", "balance margin",
                 "work lifted", "metabolic power above rest", "self-check", "strength from memory"):  # fmt: skip
        assert word in out


def test_json_says_what_the_table_says_and_power_only_as_a_band(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = printed(capsys, "squat", "base", "--stature", "1.65 m", "--mass", "62kg", "--json")
    values = json.loads(out)
    _, table, _ = printed(capsys, "squat", "base", "--stature", "165cm", "--mass", "62kg")
    knee = next(each for each in values["moments"] if each["motion"] == "knee_extension_left")
    assert f"{knee['moment_nm']:.0f}{knee['fraction']:>13.0%}" in table
    low, high = values["above_rest_w"]
    assert low < high
    assert f"{low:.0f} to {high:.0f} W" in table
    assert values["held"] is True


def test_two_rungs_are_set_side_by_side(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = printed(capsys, "squat", "half-wall", "--compare", "base", "--stature", "165cm", "--mass", "62kg")
    assert code == 0
    joint = next(line for line in out.splitlines() if "hardest joint" in line)
    assert joint.endswith(": harder")
    assert "work lifted" in out
    _, text, _ = printed(capsys, "squat", "half-wall", "--compare", "base", "--json")
    measures = json.loads(text)["measures"]
    assert any(each["harder"] for each in measures)


def test_a_figure_is_written_as_svg(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    code, _, _ = printed(capsys, "bridge", "base", "--figure", str(tmp_path / "out.svg"))
    assert code == 0
    picture = ET.parse(tmp_path / "out.svg").getroot()
    assert picture.tag.endswith("svg")
    assert picture.findtext("{http://www.w3.org/2000/svg}title") == "Bridge"


def test_feet_and_pounds_are_read() -> None:
    """By hand: 5 ft 5 in is 165.1 cm, 137 lb is 62.1 kg (international foot, inch and pound)."""
    from everyrung.cli.arg_types import body_mass, stature

    assert stature("5 ft 5 in") == pytest.approx(1.651)
    assert stature("5'5\"") == pytest.approx(1.651)
    assert body_mass("137 lb") == pytest.approx(62.14, abs=0.01)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ("squat base --stature 3m", "130 to 220 cm"),
        ("squat base --stature 165cm --mass 20kg", "38 to 150 kg at 165 cm"),
        ("squat base --stature 165", "such as 165cm"),
        ("squat base --mass heavy", "such as 62kg"),
        ("split-squat opposite --load 500lb", "at most 100 kg"),
        ("split-squat opposite --load=-3kg", "such as"),
        ("squad base", "Nearest: squat"),
        ("squat bass", "Nearest: base"),
        ("squat base --load 10lb", "holds none"),
        ("squat base --compare deep", "a rung of squat"),
        ("squat base --figure /dev/null/out.svg", "/dev/null"),
    ],
)
def test_a_bad_value_is_one_clear_line_and_no_traceback(
    capsys: pytest.CaptureFixture[str], arguments: str, words: str
) -> None:
    try:
        code = main(["body", *arguments.split()])
    except SystemExit as ended:
        code = int(ended.code or 0)
    out, err = capsys.readouterr()
    assert code == 2
    assert words in err
    assert "Traceback" not in err
    assert not out


def test_a_rung_beyond_the_body_says_so_and_ends_with_1(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = printed(capsys, "front-plank", "reach", "--stature", "163cm", "--mass", "79kg")
    assert code == 1
    assert "CAN'T BE HELD as described: shoulder" in out


SMALL = """
title = "Two rounds"
slot_minutes = 10
[who]
in_room = 4
[[block]]
kind = "main"
name = "Main"
  [[block.move]]
  move = "squat"
  dose = "8 reps"
  [[block.round]]
  name = "One"
  [[block.round]]
  name = "Two"
  like = "One"
  cell.squat = { rung = "pause" }
"""


def test_check_on_the_bodies_gives_every_number_with_its_body_and_energy_only_as_bands(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    plan = tmp_path / "two.toml"
    plan.write_text(SMALL, encoding="utf-8")
    main(["check", str(plan), "--bodies", "--json"])
    values = json.loads(capsys.readouterr().out)
    assert len(values["bodies"]) == 12
    assert values["focus"]["Main/Two/squat"][0] == "front of the thigh"
    for each in values["bodies"]:
        assert " to " in each["energy"]["kcal"]
        assert " to " in each["energy"]["met"]
        assert each["energy"]["error"]
        first, second = (each["cells"][f"Main/{name}/squat"] for name in ("One", "Two"))
        assert first["hardest_joint"].startswith(("knee_extension", "trunk_extension"))
        assert first["fraction"] == pytest.approx(second["fraction"], abs=0.02)
    assert not [each for each in values["findings"] if each["rule"].startswith("round-")]
    main(["check", str(plan), "--bodies"])
    text = capsys.readouterr().out
    assert "Computed on 12 bodies, female, 152 cm, 49 kg to male, 187 cm, 105 kg." in text
    assert "% less to" in text
