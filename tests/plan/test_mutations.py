"""However an example plan is spoiled, it is used or refused in words: no traceback, no hang, no changed file."""

import json
import random
import tomllib
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
import tomlkit
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from everyrung.checks.registry import check
from everyrung.moves.library import standard_library
from everyrung.plan.read import plan_from_text, read_plan
from everyrung.plan.resolve import resolve
from everyrung.plan.write import canonical, write_plan
from everyrung.results.analysis import Analysis
from everyrung.score.draw import score_svg
from everyrung.terms.enums import BlockKind
from everyrung.terms.errors import Faults
from everyrung.timing.cut_order import newly_uneven
from everyrung.timing.refit import refit
from everyrung.timing.timeline import build_timeline

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))
TEXTS = [path.read_text() for path in EXAMPLES]
TOKENS = [
    "0",
    "-1",
    "1e400",
    "nan",
    "inf",
    "99999999999999999999",
    "true",
    '""',
    '"\\u0000"',
    "[]",
    "{}",
    "[[1]]",
    "1979-05-27",
    '"0310"',
    '"1:30"',
    '"1,5 kg"',
    '"2 x 10 kg"',
    '"10 lb + 4 kg"',
    '"9 a side"',
    '"13 in all"',
    '"left only"',
    '"one side a round"',
    '"base"',
    '"squat/base"',
    '"One"',
    '"Main"',
    '"2-0-2-0"',
    '"0-0-0-0"',
    '"PT5M"',
    '"light band"',
    '"at the chest"',
    "'''",
    "\u202e",
    "\x00",
    '{ pause = "2 s" }',
    '[{ swap = "squat" }, { pulse = 3 }]',
    '[{ unilateral = "one side" }]',
    '[{ load = "pair" }]',
]
VALUES: list[Any] = [
    0,
    -1,
    1,
    13,
    10**30,
    2.5,
    float("nan"),
    True,
    "",
    " ",
    "9 a side",
    "13 in all",
    "0:40 a side",
    "45 s",
    "2-0-2-0",
    "0-0-0-0",
    "10 lb",
    "2 x 10 lb",
    "20 lb + 15 lb",
    "light band",
    "one side a round",
    "left only",
    "opposite hand",
    "base",
    "wall",
    "squat",
    "front-plank",
    "hold",
    "😀" * 50,
    [],
    {},
    [{"pause": "2 s"}],
    [{"swap": "bridge/base"}],
    [{"range": 0.5}, {"reps": -9}],
    {"dose": "5 a side"},
    {"rung": "base", "levers": [{"load": "one"}]},
    ["Main"],
    ["Main/One"],
    [1, "a", {}],
    {"harder": "base"},
    "reserve",
    "cool-down",
]


def spoilt_text(text: str, seed: random.Random) -> str:
    """A plan text with one to three edits that a slip of hand or a bad merge could make."""
    lines = text.split("\n")
    for _ in range(seed.randint(1, 3)):
        at = seed.randrange(len(lines))
        kind = seed.randrange(6)
        if kind == 0:
            del lines[at]
            lines = lines or [""]
        elif kind == 1:
            lines.insert(at, lines[seed.randrange(len(lines))])
        elif kind == 2 and "=" in lines[at]:
            lines[at] = lines[at].split("=", 1)[0] + "= " + seed.choice(TOKENS)
        elif kind == 3 and lines[at]:
            cut = seed.randrange(len(lines[at]))
            lines[at] = lines[at][:cut] + seed.choice([*TOKENS, "", '"', "=", "[", "}"]) + lines[at][cut + 1 :]
        elif kind == 4:
            other = seed.randrange(len(lines))
            lines[at], lines[other] = lines[other], lines[at]
        else:
            lines[at:] = lines[at : at + seed.randrange(40)]
            lines = lines or [""]
    return "\n".join(lines)


def spoilt_values(text: str, seed: random.Random) -> str:
    """A plan that is still TOML, with one or two of its values exchanged, moved or taken out."""
    document = tomllib.loads(text)
    for _ in range(seed.randint(1, 2)):
        holder: Any = document
        while True:
            keys = list(holder) if isinstance(holder, dict) else list(range(len(holder)))
            if not keys:
                break
            key = seed.choice(keys)
            if isinstance(holder[key], dict | list) and holder[key] and seed.random() < 0.8:
                holder = holder[key]
                continue
            if seed.random() < 0.15:
                del holder[key]
            else:
                alike = [value for value in VALUES if type(value) is type(holder[key])]
                holder[key] = deepcopy(seed.choice(alike if alike and seed.random() < 0.6 else VALUES))
            break
    return tomlkit.dumps(document)


