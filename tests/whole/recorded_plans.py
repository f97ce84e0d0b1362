"""What becomes of plan files that are edited, spoilt, or break one rule each, as lines; and all there is to record."""

import re
import runpy
from collections.abc import Callable, Iterator
from functools import partial
from itertools import product

from record_lines import outline
from recorded import (
    FORECAST,
    HERE,
    PLANS,
    RECORDS,
    Parts,
    differences,
    edited_lines,
    finding_lines,
    forecast_parts,
    plan_of,
    plan_parts,
    session_of,
    text_parts,
)
from recorded_limits import limit_lines, said_of
from recorded_sums import ladders, sums
from recorded_values import people_values, values
from recorded_wave_texts import WAVE_EDITS, WAVES, part_lines, wave_lines
from recorded_ways import stances, ways

from everyrung.checks.registry import check
from everyrung.moves.library import standard_library
from everyrung.plan.diff import changes
from everyrung.plan.edit import apply_edit, write_edit
from everyrung.plan.options import beside
from everyrung.plan.read import plan_from_text
from everyrung.plan.write import canonical, write_plan
from everyrung.terms import edit as edits
from everyrung.terms.enums import BlockKind
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.finding import Finding
from everyrung.terms.plan import Ref
from everyrung.timing.timeline import build_timeline

TEXT = (RECORDS / "many-sided.toml").read_text(encoding="utf-8")
SPOILT = ("-1", '"nonsense"', "2.5", "[]", '"0:01"')  # one of them for each line, in turn
TWO, SQUAT = Ref(block="Main", round="Two"), Ref(block="Main", round="Two", cell="squat")
LUNGE, ROW = Ref(block="Main", round="Two", cell="lunge"), Ref(block="Main", round="Two", cell="row")
BAND = Ref(block="Second", round="Second", cell="band")
EDITS: tuple[edits.Edit, ...] = (
    edits.SetHead(field="title", value="Anew"),
    edits.SetHead(field="level", value=None),
    edits.SetHead(field="who.at_home", value=9),
    edits.SetHead(field="who.limits", value=[]),
    edits.SetHead(field="leader.age", value=None),
    edits.SetHead(field="clock.rest", value="0:12"),
    edits.SetPart(ref=Ref(block="Main"), field="rest", value="0:30"),
    edits.SetPart(ref=Ref(block="Main"), field="say", value=["One.", "Two."]),
    edits.SetPart(ref=TWO, field="rest", value="1:00"),
    edits.SetPart(ref=Ref(block="Main", round="One"), field="skip", value=["turn"]),
    edits.SetPart(ref=Ref(block="Main"), field="talk", value="0:30"),
    edits.SetCell(ref=SQUAT, field="rest", value="0:30", column=True),
    edits.SetCell(ref=SQUAT, field="note", value="Offer a chair.", column=True),
    edits.SetPart(ref=Ref(block="Main", round="Four"), field="rest", value="1:00"),
    edits.SetCell(ref=SQUAT, field="dose", value="8 reps"),
    edits.SetCell(ref=SQUAT, field="dose", value="8 reps", column=True),
    edits.SetCell(ref=SQUAT, field="options.easier", value="chair"),
    edits.SetCell(ref=SQUAT, field="options.harder", value=None, column=True),
    edits.SetCell(ref=BAND, field="dose", value="0:30"),
    edits.SetCell(ref=BAND, field="tempo", value=None, column=True),
    edits.SetCell(ref=Ref(block="Main", round="Two", cell="lung"), field="dose", value="8 reps"),
    edits.TakeRung(ref=SQUAT, rung="pause"),
    edits.TakeRung(ref=SQUAT, rung="base", levers=[{"pause": "2 s"}], name="Low", entry_test="Nine?"),
    edits.TakeRung(ref=LUNGE, rung="wall", column=True),
    edits.TakeRung(ref=ROW, rung="base", move="prone-pull"),
    edits.AddLever(ref=SQUAT, lever={"pulse": 1}),
    edits.AddLever(ref=SQUAT, lever={"tempo": "4-0-2-0"}),
    edits.AddLever(ref=TWO, lever={"reps": 2}),
    edits.AddLever(ref=TWO, lever={"unilateral": "one side"}),
    edits.DropLever(ref=SQUAT),
    edits.DropLever(ref=ROW),
    edits.AddRound(block="Main"),
    edits.AddRound(block="Second"),
    edits.AddRound(block="Third"),
    edits.RemoveRound(ref=Ref(block="Main", round="One")),
    edits.RemoveRound(ref=TWO),
    edits.RemoveRound(ref=Ref(block="Second", round="Second")),
    edits.AddMove(block="Main", move="bridge"),
    edits.AddMove(block="Warm-up", move="march"),
    edits.RemoveMove(block="Main", cell="plank"),
    edits.RemoveMove(block="Second", cell="calf"),
    edits.RemoveMove(block="In hand", cell="bridge"),
    edits.ShiftMove(block="Main", cell="squat", to=2),
    edits.ShiftMove(block="Main", cell="turn", to=-3),
    edits.ShiftMove(block="Main", cell="lunge", to=99),
    edits.SkipCell(ref=SQUAT, skip=True),
    edits.SkipCell(ref=Ref(block="Main", round="Two", cell="plank"), skip=True),
    edits.SkipCell(ref=Ref(block="Main", round="Two", cell="turn"), skip=False),
    edits.AddBlock(kind=BlockKind.MAIN, move="bridge"),
    edits.AddBlock(kind=BlockKind.COOL_DOWN, move="long-breath"),
    edits.AddBlock(kind=BlockKind.ANNOUNCEMENT, move=""),
    edits.AddBlock(kind=BlockKind.RESERVE, move="bridge"),
    edits.RemoveBlock(block="Second"),
    edits.RemoveBlock(block="Third"),
    edits.AddKit(stock={"item": "mat", "each": 1}),
    edits.RemoveKit(at=0),
    edits.RemoveKit(at=5),
    edits.Several(edits=(edits.AddRound(block="Main"), edits.SkipCell(ref=SQUAT, skip=True)), words="Both"),
)

