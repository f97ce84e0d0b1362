"""A plan out of a transcript alone: moves, rounds, doses, sides, kit; and a file that the checks can read."""

import re
from functools import cache
from pathlib import Path

import pytest
from drafts import FIRST_SEED, LEVELS, PLANS, drafted, reads, score, totals
from spoken import lines_of, sets_of

from everyrung.cli import main
from everyrung.lookback.counts import gives_dose
from everyrung.lookback.drafted_plan import DraftedPlan, plan_heard, plan_text, plan_values
from everyrung.lookback.plan_sets import PlanSet
from everyrung.lookback.spoken_times import announced_time_ms
from everyrung.lookback.transcript import Transcript, spread_words
from everyrung.moves.library import standard_library
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.terms.enums import BlockKind, Side
from everyrung.terms.errors import Invalid

Line = tuple[float, str]


def talk(lines: list[Line]) -> Transcript:
    words = [
        word
        for at_s, text in sorted(lines)
        for word in spread_words(text, round(at_s * 1000), round(at_s * 1000) + 400 * len(text.split()))
    ]
    return Transcript(name="talk.txt", words=tuple(words), problems=())


def evening(*extra: Line, gap_s: float = 50) -> list[Line]:
    """Two moves before, three of them in two rounds, one after; the second has two sides."""
    names = ["march on the spot", "arm circles", *["squat", "split squat", "push up"] * 2, "calf stretch at the wall"]
    lines, at_s = [], 60.0
    for name in names:
        lines += [(at_s, f"next {name}"), (at_s + 8, "three two one")]
        at_s += gap_s
        if name in ("split squat", "calf stretch at the wall"):
            lines += [(at_s - 10, "other side")]
            at_s += 20
    return [*lines, *extra]


def test_rounds_come_out_of_what_comes_again() -> None:
    plan = plan_heard(talk(evening()), standard_library()).plan
    assert [(block.kind, list(block.columns)) for block in plan.blocks[1:]] == [
        (BlockKind.WARM_UP, ["march", "arm-circles"]),
        (BlockKind.MAIN, ["squat", "split-squat", "push-up"]),
        (BlockKind.COOL_DOWN, ["calf-stretch"]),
    ]
    assert [each.name for each in plan.blocks[2].rounds] == ["One", "Two"]
    session = resolve(plan, standard_library())
    sides = [
        bout.side for block in session.blocks for each in block.rounds for cell in each.cells for bout in cell.bouts
    ]
    assert sides.count(Side.LEFT) == sides.count(Side.RIGHT) == 3


def test_a_dose_is_what_is_said_and_else_marked_as_a_guess() -> None:
    lines = evening((164, "eight reps"), (63, "for forty five seconds"))
    text = plan_text(plan_heard(talk(lines), standard_library()))
    assert re.search(r'move = "squat".*\n(?:rung.*\n)?dose = "8 reps" # said', text)
    assert re.search(r'move = "march".*\n(?:rung.*\n)?dose = "0:45" # said', text)
    assert re.search(r'move = "push-up".*\n(?:rung.*\n)?dose = "\d+ reps" # \? guessed', text)


def test_an_offered_version_becomes_an_option_and_no_set() -> None:
    lines = evening((172, "harder squat with a low pause"))
    draft = plan_heard(talk(lines), standard_library())
    assert len(draft.cells) == len(plan_heard(talk(evening()), standard_library()).cells)
    assert 'options = {harder = "pause"}' in plan_text(draft)


OTHER_WORDS: list[Line] = [
    (41, "march on the spot big arms nice and easy"),
    (85, "and roll the shoulders back lovely"),
    (140, "okay now arm circles big ones"),
    (180, "hold the weight up and sit down"),
    (190, "number one reverse lunges alternate legs weights by your sides"),
    (250, "and rest coming up romanian deadlift push your bottom back soft knees"),
    (310, "and relax third exercise is calf raises use the wall if you want"),
    (370, "next one's a row put your left hand on the chair ten a side"),
    (382, "one two three four five six seven eight nine ten"),
    (410, "swap over same on the left"),
    (450, "put the weight down now it's push ups eight of them"),
    (500, "roll over onto your back feet flat glute bridge fifteen reps"),
]


def test_another_leader_s_words_are_understood() -> None:
    """Written by hand, by nobody's script: names told as what to do, short names, names with what is taken along."""
    draft = plan_heard(talk(OTHER_WORDS), standard_library())
    heard = {cell.move.key: cell.at_ms / 1000 for cell in draft.cells}
    begins = {
        "march": 41, "shoulder-rolls": 85, "arm-circles": 141, "reverse-lunge": 191, "hip-hinge": 251,
        "calf-raise": 312, "one-arm-row": 371, "push-up": 452, "bridge": 503,
    }  # fmt: skip
    assert list(heard) == list(begins)
    assert all(abs(heard[key] - begins[key]) <= 2 for key in begins)
    assert [cell.sides_heard for cell in draft.cells if cell.move.key == "one-arm-row"] == [2]