def use(text: str) -> None:
    """Everything that `check`, `check --minutes` and `rewrite` do with a plan."""
    plan = plan_from_text(text, "spoilt.toml")
    session = resolve(plan, standard_library())
    timeline = build_timeline(session)
    findings = check(session, timeline)
    fitted = refit(session, 20 * 60_000)
    assert fitted.problem or fitted.after_ms <= fitted.slot_ms
    assert not newly_uneven(session, fitted.session)
    assert fitted.session.of_kind(BlockKind.COOL_DOWN) == session.of_kind(BlockKind.COOL_DOWN)
    run = Analysis(plan=plan, session=session, timeline=timeline, findings=findings, refit=fitted)
    assert json.loads(json.dumps(run.to_dict(explain=True)))["total_ms"] == timeline.total_ms
    if len(text) % 8 == 0:  # the drawing costs more than all the rest
        score_svg(session, timeline)
    rewritten = canonical(text, "spoilt.toml")
    assert plan_from_text(rewritten, "spoilt.toml") == plan
    assert plan_from_text(write_plan(plan), "spoilt.toml") == plan
    assert canonical(rewritten, "spoilt.toml") == rewritten


def hold(text: str) -> None:
    try:
        use(text)
        empty = []
    except Faults as faults:
        empty = [fault for fault in faults.faults if not (fault.expected and fault.got)]
    assert not empty


@settings(max_examples=60, deadline=10_000, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(TEXTS), st.integers(0, 2**32))
def test_a_spoilt_text_is_used_or_refused_in_words(text: str, number: int) -> None:
    hold(spoilt_text(text, random.Random(number)))


@settings(max_examples=60, deadline=10_000, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(TEXTS), st.integers(0, 2**32))
def test_spoilt_values_are_used_or_refused_in_words(text: str, number: int) -> None:
    hold(spoilt_values(text, random.Random(number)))


@pytest.mark.slow
@settings(max_examples=1200, deadline=10_000, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(TEXTS), st.integers(0, 2**32))
def test_so_are_many_more(text: str, number: int) -> None:
    hold(spoilt_text(text, random.Random(number)))
    hold(spoilt_values(text, random.Random(number)))


def test_the_spoilers_reach_both_outcomes() -> None:
    """A fuzz test in which everything is refused, or nothing, would prove little."""
    outcomes = []
    for number in range(30):
        try:
            use(spoilt_values(TEXTS[number % len(TEXTS)], random.Random(number)))
            outcomes.append(True)
        except Faults:
            outcomes.append(False)
    assert 3 < sum(outcomes) < 27


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("noise")


@settings(max_examples=100, deadline=10_000)
@given(raw=st.binary(max_size=400))
def test_bytes_that_are_no_plan_are_refused_and_left_as_they_are(raw: bytes, folder: Path) -> None:
    path = folder / "noise.toml"
    path.write_bytes(raw)
    try:
        read_plan(path)
    except Faults:
        pass
    else:
        raise AssertionError("noise was read as a plan")
    assert path.read_bytes() == raw


def test_the_examples_read_the_same_after_writing() -> None:
    for text in TEXTS:
        plan = plan_from_text(text, "example.toml")
        assert canonical(text, "example.toml") == text
        assert plan_from_text(write_plan(plan), "example.toml") == plan


@pytest.mark.parametrize("cells", [1_000, pytest.param(10_000, marks=pytest.mark.slow)])
def test_a_thousand_cells_and_ten_thousand_are_timed_and_checked(cells: int) -> None:
    """A runaway file is answered like any other: each finding once, the sums right, nothing cut short."""
    rounds = "".join(f'[[block.round]]\nname = "{number}"\n' for number in range(cells // 2))
    text = (
        'title = "Runaway"\nslot_minutes = 60\ncut_order = ["Main/17", "Main/18"]\n[who]\nin_room = 5\n'
        '[[block]]\nkind = "main"\n[[block.move]]\nmove = "squat"\n[[block.move]]\nmove = "split-squat"\n' + rounds
    )
    session = resolve(plan_from_text(text, "runaway.toml"), standard_library())
    timeline = build_timeline(session)
    assert sum(1 for _ in session.cells) == cells
    assert sum(timeline.by_kind.values()) == timeline.total_ms
    rules = [finding.rule for finding in check(session, timeline)]
    assert rules.count("slot-overrun") == 1
    assert {"warm-up-floor", "cool-down-floor", "round-same"} <= set(rules)


def test_more_cells_than_a_day_holds_are_refused() -> None:
    rounds = "".join(f'[[block.round]]\nname = "{number}"\n' for number in range(20_001))
    head = 'title = "x"\nslot_minutes = 60\n[who]\nin_room = 1\n[[block]]\nkind = "main"\n'
    text = f'{head}[[block.move]]\nmove = "squat"\n{rounds}'
    with pytest.raises(Faults) as caught:
        plan_from_text(text, "x.toml")
    assert "at most 20,000 cells" in str(caught.value)


def test_a_file_full_of_faults_is_told_a_hundred_of_them() -> None:
    rounds = "".join(f'[[block.round]]\nname = "{number}"\nlike = "x{number}"\n' for number in range(5_000))
    head = 'title = "x"\nslot_minutes = 60\n[who]\nin_room = 1\n[[block]]\nkind = "main"\n'
    with pytest.raises(Faults) as caught:
        plan_from_text(f'{head}[[block.move]]\nmove = "squat"\n{rounds}', "x.toml")
    assert len(caught.value.faults) == 100