WITHOUT_VIEW = TEXT.replace('view = "filmed"\n', "")
# Keys of the plan and values at the ends of what they may be, and just beyond.
BOUNDS = {
    "slot_minutes = 31": "slot_minutes = {}: 4 5 240 241",
    "newcomer_rounds = 1": "newcomer_rounds = {}: 0 50 51",
    "in_room = 7": "in_room = {}: 0 1 5000 5001",
    "at_home = 5": "at_home = {}: 0 1000000 1000001",
    'stature = "168 cm"': 'stature = "{}": 1.29_m 1.30_m 1.39_m 1.40_m 2.10_m 2.11_m 2.20_m 2.21_m',
    'mass = "64 kg"': 'mass = "{}": 29.9_kg 30_kg 250_kg 250.1_kg',
    "age = 58": "age = {}: 15 16 100 101",
    "count = 8": "count = {}: 0 1 10000 10001",
    "each = 1": "each = {}: 0 1 20 21 100 101",
    'mass = "10 lb"': 'mass = "{}": 0_kg 0.1_kg 0.5_kg 50_kg 60_kg 100_kg 101_kg',
    'diameter = "65 cm"': 'diameter = "{}": 19_cm 20_cm 120_cm 121_cm',
    'rated = "250 kg"': 'rated = "{}": 0_kg 1_kg 1000_kg 1001_kg 5000_kg',
    "talk_wpm = 120": "talk_wpm = {}: 39 40 59 60 79 80 240 241 250 251 300 301",
    'explain_first = "16 s"': 'explain_first = "{}": 0_s 120_s 121_s 300_s 301_s',
    'dose = "0:50"': 'dose = "{}": 0:00 0:01 0:04 30:00 30:01',
    'dose = "0:25"': 'dose = "{}": 0:25_a_side 0:50_in_all',
    'dose = "0:30 a side"': 'dose = "{}": 1:01_in_all 0:01_in_all 0:30',
    'dose = "0:20 a side"': 'dose = "{}": 0:41_in_all 0:01_in_all 0:40',
    'tempo = "2-1-2-0"': '{}: paus_=_"2_s" pulse_=_3 reach_=_"far" lode_=_"6_kg"',
    'dose = "9 reps"': 'dose = "{}": 0_reps 1_rep 1_reps 200_reps 201_reps',
    'tempo = "3-0-2-1"': 'tempo = "{}": 0-0-2-1 0.5-0-0.5-0 60-0-2-1 60.5-0-2-1 61-0-2-1 3-0-2',
    'rest = "0:25"': 'rest = "{}": 0:00 5:00 10:00 10:01 240:00 240:01',
    "pulse = 2 }], name": "pulse = {} }}], name: 0 1 10 11",
    '[{ pulse = 2 }], dose = "12 reps"': '[{{ {} }}], dose = "12 reps": range_=_0.19 range_=_0.2 range_=_1.5 '
    "range_=_1.51 reps_=_50 reps_=_51 reps_=_-50 reps_=_0 reps_=_-11 reps_=_-12",
    "[{ pulse = 2 }], dose": '[{{ {} }}], dose: pause_=_"0.4_s" pause_=_"0.5_s" pause_=_"30_s" pause_=_"30.5_s" '
    'tempo_=_"0.4-0-2-0" tempo_=_"0.5-0-2-0" tempo_=_"30-0-2-0" tempo_=_"2-0-31-0"',
    '"Nine plain ones, heels down?"': '"{}": One_two_three_four_five_six_seven_eight_nine? '
    "One_two_three_four_five_six_seven_eight_nine_ten?",
}
OVER = (
    edits.SetHead(field="level", value=None),
    edits.SetHead(field="clock.rest", value="0:12"),
    edits.SetCell(ref=SQUAT, field="options.easier", value="chair"),
    edits.RemoveMove(block="Main", cell="plank"),
    edits.AddBlock(kind=BlockKind.RESERVE, move="bridge"),
    edits.RemoveKit(at=0),
)


