"""What breaks the rules on kit, versions, rounds and cuts, one at a time."""

from one_break import LUNGE, THREE, Broken

LONGER = ("slot_minutes = 38", "slot_minutes = 39")  # to stay within the slot when the change adds some time
PUSH = '  move = "push-up"\n  as = "push"\n  rung = "knees"\n  dose = "8 reps"\n'
CLOSE = PUSH.replace('"push-up"', '"close-push-up"').replace('"knees"', '"base"')
HINGE = '  move = "hip-hinge"\n  as = "hinge"\n  dose = "10 reps"\n'
TWO = "  cell.hinge = "
BALL = ("[[kit]]", '[[kit]]\nitem = "ball"\ndiameter = "65 cm"\nrated = "250 kg"\ncount = 12\n\n[[kit]]')
NO_WRISTS = ("newcomers = true", 'newcomers = true\nlimits = ["wrist load"]')
THE_RESERVE = (
    '[[block]]\nkind = "reserve"\nname = "Extra"\n  [[block.move]]\n  move = "calf-raise"\n  dose = "12 reps"\n'
)
FEW_PATTERNS = (
    ('  move = "overhead-press"\n', '  move = "calf-raise"\n'),
    (PUSH, '  move = "march"\n  as = "push"\n  dose = "60 s"\n'),
    ('  move = "bridge"\n', '  move = "bent-knee-calf-raise"\n  as = "bridge"\n'),
    ('  as = "bug"\n  rung = "half"\n', '  as = "bug"\n'),
    ('  move = "dead-bug"\n', '  move = "march"\n'),
)


def more_dumbbells(mass: str) -> tuple[str, str]:
    """A second kind of dumbbell in the kit, a pair for everyone in the room."""
    band = '[[kit]]\nitem = "band"\n'
    return (band, f'[[kit]]\nitem = "dumbbells"\nmass = "{mass}"\nas = "pairs"\ncount = 12\n\n{band}')


OF_VERSIONS = (
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