@pytest.mark.parametrize(
    ("text", "gives"),
    [
        ("twelve reps off we go", True),
        ("twelve", True),
        ("for thirty seconds", True),
        ("one two three four five six", False),
        ("ten pounds in your hand", False),
        ("nice and easy", False),
    ],
)
def test_a_dose_after_a_name_is_no_count_and_no_weight(text: str, *, gives: bool) -> None:
    assert gives_dose(list(spread_words(text, 0, 5000))) is gives


def test_kit_is_what_versions_need_and_its_size_what_is_said() -> None:
    lines = [(60.0, "next kettlebell swing"), (68, "three two one"), (110, "next squat"), (118, "three two one")]
    guess = plan_heard(talk(lines), standard_library())
    assert any(each.startswith("kettlebell: no size is heard") for each in guess.guesses)
    heard = plan_heard(talk([*lines, (20, "take a twelve kilo kettlebell")]), standard_library())
    assert [str(stock.mass) for stock in heard.plan.kit] == ["12 kg"]
    assert not any("kettlebell" in each for each in heard.guesses)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("for thirty seconds", 30_000),
        ("45 secs", 45_000),
        ("a minute and a half", 90_000),
        ("ten seconds to go", None),
        ("last thirty seconds", None),
        ("two seconds down", None),
        ("twenty degrees", None),
    ],
)
def test_a_time_is_a_length_where_it_is_announced(text: str, expected: int | None) -> None:
    assert announced_time_ms(list(spread_words(text, 0, 5000))) == expected


def test_a_talk_without_moves_is_refused() -> None:
    with pytest.raises(Invalid, match="names of moves"):
        plan_heard(talk([(0, "good evening everybody"), (9, "and thank you")]), standard_library())


@cache
def plainly(plan: str) -> tuple[DraftedPlan, tuple[PlanSet, ...]]:
    """An example as a plain leader says it: every name, every other side."""
    sets = sets_of(plan)
    lines, _ = lines_of(sets, range(len(sets)))
    return plan_heard(talk(lines), standard_library()), sets


@pytest.mark.parametrize("plan", ["boathouse-30", "steady-30"])
def test_a_plain_leader_s_session_comes_back(plan: str) -> None:
    draft, sets = plainly(plan)
    led = [each.cell.move.key for each in sets if not each.part]
    heard = [cell.move.key for cell in draft.cells]
    assert sum(key in heard for key in led) >= 0.9 * len(led)
    assert reads(draft)


def test_the_command_writes_a_plan_that_check_reads(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path, plan = tmp_path / "talk.txt", tmp_path / "draft.toml"
    path.write_text("\n".join(f"[{int(at_s) // 60}:{int(at_s) % 60:02d}] {text}" for at_s, text in sorted(evening())))
    assert main(["draft", str(path), "--write", str(plan)]) == 0
    assert main(["draft", str(path), "--write", str(plan)]) == 2  # never over a file that is there
    assert "expected a file that is not there yet" in capsys.readouterr().err
    assert main(["check", str(plan)]) in (0, 1)  # findings may be; it is read and timed
    assert "As heard in talk.txt" in capsys.readouterr().out


def test_json_has_each_set_with_its_confidence() -> None:
    values = plan_values(plan_heard(talk(evening()), standard_library()))
    sets = values["sets"]
    assert isinstance(sets, list)
    assert [each["move"] for each in sets][:3] == ["march", "arm-circles", "squat"]
    assert all(0 <= each["chance"] <= 1 for each in sets)
    assert plan_from_text(str(values["plan"]), "draft").title == "As heard in talk.txt"


def test_a_made_transcript_with_one_word_in_ten_wrong_is_drafted() -> None:
    draft, truth, sets = drafted("upper-body-30", FIRST_SEED + 1, 0.1)
    counts = score(draft, truth, sets)
    assert counts["moves"] >= 0.6 * counts["led"]
    assert reads(draft)


@pytest.mark.slow
@pytest.mark.parametrize(("level", "least"), list(zip(LEVELS, (0.80, 0.72, 0.65, 0.45), strict=True)))
def test_drafts_of_all_examples_have_most_of_their_moves(level: float, least: float) -> None:
    """The page's table, with room for a change of the scripts. A minute a level."""
    sums = [totals(plan, level) for plan in PLANS]
    assert sum(each["moves"] for each in sums) >= least * sum(each["led"] for each in sums)
    assert all(each["reads"] == each["drafts"] for each in sums)
