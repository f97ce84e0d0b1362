"""What becomes of a plan in waves that is edited or spoilt, and which part of a text an edit of one cell needs."""

from collections.abc import Iterable, Iterator

from recorded import RECORDS, edited_lines, session_of

from everyrung.plan.read import plan_from_text
from everyrung.plan.text_parts import InACell, part_of_text
from everyrung.terms import edit as edits
from everyrung.terms.errors import Faults
from everyrung.terms.plan import Ref
from everyrung.timing.timeline import build_timeline

WAVES = (RECORDS / "in-waves.toml").read_text(encoding="utf-8")
FIRST = 'waves = [["squat", "step"], ["carry", "rest", "rest"]]'
OTHERS = (
    '[["squat"]]', '[["rest", "rest"]]', '[["squat", "step", "slide", "carry", "rest"]]', '["squat"]', "[[]]",
    '[["squat", "squat"]]', '[["squat", "stop"]]', '[["squat", "rest", "rest", "rest"]]', '"squat"', "[]",
    '[["squat", "step"], ["step", "carry"]]', '[["squat", "step", "slide", "carry"]]', '[["slide", "step"]]',
)  # fmt: skip
SQUAT, STEP = (Ref(block="Main", round="Two", cell=cell) for cell in ("squat", "step"))
REACH = Ref(block="Balance", round="Balance", cell="reach")
WAVE_EDITS: tuple[edits.Edit, ...] = (
    edits.RemoveMove(block="Main", cell="step"),
    edits.RemoveMove(block="Main", cell="carry"),
    edits.RemoveMove(block="Side by side", cell="walk"),
    edits.RemoveMove(block="Balance", cell="reach"),
    edits.RemoveRound(ref=Ref(block="Main", round="One")),
    edits.RemoveRound(ref=Ref(block="Side by side", round="Two")),
    edits.AddRound(block="Main"),
    edits.AddMove(block="Main", move="bridge"),
    edits.ShiftMove(block="Main", cell="carry", to=0),
    edits.SkipCell(ref=STEP, skip=True),
    edits.SetCell(ref=REACH, field="dose", value="4 a side"),
    edits.SetCell(ref=REACH, field="rest", value="0:30", column=True),
    edits.SetCell(ref=SQUAT, field="beats_a_minute", value=None, column=True),
    edits.SetCell(ref=SQUAT, field="beats_a_minute", value=170),
    edits.SetPart(ref=Ref(block="Main"), field="waves", value=None),
    edits.SetPart(ref=Ref(block="Main"), field="waves", value=[["slide", "carry"]]),
    edits.SetPart(ref=Ref(block="Balance"), field="waves", value=[["reach", "row"]]),
    edits.SetHead(field="who.live", value=False),
    edits.SetHead(field="who.at_home", value=0),
)


def _total(text: str) -> str:
    try:
        return f"{build_timeline(session_of(text)).total_ms} ms"
    except Faults as problem:
        return "; ".join(map(str, problem.faults))


def wave_lines() -> Iterator[str]:
    for other in OTHERS:
        yield f"{other}: {_total(WAVES.replace(FIRST, f'waves = {other}'))}"
    yield from edited_lines(WAVES, WAVE_EDITS, lambda after: iter((f"  {_total(after)}",)))


def part_lines(text: str, some: Iterable[edits.Edit]) -> Iterator[str]:
    """Where the part begins and ends that an edit of one cell is done in."""
    plan = plan_from_text(text, "plan.toml")
    for edit in some:
        if isinstance(edit, InACell):
            part = part_of_text(text, plan, edit)
            yield f"{edit}"
            if part is not None:
                lines = part.text.splitlines()
                yield f"  {len(part.before)} {len(part.after)} {part.head!r} {lines[:2]} to {lines[-2:]}"
                for each in part.plan.blocks:
                    yield f"  {each.name}: {list(each.columns)} {[one.name for one in each.rounds]}"