def edit_lines() -> Iterator[str]:
    """Every edit of the plan alone: the lines of its text that change, and the places that say something else."""
    before = plan_from_text(TEXT, "plan.toml")
    yield from differences(WITHOUT_VIEW, write_edit(WITHOUT_VIEW, edits.SetHead(field="view", value="filmed")))

    def changed_places(after: str) -> Iterator[str]:
        found = changes(before, plan_from_text(after, "plan.toml"))
        return (f"  {each.place}: {each.was!r} to {each.now!r}" for each in found)

    yield from edited_lines(TEXT, EDITS, changed_places)


def spoilt_lines() -> Iterator[str]:
    """Each value of the plan spoilt alone: what is said of it, or what becomes of the session's length."""
    lines = TEXT.splitlines()
    for number, line in enumerate(lines):
        found = re.match(r"( *[\w.]+ = )", line)
        if not found or line.endswith(("[", '"""')):
            continue
        spoilt = found[0] + SPOILT[number % len(SPOILT)]
        text = "\n".join([*lines[:number], spoilt, *lines[number + 1 :]])
        yield spoilt.strip()
        try:
            yield f"  {build_timeline(session_of(text)).total_ms} ms"
        except Faults as problem:
            yield from (f"  {each}" for each in problem.faults)


def bound_lines() -> Iterator[str]:
    """The plan with numbers at the ends of what is allowed: what is said of it, or that it is taken."""
    for old, words in BOUNDS.items():
        pattern, _, values = words.rpartition(": ")
        for value in values.split():
            new = pattern.format(value.replace("_", " "))
            try:
                yield f"{new}: taken, {build_timeline(session_of(TEXT.replace(old, new, 1))).total_ms} ms"
            except Faults as problem:
                yield from (f"{new}: {each}" for each in problem.faults)


