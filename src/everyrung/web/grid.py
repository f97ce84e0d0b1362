"""What the Write screen shows of a plan: its blocks as grids of rounds and moves, ready for the page."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from hashlib import sha256

from everyrung.checks.cells import every_block, every_cell
from everyrung.checks.groups import first_groups, group_findings
from everyrung.checks.rules.progression import steps
from everyrung.moves.changed_levers import changed_levers
from everyrung.results.analysis import Analysis
from everyrung.runsheet.words import dose_words
from everyrung.terms.enums import BlockKind, Severity
from everyrung.terms.finding import Finding, InCutOrder, Location, location_words
from everyrung.terms.forecast import Forecast
from everyrung.terms.plan import BlockText, Ref
from everyrung.terms.session import Block, Cell
from everyrung.web.wave_form import WaveFields, wave_fields


@dataclass(frozen=True, slots=True, kw_only=True)
class CellView:
    """One cell. `new_levers` are the levers since the round before; `finish` is who can finish it, once computed."""

    ref: Ref
    id: str
    rung: str
    dose: str
    load: str
    new_levers: tuple[str, ...]
    figure: str
    worst: str
    finish: str
    left_out: bool = False
    lock: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundView:
    name: str
    id: str
    cells: tuple[CellView, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnView:
    key: str
    name: str
    id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockView:
    """A block; `rounds` hold one cell for each of `columns`, a skipped one where the round leaves it out."""

    name: str
    kind: BlockKind
    id: str
    say: tuple[str, ...]
    columns: tuple[ColumnView, ...]
    rounds: tuple[RoundView, ...]
    named_rounds: bool
    lock: bool
    waves: WaveFields


def grid(
    run: Analysis, findings: Iterable[Finding], forecast: Forecast | None, figures: Mapping[Ref, str]
) -> tuple[BlockView, ...]:
    """All blocks in the order of the plan."""
    worst = _worst(findings)
    levers = {after.ref: tuple(changed_levers(before, after)) for before, after in steps(run.session)}
    finish = {each.ref: str(each.some_rung) for each in forecast.cells} if forecast else {}
    blocks = {block.name: block for block in every_block(run.session)}

    def view(cell: Cell) -> CellView:
        return CellView(
            ref=cell.ref,
            id=cell_id(cell.ref),
            rung=cell.rung.name,
            dose=dose_words(cell),
            load=str(cell.bouts[0].load or ""),
            new_levers=levers.get(cell.ref, ()),
            figure=figures.get(cell.ref, ""),
            worst=worst.get(cell.ref, ""),
            finish=finish.get(cell.ref, ""),
            lock=cell.lock or blocks[cell.ref.block].lock,
        )

    in_room = run.session.who.in_room
    return tuple(_block(text, blocks[text.name], view, in_room) for text in run.plan.blocks)


def _block(text: BlockText, block: Block, view: Callable[[Cell], CellView], in_room: int) -> BlockView:
    names = {cell.ref.cell: cell.move.name for cell in block.cells}
    columns = tuple(ColumnView(key=key, name=names.get(key, key), id=place_id(block.name, key)) for key in text.columns)
    rounds = []
    for each in block.rounds:
        cells = {cell.ref.cell: view(cell) for cell in each.cells}
        row = [
            cells.get(key) or _skipped_cell(Ref(block=block.name, round=each.name, cell=key)) for key in text.columns
        ]
        rounds.append(RoundView(name=each.name, id=place_id(block.name, each.name), cells=tuple(row)))
    return BlockView(
        name=block.name,
        kind=block.kind,
        id=place_id(block.name),
        say=block.say,
        columns=columns,
        rounds=tuple(rounds),
        named_rounds=bool(text.rounds),
        lock=text.lock,
        waves=wave_fields(text, names, in_room),
    )


def _skipped_cell(ref: Ref) -> CellView:
    return CellView(
        ref=ref,
        id=cell_id(ref),
        rung="",
        dose="",
        load="",
        new_levers=(),
        figure="",
        worst="",
        finish="",
        left_out=True,
    )


def cell_id(ref: Ref) -> str:
    """The same name for a cell on every page: ids take no spaces, and names may be in any script."""
    return place_id(ref.block, ref.round, ref.cell)


def place_id(*parts: str) -> str:
    """An id of its own for each sequence of names, whatever signs they hold."""
    return f"p{sha256(repr(parts).encode()).hexdigest()[:12]}"


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingView:
    """A finding and where it leads: words, the id of a cell or part, and whether it is a cell; nothing for the plan.
    `group` counts the rules, the gravest first; `is_shown` is false for what waits in a fold.
    """

    finding: Finding
    place: str
    id: str
    links: tuple[tuple[str, str, bool], ...]
    group: int
    is_shown: bool


def finding_views(run: Analysis, findings: Iterable[Finding]) -> tuple[FindingView, ...]:
    """The findings, gravest first, each with its place on the page."""
    groups = group_findings(findings)
    first, _ = first_groups(groups)
    ids = _places(run)
    names = {(cell.ref.block, cell.ref.cell): cell.move.name for cell in every_cell(run.session)}
    views = []
    for number, each in ((number, each) for number, group in enumerate(groups) for each in group.findings):
        refs = [place for place in dict.fromkeys(each.places) if isinstance(place, Ref) and place in ids]
        links = tuple((_short(_by_name(ref, names)), ids[ref], bool(ref.cell)) for ref in refs)
        place = location_words(_place_by_name(one, names) for one in each.places)
        views.append(
            FindingView(
                finding=each,
                place=place,
                id=place_id(each.rule, each.place, each.measured),
                links=links,
                group=number,
                is_shown=number < len(first) and groups[number].severity is not Severity.NOTE,
            )
        )
    return tuple(views)


def _by_name(ref: Ref, names: Mapping[tuple[str, str], str]) -> Ref:
    """A place with its move's name instead of the plan's key for it."""
    return replace(ref, cell=names.get((ref.block, ref.cell), ref.cell)) if ref.cell else ref


def _place_by_name(place: Location, names: Mapping[tuple[str, str], str]) -> Location:
    match place:
        case Ref():
            return _by_name(place, names)
        case InCutOrder(ref=Ref() as ref):
            return InCutOrder(ref=_by_name(ref, names))
    return place


def _short(ref: Ref) -> str:
    """'Squat, Two' for a set."""
    return ", ".join(name for name in (ref.cell, ref.round) if name and name != ref.block) or ref.block


def _places(run: Analysis) -> dict[Ref, str]:
    ids: dict[Ref, str] = {}
    for block in every_block(run.session):
        ids[Ref(block=block.name)] = place_id(block.name)
        for each in block.rounds:
            ids[Ref(block=block.name, round=each.name)] = place_id(block.name, each.name)
            ids |= {cell.ref: cell_id(cell.ref) for cell in each.cells}
    return ids


def _worst(findings: Iterable[Finding]) -> dict[Location, str]:
    """The gravest severity at each place that a finding names, but notes."""
    worst: dict[Location, str] = {}
    for each in findings:
        if each.severity is Severity.NOTE:
            continue
        for place in each.places:
            if worst.get(place) != Severity.ERROR:
                worst[place] = str(each.severity)
    return worst
