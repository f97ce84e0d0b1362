"""A move that comes into a session: in the version that people here can do, with the kit that is there."""

from everyrung.checks.rules.whole_session import HIGHEST_GRADE
from everyrung.compose.case import PlanRun
from everyrung.moves.difference import difference
from everyrung.plan.bouts import lacking
from everyrung.terms.edit import AddBlock, AddMove, OneEdit, Several, TakeRung
from everyrung.terms.enums import BlockKind, MoveKind
from everyrung.terms.move import Move, Rung
from everyrung.terms.plan import BlockText, Ref

_BLOCKS = {MoveKind.WARM_UP: BlockKind.WARM_UP, MoveKind.COOL_DOWN: BlockKind.COOL_DOWN}


def fitting_rung(start: PlanRun, move: Move) -> Rung:
    """The version that fits; the base all the same where none does."""
    return rung_that_fits(start, move) or move.rung("base")


def rung_that_fits(start: PlanRun, move: Move) -> Rung | None:
    """The move's base, if it fits; else the nearest version of its ladder that does, an easier one first; None where
    none does.
    """
    keys = [rung.key for rung in move.ladder]
    base = keys.index("base")
    return min(
        _fitting(start, move),
        key=lambda rung: (abs(keys.index(rung.key) - base), keys.index(rung.key) > base),
        default=None,
    )


def fitting_beside(start: PlanRun, now: Rung, move: Move) -> Rung:
    """Of another move the version that fits and changes least for people who did the led rung; else its base."""

    def changes(rung: Rung) -> tuple[bool | int, ...]:
        change = difference(now, rung)
        return change.to_floor, change.grades, change.floor, change.mode

    return min(_fitting(start, move), key=changes, default=move.rung("base"))


def _fitting(start: PlanRun, move: Move) -> list[Rung]:
    """Versions for which the kit is there, which the level allows, and which nobody who comes has to avoid."""
    return [
        rung
        for rung in move.ladder
        if rung.form.move == move.key
        and not lacking(rung, start.session.kit)
        and rung.grade <= HIGHEST_GRADE[start.session.level]
        and not set(rung.cautions) & start.cautions
    ]


def with_fitting_rung(start: PlanRun, edit: AddMove, rung: str = "") -> OneEdit | Several:
    """A move added in the version that fits, or in the `rung` that was chosen. Raises Invalid for one that there is
    not.
    """
    move = start.library.move(edit.move)
    version = move.rung(rung) if rung else fitting_rung(start, move)
    block = next((each for each in start.run.plan.blocks if each.name == edit.block), None)
    if version.key == "base" or block is None:
        return edit
    take = TakeRung(ref=first_place(block, edit.move), rung=version.key, column=True)
    return Several(edits=(edit, take), words=f"Add {version.name}")


def first_place(block: BlockText, move: str) -> Ref:
    """Where the first set of a move will stand that is added to a block: under its name, or its name and a number."""
    key = next(name for at in range(1, 999) if (name := f"{move} {at}" if at > 1 else move) not in block.columns)
    return Ref(block=block.name, round=block.rounds[0].name if block.rounds else block.name, cell=key)


def into_session(start: PlanRun, key: str, rung: str = "") -> OneEdit | Several:
    """A move put where moves of its kind belong: the last part of that kind, or a new one. Raises Invalid for a name
    that there is not.
    """
    move = start.library.move(key)
    kind = _BLOCKS.get(move.kind, BlockKind.MAIN)
    names = [block.name for block in start.run.plan.blocks if block.kind is kind]
    if names:
        return with_fitting_rung(start, AddMove(block=names[-1], move=key), rung)
    version = move.rung(rung) if rung else fitting_rung(start, move)
    name = str(kind).capitalize()
    first = AddBlock(kind=kind, move=key)
    if version.key == "base":
        return first
    round_name = "One" if kind is BlockKind.MAIN else name
    take = TakeRung(ref=Ref(block=name, round=round_name, cell=key), rung=version.key, column=True)
    return Several(edits=(first, take), words=f"Add {version.name}")
