"""From a plan to a session: after this nothing is optional, and no default is decided later."""

from dataclasses import fields
from functools import lru_cache

from everyrung.moves.library import Library
from everyrung.plan.cells import resolve_cell
from everyrung.plan.inheritance import FullRound, full_rounds
from everyrung.plan.read import PLANS_KEPT, plan_from_text
from everyrung.plan.resolve_context import ResolveContext, UnresolvedCell
from everyrung.tables.clock import coach_clock
from everyrung.terms.enums import BlockKind, Level, SideRule, View
from everyrung.terms.errors import Faults, Invalid, Where, nearest
from everyrung.terms.person import BodySize, Experience, Person, Sex
from everyrung.terms.plan import BlockText, Plan, Ref
from everyrung.terms.session import Block, Cell, Clock, Round, Session, in_waves

LEADER_STATURE_M = 1.70  # chosen, because it lies between the middles of women and men
LEADER_LEVEL = Experience.STRONG  # chosen, because whoever leads strength sessions trains
DEFAULT_ANNOUNCEMENT_MS = 60_000  # chosen, because a welcome with kit and cautions takes about 140 words


def resolve(plan: Plan, library: Library) -> Session:
    """The session of a plan: every default decided and noted in `defaults`. Raises Faults when something cannot be
    decided.

    >>> from everyrung import library, load_plan
    >>> session = resolve(load_plan("examples/boathouse-30.toml"), library())
    >>> session.defaults[0].field, session.defaults[0].value
    ('leader.stature', '170 cm')
    """
    sides = plan.sides or SideRule.LEFT_FIRST
    deciding = ResolveContext(plan=plan, library=library, clock=coach_clock(plan.clock), sides=sides)
    _head_defaults(deciding)
    blocks = tuple(_block(deciding, block) for block in plan.blocks)
    cut_order = tuple(_full_ref(ref, blocks) for ref in plan.cut_order)
    _check_cut_order(deciding, cut_order, blocks)
    newcomer_rounds = _newcomer_rounds(deciding, blocks)
    leader = _leader(deciding)
    if leader is None or deciding.faults:
        raise Faults(deciding.faults)
    return Session(
        file=plan.file,
        where=Where(file=plan.file, line=1, field="plan"),
        title=plan.title,
        slot_ms=plan.slot_ms,
        slot_source="the plan's own slot",
        level=plan.level or Level.MODERATE,
        view=plan.view or View.FACING,
        who=plan.who,
        leader=leader,
        kit=plan.kit,
        blocks=tuple(block for block in blocks if block.kind is not BlockKind.RESERVE),
        reserve=tuple(block for block in blocks if block.kind is BlockKind.RESERVE),
        newcomer_rounds=newcomer_rounds,
        cut_order=cut_order,
        places=plan.places,
        clock=deciding.clock,
        cover_notes=plan.cover_notes,
        defaults=tuple(deciding.defaults),
    )


@lru_cache(PLANS_KEPT)
def session_from_text(text: str, file: str, library: Library) -> Session:
    """The session of a plan's text, the latest ones kept. Raises Faults as `plan_from_text` and `resolve`."""
    return resolve(plan_from_text(text, file), library)


def _head_defaults(deciding: ResolveContext) -> None:
    """Tells what the head of the plan left open."""
    plan = deciding.plan
    where = Where(file=plan.file, line=1, field="plan")
    for name, in_plan, value, why in (
        ("level", plan.level, Level.MODERATE, "no level named: the middle one"),
        ("view", plan.view, View.FACING, "no view named: a leader faces the class"),
        ("sides", plan.sides, SideRule.LEFT_FIRST, "no side rule named: the usual one"),
        ("leader.stature", plan.leader.stature_m, f"{LEADER_STATURE_M * 100:g} cm", "no height given for the leader"),
        ("leader.level", plan.leader.level, LEADER_LEVEL, "no level given for the leader: taken as strong"),
    ):
        if in_plan is None:
            deciding.note_default(where, name, value, why)
    left = [each.name for each in fields(Clock) if each.name not in plan.clock]
    deciding.note_default(
        where, "clock", f"{len(left)} of {len(fields(Clock))} standard times", "those not set in [clock]"
    )


def _leader(deciding: ResolveContext) -> Person | None:
    """Who leads; what is not said of a body is taken as for any participant. None for a body that nobody has."""
    leader, file = deciding.plan.leader, deciding.plan.file
    stature_m = leader.stature_m or LEADER_STATURE_M
    where = deciding.plan.places.get("leader", Where(file=file, line=1, field="plan"))
    try:
        if leader.mass_kg:
            BodySize(sex=leader.sex or Sex.FEMALE, stature_m=stature_m, mass_kg=leader.mass_kg)
        return Person(
            where=where,
            name="the leader",
            stature_m=stature_m,
            mass_kg=leader.mass_kg,
            age=leader.age,
            sex=leader.sex,
            level=leader.level or LEADER_LEVEL,
        )
    except Invalid as problem:
        deciding.refuse(where, problem)
        return None


