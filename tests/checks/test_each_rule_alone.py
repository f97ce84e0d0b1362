"""Every rule is broken alone: one small change of the clean plan, and only that rule speaks.

Limits: the novice range of 8 to 12 repetitions is ACSM 2009 (position stand); warm-up and cool-down of 5 minutes
are ACSM guidelines, 11th ed., from memory; the other limits are common practice, no source, or chosen.
"""

from collections.abc import Callable
from dataclasses import dataclass

import pytest

from everyrung.checks.registry import rules
from everyrung.checks.rule import TIMELINE
from everyrung.terms.finding import Finding

LUNGE = '  as = "lunge"\n'
SHORTER = ("slot_minutes = 38", "slot_minutes = 37")  # to stay within the slot when the change takes time away
LONGER = ("slot_minutes = 38", "slot_minutes = 39")  # or adds some
PUSH = '  move = "push-up"\n  as = "push"\n  rung = "knees"\n  dose = "8 reps"\n'
CLOSE = PUSH.replace('"push-up"', '"close-push-up"').replace('"knees"', '"base"')
HINGE = '  move = "hip-hinge"\n  as = "hinge"\n  dose = "10 reps"\n'
TWO = "  cell.hinge = "
THREE = '  cell.bridge = { dose = "12 reps" }'
SOURCES = ("common practice, no source", "chosen, because", "ACSM", "the plan's own", "arithmetic")
STILL_HARDER = 'harder = { rung = "feet-raised", levers = [{ pause = "2 s" }] }'
BALL = ("[[kit]]", '[[kit]]\nitem = "ball"\ndiameter = "65 cm"\nrated = "250 kg"\ncount = 12\n\n[[kit]]')


def more_dumbbells(mass: str) -> tuple[str, str]:
    """A second kind of dumbbell in the kit, a pair for everyone in the room."""
    band = '[[kit]]\nitem = "band"\n'
    return (band, f'[[kit]]\nitem = "dumbbells"\nmass = "{mass}"\nas = "pairs"\ncount = 12\n\n{band}')


