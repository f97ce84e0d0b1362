"""`everyrung rehearse`, `card` and `learn`: what they print and write, and every bad input refused in words."""

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from everyrung.cli import main
from everyrung.terms.enums import Caution

PLAN = Path(__file__).parent / "small.toml"
PEOPLE = """name;stature;mass;age;sex;level;kit;limits;medicine
Åse;165 cm;62 kg;41;female;regular;2 x 4 kg;;no
Odd;5' 11";82 kg;67;male;new;rucksack 6 kg, ball 65 cm;deep knee bend, lying on the back;yes
../x;1,72 m;;;;;;;
"""


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory, share_results: Callable[[Path], None]) -> Path:
    """One home for all."""
    made = tmp_path_factory.mktemp("home")
    share_results(made)
    return made


@pytest.fixture(autouse=True)
def at_home(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("EVERYRUNG_HOME", str(home))
    from everyrung.store.cache import default_cache

    default_cache.cache_clear()


@pytest.fixture
def people(tmp_path: Path) -> Path:
    path = tmp_path / "people.csv"
    path.write_text(PEOPLE, encoding="utf-8")
    return path


def everyrung(capsys: pytest.CaptureFixture[str], *words: object) -> tuple[int, str, str]:
    code = main([str(word) for word in words])
    out, err = capsys.readouterr()
    return code, out, err


def refused(capsys: pytest.CaptureFixture[str], *words: object) -> str:
    try:
        code = main([str(word) for word in words])
    except SystemExit as ended:  # argparse's own refusals
        code = int(ended.code or 0)
    out, err = capsys.readouterr()
    assert code == 2
    assert not out
    assert "Traceback" not in err
    return err


def test_a_rehearsal_says_who_finishes_and_what_moves_it(capsys) -> None:
    code, out, _ = everyrung(capsys, "rehearse", PLAN, "--audience", 400)
    assert code in (0, 1)
    for words in ("Rehearsed before 400 people: Boathouse evening (seed 1).", "can finish every set with some rung",
                  "beats a minute for the middle person", "kcal", "Main/Two/squat: ", "stopped by 10/50/90%",
                  "hold or skip"):  # fmt: skip
        assert words in out
    session = re.search(r"How hard the session feels, 0 to 10: (\d+) of 10 \((\d+) to (\d+)\); times ", out)
    assert session
    middle, low, high = (int(each) for each in session.groups())
    assert 0 <= low < middle < high <= 10
    assert out.count("\n  how hard it feels, 0 to 10: ") == out.count("can finish some rung,")  # once a set


def test_the_same_seed_says_the_same_and_another_one_something_else(capsys) -> None:
    one, again, other = (
        everyrung(capsys, "rehearse", PLAN, "--audience", 300, "--seed", seed)[1] for seed in (1, 1, 2)
    )
    assert one == again != other


def test_json_has_shares_with_their_errors_and_nothing_about_health(capsys, people: Path) -> None:
    _, out, _ = everyrung(capsys, "rehearse", PLAN, "--audience", 300, "--people", people, "--json")
    values = json.loads(out)
    assert {"part", "error", "of", "low", "high"} == set(values["forecast"]["whole"])  # error of the draw, of the model
    cell = values["forecast"]["cells"][0]
    assert {"kind", "finishing", "possible", "left", "limiting", "advised", "loads"} <= set(cell["rungs"][0])
    assert "recovery slow" in cell["moved_points"]
    for rating in (cell["rating"], values["forecast"]["rating"]):
        assert 0 <= rating["low"] < rating["middle"] < rating["high"] <= 10
    # Foster 2021, checks2.csv CN38 (V): the session's rating times its minutes
    forecast = values["forecast"]
    assert forecast["session_load"] == pytest.approx(round(forecast["rating"]["middle"]) * forecast["minutes"])
    assert forecast["minutes"] > 1
    assert [person["name"] for person in values["people"]] == ["Åse", "Odd", "../x"]
    said = json.dumps(values["people"]).lower()
    assert not [word for word in (*map(str, Caution), "medicine") if word in said]


def test_people_on_rate_limiting_medicine_get_no_word_of_a_rate(capsys, people: Path) -> None:
    _, out, _ = everyrung(capsys, "rehearse", PLAN, "--audience", 100, "--people", people, "--json")
    odd = json.loads(out)["people"][1]
    assert odd["heart_rate"] == "Your heart rate won't tell you much: go by how it feels."


def test_what_was_taken_for_unknown_people_is_said(capsys, people: Path) -> None:
    _, out, _ = everyrung(capsys, "rehearse", PLAN, "--audience", 100, "--people", people)
    assert "level not given: taken as new" in out
    assert "mass not given" in out


def test_cards_are_written_for_everyone_in_the_folder_that_was_named(capsys, people: Path, tmp_path: Path) -> None:
    code, out, _ = everyrung(capsys, "card", PLAN, "--people", people, "--poster", "--out", tmp_path / "cards")
    assert code == 0
    paths = [Path(line) for line in out.splitlines()]
    assert len(paths) == len(set(paths)) == 16
    assert all(path.parent == tmp_path / "cards" and path.stat().st_size > 1000 for path in paths)
    assert {path.suffix for path in paths} == {".html", ".pdf", ".txt"}


def test_a_card_for_a_kind_of_person(capsys, tmp_path: Path) -> None:
    code, out, _ = everyrung(capsys, "card", PLAN, "--stature", "165cm", "--kit", "4 kg", "--out", tmp_path)
    assert code == 0
    page = Path(out.splitlines()[0]).read_text(encoding="utf-8")
    assert "about 165 cm, 4 kg, new" in page
    assert "Age not given: 45 is taken" in page


def test_learning_prints_bounds_and_the_next_rehearsal_uses_them(capsys, people: Path, tmp_path: Path) -> None:
    answers = tmp_path / "answers.toml"
    answers.write_text(
        '[[answer]]\nperson = "Åse"\ncell = "Main/Two/squat"\nload = "4 kg"\nreps = 8\nleft = 1\n', encoding="utf-8"
    )
    code, out, _ = everyrung(capsys, "learn", PLAN, answers, "--people", people, "--out", tmp_path / "known.toml")
    assert code == 0
    assert out.startswith("Åse, 1 answer: strength 0.")
    assert "strength_error" in (tmp_path / "known.toml").read_text(encoding="utf-8")
    usual, learned = (
        json.loads(everyrung(capsys, "rehearse", PLAN, "--audience", 50, "--people", each, "--json")[1])["people"][0]
        for each in (people, tmp_path / "known.toml")
    )
    assert usual["name"] == learned["name"]
    assert usual["cells"] != learned["cells"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--audience", "0"), "expected 1 to 10,000,000 people"),
        (("--audience", "many"), "expected 1 to 10,000,000 people"),
        (("--seed", "-1"), "expected 0 to"),
        (("--mix", "boathous"), "Nearest: boathouse."),
        (("--mix", "nowhere.toml"), "nowhere.toml"),
        (("--people", "nobody.csv"), "nobody.csv"),
        (("--people", "people.txt"), "CSV"),
    ],
)
def test_what_a_rehearsal_cannot_use_is_refused_in_words(capsys, words: tuple[str, ...], said: str) -> None:
    assert said in refused(capsys, "rehearse", PLAN, *words)