def _block(deciding: ResolveContext, text: BlockText) -> Block:
    main = text.kind in (BlockKind.MAIN, BlockKind.RESERVE)
    rest_ms = text.rest_ms
    if rest_ms is None:
        rest_ms = deciding.clock.rest_ms if main else 0
        why = "the clock's rest between sets" if main else "moves to warm up or cool down follow each other"
        if text.columns:
            deciding.note_default(text.where, "rest", f"{rest_ms / 1000:g} s", why)
    rounds = tuple(
        _round(deciding, text, full, number, rest_ms) for number, full in enumerate(_full(deciding, text), start=1)
    )
    return Block(
        kind=text.kind,
        name=text.name,
        where=text.where,
        say=text.say,
        talk_ms=_talk_ms(deciding, text),
        rounds=rounds if text.columns else (),
        lock=text.lock,
    )


def _full(deciding: ResolveContext, text: BlockText) -> tuple[FullRound, ...]:
    try:
        return full_rounds(text)
    except Faults as faults:
        deciding.faults.extend(faults.faults)
        return ()


def _talk_ms(deciding: ResolveContext, text: BlockText) -> int:
    if text.talk_ms is not None:
        return text.talk_ms
    if text.say:
        words = sum(len(sentence.split()) for sentence in text.say)
        return round(words / deciding.clock.talk_wpm * 60) * 1000
    if text.kind is BlockKind.ANNOUNCEMENT:
        deciding.note_default(text.where, "talk", "60 s", "an announcement without words or time")
        return DEFAULT_ANNOUNCEMENT_MS
    return 0


def _round(deciding: ResolveContext, text: BlockText, full: FullRound, number: int, rest_ms: int) -> Round:
    cells: list[Cell] = []
    for each in full.cells:
        ref = Ref(block=text.name, round=full.text.name, cell=each.key)
        try:
            cells.append(resolve_cell(deciding, each, ref, number, rest_ms))
        except UnresolvedCell:
            continue
    whole = Round(
        name=full.text.name,
        where=full.text.where,
        cells=tuple(cells),
        rest_ms=_round_rest_ms(deciding, text, full),
    )
    return in_waves(whole, text.waves) if text.waves else whole


def _round_rest_ms(deciding: ResolveContext, text: BlockText, full: FullRound) -> int:
    rest_ms = full.text.rest_ms if full.text.rest_ms is not None else text.round_rest_ms
    if rest_ms is not None:
        return rest_ms
    if text.kind is BlockKind.MAIN and len(text.rounds) > 1:
        deciding.note_default(
            full.text.where,
            "rest",
            f"{deciding.clock.round_rest_ms / 1000:g} s",
            "the clock's rest between rounds",
        )
        return deciding.clock.round_rest_ms
    return 0


def _newcomer_rounds(deciding: ResolveContext, blocks: tuple[Block, ...]) -> int:
    """How many rounds of each main block a first-timer is led through."""
    if deciding.plan.newcomer_rounds is not None:
        return deciding.plan.newcomer_rounds
    most = max((len(block.rounds) for block in blocks if block.kind is BlockKind.MAIN), default=0)
    if deciding.plan.who.newcomers:
        where = Where(file=deciding.plan.file, line=1, field="plan")
        deciding.note_default(where, "newcomer_rounds", most, "first-timers do every round unless the plan says fewer")
    return most


def _full_ref(ref: Ref, blocks: tuple[Block, ...]) -> Ref:
    """'Warm-up/arm-circles' in a block without rounds means the cell of its only round."""
    for block in blocks:
        only = block.rounds[0] if len(block.rounds) == 1 else None
        if only is None or (block.name, only.name) != (ref.block, ref.block) or ref.cell:
            continue
        if any(cell.ref.cell == ref.round for cell in only.cells):
            return Ref(block=ref.block, round=only.name, cell=ref.round)
    return ref


def _check_cut_order(deciding: ResolveContext, cut_order: tuple[Ref, ...], blocks: tuple[Block, ...]) -> None:
    """Every reference names something that is there."""
    place_names: list[str] = []
    for block in blocks:
        place_names.append(block.name)
        for each in block.rounds:
            place_names.append(f"{block.name}/{each.name}")
            place_names.extend(str(cell.ref) for cell in each.cells)
    for ref in cut_order:
        place = str(Ref(block=ref.block, round=ref.round, cell=ref.cell))
        if place not in place_names:
            problem = Invalid("", "a block, round or cell of this plan", str(ref), nearest=nearest(place, place_names))
            deciding.refuse(deciding.plan.places["cut_order"], problem)
