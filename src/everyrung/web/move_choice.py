"""Moves to choose from by their pictures: what is looked for, and each with its figure and what speaks against it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from everyrung.compose.add_move import first_place
from everyrung.compose.case import PlanRun
from everyrung.compose.fitting_moves import FittingMove, moves_for, moves_in_place
from everyrung.compose.swap import column_at
from everyrung.moves.trade_names import moves_by_name
from everyrung.plan.read import ref
from everyrung.terms.enums import BlockKind, MoveKind
from everyrung.terms.errors import Invalid, member, nearest
from everyrung.terms.plan import Ref
from everyrung.web.grid import place_id
from everyrung.web.move_library_view import MOST_LETTERS
from everyrung.web.studio import Studio

FEW = 12  # shown at first; chosen, because they are looked at in one go, and the nearest come first
_KINDS = {BlockKind.WARM_UP: MoveKind.WARM_UP, BlockKind.COOL_DOWN: MoveKind.COOL_DOWN}


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveWish:
    """What is looked for: moves for a `part`, or in the place of the set `at`; '' and None of what is left open.

    `here`: with kit that is there; `for_all`: without what somebody who comes has to avoid; `every`: not the nearest
    few alone.
    """

    part: str = ""
    at: Ref | None = None
    kind: MoveKind = MoveKind.STRENGTH
    words: str = ""
    works: str = ""
    here: bool = False
    for_all: bool = False
    every: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PicturedMove:
    """One move to choose: its version, its figure, what is to be known of it, and what its button sends."""

    key: str
    name: str
    version: str
    figure: str
    facts: tuple[str, ...]
    against: tuple[str, ...]
    fields: dict[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveChoices:
    """The moves that are shown, of how many that fit; `works` are all muscles that can be asked for, `back` is the
    button that they were asked for with, '' where a set is open.
    """

    wish: MoveWish
    title: str
    moves: tuple[PicturedMove, ...]
    count: int
    works: tuple[str, ...]
    back: str


def read_wish(fields: Mapping[str, str], start: PlanRun) -> MoveWish:
    """From an address. Raises Invalid for a part or a set that is not there."""
    part, place = fields.get("part", ""), fields.get("ref", "")
    blocks = {block.name: block for block in start.run.plan.blocks}
    if not place and part not in blocks:
        raise Invalid("part", "a part of this session", part, nearest=nearest(part, blocks))
    usual = MoveKind.STRENGTH if place else _KINDS.get(blocks[part].kind, MoveKind.STRENGTH)
    kind = fields.get("of_kind", "")
    return MoveWish(
        part=part,
        at=ref(place) if place else None,
        kind=member(MoveKind, "of_kind", kind) if kind else usual,
        words=fields.get("words", "")[:MOST_LETTERS],
        works=fields.get("works", ""),
        here="here" in fields,
        for_all="for_all" in fields,
        every="every" in fields,
    )


def move_choices(studio: Studio, start: PlanRun, wish: MoveWish) -> MoveChoices:
    """The moves that fit what is looked for, the nearest first."""
    every = moves_in_place(start, wish.at) if wish.at else moves_for(start, wish.part, wish.kind)
    by_name = {move.key for move in moves_by_name(start.library, wish.words)} if wish.words.strip() else None
    fit = [each for each in every if (by_name is None or each.move.key in by_name) and _fits(each, wish)]
    first = fit if wish.every else fit[:FEW]
    return MoveChoices(
        wish=wish,
        title=_title(start, wish),
        moves=tuple(_with_figure(studio, start, wish, each) for each in first),
        count=len(fit),
        works=tuple(sorted({word for each in every for word in each.move.focus})),
        back="" if wish.at else f"{place_id(wish.part)}-choose",
    )


def _title(start: PlanRun, wish: MoveWish) -> str:
    if wish.at is None:
        return f"A move for {wish.part}"
    _, cells = column_at(start, wish.at)
    return f"A move in place of {cells[0].move.name.lower()}"


def _fits(each: FittingMove, wish: MoveWish) -> bool:
    return (
        (not wish.works or wish.works in each.move.focus)
        and not (wish.here and each.kit_gaps)
        and not (wish.for_all and each.to_avoid)
    )


def _with_figure(studio: Studio, start: PlanRun, wish: MoveWish, each: FittingMove) -> PicturedMove:
    kit = sorted(str(need.item) for need in each.rung.kit if need.item.counts_as_kit)
    return PicturedMove(
        key=each.move.key,
        name=each.move.name,
        version=each.rung.name,
        figure=studio.figure(each.rung),
        facts=(f"grade {each.rung.grade}", ", ".join(kit) or "no kit", ", ".join(each.move.focus)),
        against=tuple(_against(each)),
        fields=_swap_fields(wish.at, each) if wish.at else _add_fields(start, wish.part, each),
    )


def _against(each: FittingMove) -> Iterator[str]:
    if each.kit_gaps:
        yield f"not here: {', '.join(map(str, each.kit_gaps))}"
    if each.to_avoid:
        yield f"somebody avoids: {', '.join(map(str, each.to_avoid))}"
    if each.too_hard:
        yield "harder than this session's level"


def _swap_fields(at: Ref, each: FittingMove) -> dict[str, str]:
    return {"kind": "another move", "ref": str(at), "move": each.move.key}


def _add_fields(start: PlanRun, part: str, each: FittingMove) -> dict[str, str]:
    """The edit, and the set that is opened by it: the new move's first."""
    block = next(block for block in start.run.plan.blocks if block.name == part)
    place = first_place(block, each.move.key)
    return {"edit": "add-move", "block": part, "move": each.move.key, "open": str(place)}