def test_a_bad_people_file_is_refused_with_every_line(capsys, tmp_path: Path) -> None:
    path = tmp_path / "people.csv"
    path.write_text("name,stature,mass\nÅse,16 cm,62 kg\nOdd,180 cm,620 kg\n", encoding="utf-8")
    err = refused(capsys, "rehearse", PLAN, "--people", path)
    assert "people.csv:2: " in err
    assert "people.csv:3: " in err


def test_nobody_to_write_a_card_for_and_unknown_names(capsys, people: Path) -> None:
    assert "--stature LENGTH" in refused(capsys, "card", PLAN)
    err = refused(capsys, "card", PLAN, "--people", people, "--name", "Ase")
    assert "Nearest: Åse" in err


def test_a_card_s_kit_in_unknown_words_is_refused(capsys) -> None:
    assert "dumbel" in refused(capsys, "card", PLAN, "--stature", "165cm", "--kit", "dumbel 4 kg")


def test_answers_of_unknown_people_or_about_unknown_cells_write_nothing(capsys, people: Path, tmp_path: Path) -> None:
    answers = tmp_path / "answers.toml"
    out = tmp_path / "known.toml"
    for person, cell, said in (("Åsa", "Main/One/squat", "Nearest: Åse"), ("Odd", "Main/One/sqat", "Main/One/squat")):
        answers.write_text(f'[[answer]]\nperson = "{person}"\ncell = "{cell}"\nreps = 8\nleft = 1\n', encoding="utf-8")
        assert said in refused(capsys, "learn", PLAN, answers, "--people", people, "--out", out)
        assert not out.exists()