NO_WRISTS = ("newcomers = true", 'newcomers = true\nlimits = ["wrist load"]')
THE_RESERVE = (
    '[[block]]\nkind = "reserve"\nname = "Extra"\n  [[block.move]]\n  move = "calf-raise"\n  dose = "12 reps"\n'
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Broken:
    """Edits that break one rule, and words that its finding must hold."""

    rule: str
    severity: str
    place: str
    measured: str
    remedy: str
    edits: tuple[tuple[str, str], ...]


FEW_PATTERNS = (
    ('  move = "overhead-press"\n', '  move = "calf-raise"\n'),
    (PUSH, '  move = "march"\n  as = "push"\n  dose = "60 s"\n'),
    ('  move = "bridge"\n', '  move = "bent-knee-calf-raise"\n  as = "bridge"\n'),
    ('  as = "bug"\n  rung = "half"\n', '  as = "bug"\n'),
    ('  move = "dead-bug"\n', '  move = "march"\n'),
)
STOP = "Choose your version. Stop for pain, a tight chest or dizziness."
ASK = "New to this, or trouble with heart, kidneys or sugar? Ask your doctor first."
CASES = (
    Broken(
        rule="stop-signs-unsaid",
        severity="note",
        place="announcement",
        measured="1 of 3 said: nothing of a chest that feels tight and dizziness",
        remedy="Stop at once for pain, a tight chest or dizziness",
        edits=((STOP, "Choose your version. Stop for pain."),),
    ),
    Broken(
        rule="screening-unsaid",
        severity="note",
        place="announcement",
        measured="2 of 3 said: nothing of disease of heart, kidneys or blood sugar",
        remedy="Ask your doctor first",
        edits=((ASK, "New to this? Say so."),),
    ),
    Broken(
        rule="rest-short",
        severity="warning",
        place="Main / One, Two, Three / hinge; Main / One, Two, Three / row",
        measured="3 times less than 1:00 between sets of one pattern",
        remedy="Put a move of another pattern between them",
        edits=(('  move = "bent-row"\n', '  move = "hip-hinge"\n'),),
    ),
    Broken(
        rule="warm-up-gap",
        severity="warning",
        place="warm-up",
        measured="7 of 8 prepared: nothing for the wrists",
        remedy="to the warm-up, without a load",
        edits=(('  move = "push-up"\n  as = "wall-push"\n  rung = "wall"\n', '  move = "arm-circles"\n'),),
    ),
    Broken(
        rule="stretch-short",
        severity="note",
        place="Cool-down / calf-stretch",
        measured="calf stretch 0:59",
        remedy="Stretch fewer muscles longer",
        edits=(('dose = "60 s a side"', 'dose = "59 s a side"'),),
    ),
    Broken(
        rule="words-shown",
        severity="warning",
        place="Main",
        measured="'like this'",
        remedy="Say what moves where",
        edits=(('kind = "main"', 'kind = "main"\nsay = ["Do it like this."]'),),
    ),
    Broken(
        rule="look-head-down",
        severity="warning",
        place="Main / One, Two, Three / bridge",
        measured="'Look at the screen.', said in 3 sets, lying on the back",
        remedy="Say it before the set",
        edits=(('  move = "bridge"\n', '  move = "bridge"\n  cues = ["Look at the screen."]\n'),),
    ),
    Broken(
        rule="words-urging",
        severity="warning",
        place="Main",
        measured="'faster'",
        remedy="your own pace",
        edits=(('kind = "main"', 'kind = "main"\nsay = ["Three rounds, each faster."]'),),
    ),
    Broken(
        rule="side-not-theirs",
        severity="warning",
        place="Main",
        measured="'my left'",
        remedy="Say 'left' and mean theirs",
        edits=(('kind = "main"', 'kind = "main"\nsay = ["Begin on my left."]'),),
    ),
    Broken(
        rule="countdown-rises",
        severity="warning",
        place="Main",
        measured="3, 2, 1, 5",
        remedy="Announce the real end",
        edits=(('kind = "main"', 'kind = "main"\nsay = ["Three, two, one, five more."]'),),
    ),
    Broken(
        rule="count-differs",
        severity="warning",
        place="Main / One, Two, Three / hinge",
        measured="'Last five' in 'Last five!'",
        remedy="Leave the number out",
        edits=(('as = "hinge"', 'as = "hinge"\n  cues = ["Last five!"]'),),
    ),
    Broken(
        rule="slot-overrun",
        severity="error",
        place="whole session",
        measured=" over: announcement 0:20, explaining ",
        remedy="Cut Main / Three (",
        edits=(("slot_minutes = 38", "slot_minutes = 35"),),
    ),
    Broken(
        rule="slot-underfilled",
        severity="warning",
        place="whole session",
        measured=" left empty",
        remedy="Take in the reserve: Extra (1:13 more), which makes 38:41.",
        edits=(("slot_minutes = 38", "slot_minutes = 42"),),
    ),
    Broken(
        rule="warm-up-floor",
        severity="warning",
        place="warm-up",
        measured="4:39 of warm-up, 0:21 short",
        remedy="0:21 more",
        edits=(('dose = "1:28"', 'dose = "0:58"'),),
    ),
    Broken(
        rule="warm-up-floor",
        severity="error",
        place="warm-up",
        measured="0:00",
        remedy="takes 5:00 or more",
        edits=(('kind = "warm-up"', 'kind = "cool-down"'),),
    ),
    Broken(
        rule="cool-down-floor",
        severity="warning",
        place="cool-down",
        measured="4:47 of cool-down, 0:13 short",
        remedy="0:13 more",
        edits=(
            ('  [[block.move]]\n  move = "chest-opener"\n  dose = "1:00"\n', ""),
            ("slot_minutes = 38", "slot_minutes = 37"),
        ),
    ),
    Broken(
        rule="cool-down-floor",
        severity="error",
        place="cool-down",
        measured="0:00",
        remedy="takes 5:00 or more",
        edits=(('kind = "cool-down"', 'kind = "warm-up"'),),
    ),
    Broken(
        rule="sides-unequal",
        severity="error",
        place="Main / Three / lunge",
        measured="split squat: left 24 reps, 1:36; right 16 reps, 1:04; the right is owed 8 reps",
        remedy="Give the right 8 reps more",
        edits=((THREE, f'{THREE}\n  cell.lunge = {{ sides = "left only" }}'),),
    ),
    Broken(
        rule="sides-unequal",
        severity="error",
        place="Main / Three / bug",
        measured="the right is owed 1 rep",
        remedy='Make its dose "12 in all" or "14 in all"',
        edits=((THREE, '  cell.bug = { dose = "13 in all" }'),),
    ),
    Broken(
        rule="sides-unequal",
        severity="error",
        place="Main / Three / lunge",
        measured="left 25 reps, 1:40; right 24 reps, 1:36",
        remedy='Make its dose "16 in all" or "18 in all"',
        edits=((THREE, '  cell.lunge = { dose = "17 in all" }'),),
    ),
    Broken(
        rule="side-by-round",
        severity="error",
        place="Main / One, Two, Three / lunge",
        measured="2 left and 1 right: 3 rounds cannot alternate one side a round and come out equal",
        remedy="or lead 4 rounds of it",
        edits=(SHORTER, (LUNGE, f'{LUNGE}  sides = "one side a round"\n')),
    ),
    Broken(
        rule="sides-differ",
        severity="error",
        place="Main / Three / lunge",
        measured="dose left 8 reps, right 10 reps",
        remedy="Give both sides of the split squat the same dose.",
        edits=((THREE, f'{THREE}\n  cell.lunge = {{ right = {{ dose = "10 reps" }} }}'),),
    ),
    Broken(
        rule="sides-differ",
        severity="error",
        place="Main / One, Two, Three / lunge",
        measured="tempo left 2-0-2-0, right 3-0-2-0",
        remedy="Give both sides of the split squat the same tempo.",
        edits=((LUNGE, f'{LUNGE}  right = {{ tempo = "3-0-2-0" }}\n'),),
    ),
    Broken(
        rule="side-owed",
        severity="warning",
        place="Main / Three / lunge",
        measured="split squat: the right is owed 8 reps when Main ends",
        remedy="Lead the right of the split squat (8 reps) before Main ends",
        edits=(
            (THREE, f'{THREE}\n  cell.lunge = {{ sides = "left only" }}'),
            (
                '[[block]]\nkind = "cool-down"',
                '[[block]]\nkind = "main"\nname = "Last"\n  [[block.move]]\n  move = "split-squat"\n'
                '  dose = "8 a side"\n  sides = "right only"\n\n[[block]]\nkind = "cool-down"',
            ),
            ('cut_order = ["Main/Three"]', 'cut_order = ["Main/Two"]'),  # Three can't go without Last any more
        ),
    ),
    Broken(
        rule="pair-unequal",
        severity="error",
        place="Main / One, Two, Three / hinge",
        measured="10 lb with 4.6 kg: 0.064 kg apart",
        remedy="Take 2 x 10 lb for the hip hinge",
        edits=(
            more_dumbbells("4.6 kg"),  # 10 lb is 4.536 kg by definition, so 4.6 kg is just another piece
            ('  as = "hinge"\n', '  as = "hinge"\n  rung = "pair"\n  load = "10 lb + 4.6 kg"\n'),
        ),
    ),
    Broken(
        rule="kit-missing",
        severity="error",
        place="Main / One, Two, Three / row",
        measured="band: asked for 3 times, 0 in the plan's kit",
        remedy="lead the no-kit rung: bent-over row: Bent-over row, empty hands, held",
        edits=(('[[kit]]\nitem = "band"\ngrade = "light band"\ncount = 12\n', ""),),
    ),
    Broken(
        rule="kit-missing",
        severity="error",
        place="Main / One, Two, Three / hinge",
        measured="12 lb dumbbells: asked for 3 times, 0 in the plan's kit",
        remedy="use the nearest that is there, 10 lb",
        edits=(('  as = "hinge"\n', '  as = "hinge"\n  rung = "pair"\n  load = "2 x 12 lb"\n'),),
    ),
    Broken(
        rule="kit-short",
        severity="warning",
        place="Main / One, Two, Three / row",
        measured="band: enough for 8 of 12 in the room, not for 4",
        remedy="or tell 4 people before: bent-over row: Bent-over row, empty hands, held",
        edits=(('grade = "light band"\ncount = 12', 'grade = "light band"\ncount = 8'),),
    ),
    Broken(
        rule="kit-short",
        severity="warning",
        place="Main / One, Two, Three / hinge",
        measured="10 lb dumbbells: enough for 10 of 12 in the room, not for 2",
        remedy="or tell 2 people before",
        edits=(
            ('as = "pairs"\ncount = 12', 'as = "singles"\ncount = 21'),
            ('  as = "hinge"\n', '  as = "hinge"\n  rung = "pair"\n  load = "2 x 10 lb"\n'),
        ),
    ),
    Broken(
        rule="kit-change-in-cell",
        severity="warning",
        place="Main / One, Two, Three / lunge",
        measured="from 10 lb to 4.5 kg between the sides: 5 s",
        remedy="Use the same kit on both sides of the split squat",
        edits=(
            LONGER,
            more_dumbbells("4.5 kg"),  # the same to lift, but another piece to take up
            (LUNGE, f'{LUNGE}  rung = "opposite"\n  load = "10 lb"\n  right = {{ load = "4.5 kg" }}\n'),
        ),
    ),
    Broken(
        rule="floor-changes",
        severity="warning",
        place="Main",
        measured="11 times down or up in 3 rounds, 3.7 a round",
        remedy="overhead press, hip hinge, push-up, bridge, dead bug. That makes 5 instead of 11",
        edits=(
            LONGER,
            (PUSH, "A GAP"),
            (HINGE, PUSH),
            ("A GAP", HINGE),
        ),
    ),
    Broken(
        rule="option-missing",
        severity="warning",
        place="Main / One, Two, Three / hinge",
        measured="no easier option for 'Small hip hinge, hand on a chair': 2 of 3",
        remedy="Choose an easier option for the hip hinge, or lead a rung higher on its ladder",
        edits=(
            LONGER,
            ('  as = "hinge"\n', '  as = "hinge"\n  rung = "chair"\n'),
        ),
    ),
    Broken(
        rule="entry-test",
        severity="warning",
        place="Main / One, Two, Three / lunge",
        measured="has an entry test of 10 words",
        remedy="Shorten the entry test for split squat",
        edits=((LUNGE, f'{LUNGE}  entry_test = "Can you balance in the split for ten whole seconds?"\n'),),
    ),
    Broken(
        rule="entry-test",
        severity="warning",
        place="Main / Two / hinge",
        measured="the entry test of 'Hip hinge' begins with 12, and 10 were the most in the round before",
        remedy="Was the round before easy, four left?",
        edits=((TWO + '{ dose = "12 reps" }', TWO + '{ dose = "12 reps", entry_test = "Twelve with a flat back?" }'),),
    ),
    Broken(
        rule="no-kit-needs-kit",
        severity="error",
        place="Main / One, Two, Three / bridge",
        measured="the no-kit option 'Bridge, heels on the ball' needs 1: ball",
        remedy="Choose a no-kit option without kit for the bridge: Standing hinge to the wall",
        edits=(('  move = "bridge"\n', '  move = "bridge"\n  options = { no_kit = "heels-ball" }\n'),),
    ),
    Broken(
        rule="option-order",
        severity="error",
        place="Main / One, Two, Three / push",
        measured="the easier option 'Close push-up' is grade 4 and the rung led is grade 3",
        remedy="Choose an easier option of grade 3 or lower for the push-up",
        edits=(('rung = "knees"', 'rung = "knees"\n  options = { easier = "close-push-up/base" }'),),
    ),
    Broken(
        rule="option-order",
        severity="error",
        place="Main / Two / push",
        measured="the harder option 'Wall push-up' is grade 1 and the rung led is grade 3",
        remedy="Choose a harder option of grade 3 or higher for the push-up",
        edits=(
            (TWO, '  cell.push = { options = { harder = "wall" } }\n  cell.hinge = '),
            (THREE, f'{THREE}\n  cell.push = {{ options = {{ harder = "base" }} }}'),
        ),
    ),
    Broken(
        rule="option-kit",
        severity="note",
        place="Main / One, Two, Three / lunge",
        measured="the harder option 'Split squat, back foot on the ball' needs 1 not listed: ball",
        remedy="List ball among the kit, or choose another harder option for the split squat",
        edits=((LUNGE, f'{LUNGE}  options = {{ harder = "back-foot-ball" }}\n'),),
    ),
    Broken(
        rule="option-kit",
        severity="note",
        place="Main / One, Two, Three / bug",
        measured="the easier option 'Seated march' needs 1 not listed: chair",
        remedy="List chair among the kit, or choose another easier option for the dead bug",
        edits=(('[[kit]]\nitem = "chair"\neach = 1\n', ""),),
    ),
    Broken(
        rule="option-limit",
        severity="warning",
        place="Main / One, Two, Three / push",
        measured="the no-kit option 'Push-up from the knees' is wrist load",
        remedy="Choose another no-kit option for the push-up: Wall push-up.",
        edits=(LONGER, NO_WRISTS, ('rung = "knees"', 'rung = "wall"\n  options = { no_kit = "knees" }')),
    ),
    Broken(
        rule="option-limit",
        severity="warning",
        place="Main / One, Two, Three / bug",
        measured="the easier option 'Push-up from the knees, hands on a chair' is wrist load, which someone present",
        remedy="Choose another easier option for the dead bug: Seated",
        edits=(
            LONGER,
            NO_WRISTS,
            ('rung = "knees"', 'rung = "wall"'),
            ('rung = "half"\n', 'rung = "half"\n  options = { easier = "push-up/knees-chair" }\n'),
        ),
    ),
    Broken(
        rule="two-levers",
        severity="warning",
        place="Main / Three / bridge",
        measured="2 levers at once since Two: pause and reps",
        remedy="Keep one of pause and reps",
        edits=(LONGER, (THREE, '  cell.bridge = { dose = "12 reps", add = [{ pause = "4 s", at = "top" }] }')),
    ),
    Broken(
        rule="round-same",
        severity="note",
        place="Main / Three",
        measured="0 of 7 sets changed",
        remedy="Change one lever in one set of round Three",
        edits=((THREE, ""),),
    ),
    Broken(
        rule="mid-phrase",
        severity="note",
        place="Main / One / hinge",
        measured="10 repetitions of 8 counts end 16 counts into a phrase",
        remedy="Ask for 8 or 12 repetitions",
        edits=((HINGE, f"{HINGE}  beats_a_minute = 120\n"),),
    ),
    Broken(
        rule="lever-down",
        severity="note",
        place="Main / Three / hinge",
        measured="reps went down since Two",
        remedy="take the change of reps out of the hip hinge",
        edits=((THREE, f'{THREE}\n  cell.hinge = {{ dose = "10 reps" }}'),),
    ),
    Broken(
        rule="pattern-balance",
        severity="note",
        place="main blocks",
        measured="3 of 7 patterns: no bridge or curl, push, overhead or trunk",
        remedy="Add a move of pattern bridge or curl",
        edits=FEW_PATTERNS,
    ),
    Broken(
        rule="newcomer-knee-bends",
        severity="warning",
        place="Main / One, Two / lunge",
        measured="37 deep knee bends a leg in 2 rounds",
        remedy="Take 1 repetition a leg out",
        edits=(
            LONGER,
            ('dose = "8 a side"', 'dose = "18 a side"\n  tempo = "1-0-1-0"'),
            (TWO, '  cell.lunge = { dose = "19 a side" }\n  cell.hinge = '),
        ),
    ),
    Broken(
        rule="newcomer-rung",
        severity="warning",
        place="Main / One, Two / push",
        measured="'Close push-up' is grade 4 and its easier option is 'Close push-up from the knees', grade 3",
        remedy="Choose Close push-up, hands on a high table as its easier option",
        edits=(('level = "moderate"', 'level = "hard"'), (PUSH, CLOSE)),
    ),
    Broken(
        rule="cut-order-missing",
        severity="note",
        place="cut order",
        measured="0 places",
        remedy="Say beforehand what goes first",
        edits=(('cut_order = ["Main/Three"]\n', ""),),
    ),
    Broken(
        rule="cut-floor",
        severity="warning",
        place="cut order: Cool-down / calf-stretch",
        measured="the cool-down is never what gives way",
        remedy="Take it out of the cut order",
        edits=(('["Main/Three"]', '["Main/Three", "Cool-down/Cool-down/calf-stretch"]'),),
    ),
    Broken(
        rule="cut-floor",
        severity="warning",
        place="cut order: Warm-up / squat-and-reach",
        measured="the warm-up would fall under 5:00",
        remedy="name a round or set of a main block",
        edits=(('["Main/Three"]', '["Main/Three", "Warm-up/Warm-up/squat-and-reach"]'),),
    ),
    Broken(
        rule="cut-sides",
        severity="warning",
        place="cut order: Main / Three / lunge / left",
        measured="leaves 1 move unequal, lunge: it takes only the left",
        remedy="Put the whole set into the cut order",
        edits=(('["Main/Three"]', '["Main/Three/lunge/left"]'),),
    ),
    Broken(
        rule="cut-sides",
        severity="warning",
        place="cut order: Main / Three",
        measured="leaves 1 move unequal, split squat",
        remedy="the place with the other side",
        edits=(
            (TWO, '  cell.lunge = { sides = "left only" }\n  cell.hinge = '),
            (THREE, f'{THREE}\n  cell.lunge = {{ sides = "right only" }}'),
        ),
    ),
    Broken(
        rule="level-label",
        severity="warning",
        place="Main / One, Two, Three / push; Main / Three / lunge",
        measured="4 of 21 main sets above grade 3, the top one grade 4",
        remedy="offer it as hard",
        edits=(
            (PUSH, f'{CLOSE}  options = {{ easier = "push-up/wall" }}\n'),
            (THREE, f'{THREE}\n  cell.lunge = {{ rung = "pair" }}'),
            BALL,  # what is harder than the pair asks for one
        ),
    ),
    Broken(
        rule="level-label",
        severity="error",
        place="Main / One, Two, Three / lunge; Main / One, Two, Three / push",
        measured="6 of 21 main sets above grade 3, the top one grade 4",
        remedy="offer it as hard",
        edits=(
            (PUSH, f'{CLOSE}  options = {{ easier = "push-up/wall" }}\n'),
            (LUNGE, f'{LUNGE}  rung = "pair"\n  options = {{ easier = "wall-shallow" }}\n'),
            BALL,  # what is harder than the pair asks for one
        ),
    ),
    Broken(
        rule="reserve-missing",
        severity="warning",
        place="whole session",
        measured="0 reserve blocks",
        remedy="Add a reserve",
        edits=((THE_RESERVE, ""),),
    ),
)


def test_the_clean_plan_has_no_finding_at_all(findings: Callable[..., tuple[Finding, ...]]) -> None:
    assert findings() == ()


@pytest.mark.parametrize("case", CASES, ids=[f"{case.rule}: {case.measured[:40]}" for case in CASES])
def test_one_change_breaks_one_rule_and_no_other(
    case: Broken, findings: Callable[..., tuple[Finding, ...]], file_language: Callable[[str], list[str]]
) -> None:
    found = findings(*case.edits)
    assert [each.rule for each in found] == [case.rule], "\n".join(map(str, found))
    finding = found[0]
    assert (finding.severity, finding.place) == (case.severity, case.place)
    assert case.measured in finding.measured
    assert case.remedy in finding.remedy
    said = (finding.place, finding.measured, finding.limit, finding.source, finding.remedy)
    assert [word for each in said for word in file_language(each)] == []  # the hint alone speaks of files


@pytest.mark.parametrize("case", CASES, ids=[case.rule for case in CASES])
def test_a_finding_stands_at_a_line_of_the_plan_with_numbers_and_a_source(
    case: Broken, findings: Callable[..., tuple[Finding, ...]]
) -> None:
    for finding in findings(*case.edits):
        assert finding.where.file == "plan.toml"
        assert finding.where.line > 0
        assert any(sign.isdigit() for sign in finding.measured)
        assert any(sign.isdigit() for sign in finding.limit)
        assert finding.source.startswith(SOURCES)


def test_every_rule_is_broken_alone_by_some_change() -> None:
    by_library = {
        "caution-unanswered",
        "held-breath",
        "limit-rung",
        "floor-late",
    }
    assert {case.rule for case in CASES} | by_library == {rule.id for rule in rules(TIMELINE)}