def fault_lines() -> Iterator[str]:
    """What is said of each faulty plan of tests/plan/test_faults.py, in full."""
    tests = runpy.run_path(str(HERE.parent / "plan" / "test_faults.py"))
    (mark,) = tests["test_each_fault_says_where_what_and_what_to_do"].pytestmark
    for old, new, *_ in mark.args[1]:
        yield f"{old} -> {new}".replace("\n", " | ")
        try:
            session_of(tests["PLAN"].replace(old, new, 1))
        except Faults as problem:
            yield from (f"  {each}" for each in problem.faults)


def beside_lines() -> Iterator[str]:
    """Every rung of every ladder of the plan beside the rung that is led, with its kit and with none."""
    session, _ = plan_of(FORECAST)
    for number, each in enumerate(session.blocks[2].rounds, start=1):
        for cell, kit in product(each.cells, (session.kit, ())):
            for rung in cell.move.versions:
                yield f"{cell.ref} {rung.key}, {len(kit)} of kit"
                try:
                    yield from outline("  option", beside(cell, rung, kit, number))
                except Invalid as problem:
                    yield f"  {problem}"


def rule_lines() -> Iterator[str]:
    """What each rule says of the plan that breaks it (tests/checks/test_each_rule_alone.py); and where it stands when
    every round writes its cells itself, and when there is one round alone.
    """
    checks = HERE.parent / "checks"
    edited_plan = runpy.run_path(str(checks / "conftest.py"))["edited"]
    for case in runpy.run_path(str(checks / "test_each_rule_alone.py"))["CASES"]:
        text = edited_plan(case.edits)
        session = session_of(text)
        yield f"{case.rule}: {case.measured}"
        yield from (f"  {line}" for line in finding_lines(check(session, build_timeline(session))))
        for name, other in (
            ("each round", NEXT_ROUND.sub(NOTED, text)),
            ("one round", LATER_ROUNDS.sub("", CUT_ORDER.sub("", text))),
        ):
            yield from (f"  {name}: {line}" for line in said_of(other, _placed))


# A later round of the clean plan, what makes it write its cells itself, and all later rounds of the main block.
NEXT_ROUND = re.compile(r'^(  like = "\w+"\n)', re.MULTILINE)
NOTED = r'\1  cell.push.note = "x"\n  cell.press.note = "x"\n  cell.lunge.note = "x"\n  cell.bug.note = "x"\n'
CUT_ORDER = re.compile(r"^cut_order = .*\n", re.MULTILINE)
LATER_ROUNDS = re.compile(r'  \[\[block.round\]\]\n  name = "Two".*?(?=\n\[\[block\]\])', re.DOTALL)


def _placed(each: Finding) -> str:
    return f"{each.rule} at {each.place}, line {each.where.line} {each.hint}"


def written_lines() -> Iterator[str]:
    """The plan written anew, as `everyrung rewrite` writes it, and over other texts."""
    plan = plan_from_text(TEXT, "plan.toml")
    yield from write_plan(plan).splitlines()
    yield from differences(TEXT, canonical(TEXT, "plan.toml"))
    for edit in OVER:
        yield f"{edit} taken back:"
        yield from differences(TEXT, write_plan(plan, over=apply_edit(TEXT, edit, standard_library())))


def all_part_lines() -> Iterator[str]:
    yield from part_lines(TEXT, EDITS)
    yield from part_lines(WAVES, WAVE_EDITS)


RECORDED: dict[str, Callable[[], Parts]] = {
    **{name: partial(plan_parts, name) for name in PLANS},
    "forecast": partial(forecast_parts, FORECAST),
    "edits": partial(text_parts, edits=edit_lines, written=written_lines),
    "spoilt": partial(text_parts, spoilt=spoilt_lines, faults=fault_lines, bounds=bound_lines),
    "rules": partial(text_parts, rules=rule_lines, beside=beside_lines),
    "limits": partial(text_parts, limits=limit_lines),
    "waves": partial(text_parts, waves=wave_lines, parts=all_part_lines),
    "values": values,
    "people": people_values,
    "ways": ways,
    "stances": stances,
    "sums": sums,
    "ladders": ladders,
}
