"""What becomes of plan files that are edited, spoilt, or break one rule each, as lines; and all there is to record."""

import difflib
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
    finding_lines,
    forecast_parts,
    plan_of,
    plan_parts,
    session_of,
)
from recorded_limits import limit_lines
from recorded_values import people_values, values

from everyrung.checks.every import check
from everyrung.moves.library import standard_library
from everyrung.plan.changes import changes
from everyrung.plan.edit import edited
from everyrung.plan.options import beside
from everyrung.plan.read import plan_from_text
from everyrung.plan.write import canonical, write_plan
from everyrung.terms import edit as edits
from everyrung.terms.fault import Faults, Invalid
from everyrung.terms.plan import Ref
from everyrung.terms.vocabulary import BlockKind
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

OVER = (
    edits.SetHead(field="level", value=None),
    edits.SetHead(field="clock.rest", value="0:12"),
    edits.SetCell(ref=SQUAT, field="options.easier", value="chair"),
    edits.RemoveMove(block="Main", cell="plank"),
    edits.AddBlock(kind=BlockKind.RESERVE, move="bridge"),
    edits.RemoveKit(at=0),
)


def differences(before: str, after: str) -> Iterator[str]:
    found = difflib.unified_diff(before.splitlines(), after.splitlines(), lineterm="", n=1)
    return (f"  {line}" for line in found if not line.startswith(("---", "+++")))


def edit_lines() -> Iterator[str]:
    """Every edit of the plan alone: the lines of its text that change, and the places that say something else."""
    before = plan_from_text(TEXT, "plan.toml")
    for edit in EDITS:
        yield f"{edit}"
        try:
            after = edited(TEXT, edit, standard_library())
        except (Faults, Invalid) as problem:
            yield f"  {problem}"
            continue
        yield from differences(TEXT, after)
        found = changes(before, plan_from_text(after, "plan.toml"))
        yield from (f"  {each.place}: {each.was!r} to {each.now!r}" for each in found)


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
            for rung in cell.move.ladder:
                yield f"{cell.ref} {rung.key}, {len(kit)} of kit"
                try:
                    yield from outline("  option", beside(cell, rung, kit, number))
                except Invalid as problem:
                    yield f"  {problem}"


def rule_lines() -> Iterator[str]:
    """What each rule says of the plan that breaks it (tests/checks/test_each_rule_alone.py)."""
    checks = HERE.parent / "checks"
    edited_plan = runpy.run_path(str(checks / "conftest.py"))["edited"]
    for case in runpy.run_path(str(checks / "test_each_rule_alone.py"))["CASES"]:
        session = session_of(edited_plan(case.edits))
        yield f"{case.rule}: {case.measured}"
        yield from (f"  {line}" for line in finding_lines(check(session, build_timeline(session))))


def written_lines() -> Iterator[str]:
    """The plan written anew, as `everyrung rewrite` writes it, and over other texts."""
    plan = plan_from_text(TEXT, "plan.toml")
    yield from write_plan(plan).splitlines()
    yield from differences(TEXT, canonical(TEXT, "plan.toml"))
    for edit in OVER:
        yield f"{edit} taken back:"
        yield from differences(TEXT, write_plan(plan, over=edited(TEXT, edit, standard_library())))


def text_parts(**parts: Callable[[], Iterator[str]]) -> Parts:
    return ((f"texts/{name}", lines()) for name, lines in parts.items())


RECORDED: dict[str, Callable[[], Parts]] = {
    **{name: partial(plan_parts, name) for name in PLANS},
    "forecast": partial(forecast_parts, FORECAST),
    "edits": partial(text_parts, edits=edit_lines, written=written_lines),
    "spoilt": partial(text_parts, spoilt=spoilt_lines, faults=fault_lines),
    "rules": partial(text_parts, rules=rule_lines, beside=beside_lines),
    "limits": partial(text_parts, limits=limit_lines),
    "values": values,
    "people": people_values,
}
