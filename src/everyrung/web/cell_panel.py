"""What stands beside the grid for one cell: its ladder, its three options with their tests, and all that can be set."""

import json
from dataclasses import dataclass, replace

from everyrung.checks.cells import every_cell
from everyrung.moves.lever_words import lever_phrase
from everyrung.plan.inheritance import FullCell, full_rounds
from everyrung.plan.read import ref
from everyrung.plan.serialize import option_value
from everyrung.results.analysis import Analysis
from everyrung.runsheet.words import dose_words
from everyrung.store.own_things import OwnRung
from everyrung.terms.enums import OptionKind
from everyrung.terms.errors import Invalid, nearest
from everyrung.terms.move import Rung
from everyrung.terms.plan import OptionText, Ref
from everyrung.terms.session import Cell, Option
from everyrung.web.grid import cell_id
from everyrung.web.lever_choices import lever_choices
from everyrung.web.studio import Studio

_UP_TO_DOWN = (OptionKind.HARDER, None, OptionKind.EASIER, OptionKind.NO_KIT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One entry of a list to choose from: what is posted, and its words."""

    value: str
    words: str
    current: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RungView:
    """One of the four rungs of a cell. `kind` is None for the led one; `field` is what its choice sets."""

    kind: OptionKind | None
    name: str
    test: str
    load: str
    dose: str
    figure: str
    field: str
    choices: tuple[Choice, ...]
    from_ladder: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CellPanel:
    """The panel; `values` are fields as the plan has them, `defaults` what stands for those left open. `at_share` is
    where in the session the set is, from 0 to 1.
    """

    ref: Ref
    id: str
    move: str
    rounds: bool
    rungs: tuple[RungView, ...]
    values: dict[str, str]
    defaults: dict[str, str]
    changes: tuple[str, ...]
    dose_unit: str
    levers: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    cautions: tuple[str, ...]
    cues: tuple[str, ...]
    lock: bool
    lock_move: bool
    at_share: float


def cell_panel(studio: Studio, run: Analysis, at: Ref) -> CellPanel:
    """The panel of one cell. Raises Invalid for a place that is not there."""
    cell, full = cell_at(run, at), _full(run, at)
    own = studio.own_rungs.of(cell.move.key)
    text = full.text
    first = cell.bouts[0]
    return CellPanel(
        ref=at,
        id=cell_id(at),
        move=cell.move.name,
        rounds=any(block.name == at.block and block.rounds for block in run.plan.blocks),
        rungs=tuple(_rung_view(studio, cell, full, kind, own) for kind in _UP_TO_DOWN),
        values={
            "dose": str(text.dose or ""),
            "load": str(text.load or ""),
            "tempo": str(text.tempo or ""),
            "beats_a_minute": "" if text.beats_a_minute is None else f"{text.beats_a_minute:g}",
            "rest": "" if text.rest_ms is None else f"{text.rest_ms / 1000:g} s",
            "name": text.name,
            "entry_test": text.entry_test,
            "note": text.note,
            "cues": "\n".join(text.cues),
            "sides": str(text.sides or ""),
            "carry": str(text.carry or ""),
        },
        defaults={
            "dose": str(cell.dose),
            "load": str(first.load or "none"),
            "tempo": "held still" if first.tempo.is_hold else str(first.tempo),
            "beats_a_minute": "none",
            "rest": f"{cell.rest_ms / 1000:g} s",
            "name": cell.rung.name,
            "entry_test": cell.rung.entry_test,
            "note": "",
            "sides": str(cell.side_rule),
            "carry": str(first.load.carry or "") if first.load else "",
        },
        changes=tuple(lever_phrase(lever) for lever in (*(full.own.levers or ()), *full.own.add)),
        dose_unit="s" if first.tempo.is_hold else "a side" if len(cell.bouts) > 1 else "reps",
        levers=lever_choices(cell.rung.form),
        cautions=tuple(map(str, cell.rung.cautions)),
        cues=tuple(cue.text for cue in cell.rung.cues),
        lock=full.own.lock,
        lock_move=any(block.name == at.block and block.columns[at.cell].lock for block in run.plan.blocks),
        at_share=_share_before(run, at),
    )


def _share_before(run: Analysis, at: Ref) -> float:
    """How much of the session is over when a set begins; 1 for one of the reserve."""
    starts = (span.at_ms for span in run.timeline.spans if span.cell and span.cell.ref == at)
    return next(starts, run.timeline.total_ms) / max(1, run.timeline.total_ms)


def panel_of(studio: Studio, run: Analysis, place: str) -> CellPanel | None:
    """The panel of the cell that is open; None for none, and for one that was taken out in between."""
    try:
        return cell_panel(studio, run, ref(place)) if place else None
    except Invalid:
        return None


def cell_at(run: Analysis, ref: Ref) -> Cell:
    """A cell of a session. Raises Invalid with the nearest place."""
    cells = {cell.ref: cell for cell in every_cell(run.session)}
    if ref not in cells:
        near = nearest(str(ref), [str(each) for each in cells])
        raise Invalid("cell", "a set of this session", str(ref), nearest=near)
    return cells[ref]


def _full(run: Analysis, ref: Ref) -> FullCell:
    block = next(block for block in run.plan.blocks if block.name == ref.block)
    rounds = next(each for each in full_rounds(block) if each.text.name == ref.round)
    return next(each for each in rounds.cells if each.key == ref.cell)


def _rung_view(
    studio: Studio, cell: Cell, full: FullCell, kind: OptionKind | None, own: tuple[OwnRung, ...]
) -> RungView:
    option = cell.option(kind) if kind else None
    field = kind.field if kind else "rung"
    choices = _option_choices(cell, option, full.text.options.get(kind), own) if kind else _led_choices(cell, full, own)
    if kind and option is None:
        return RungView(
            kind=kind, name="", test="", load="", dose="", figure="", field=field, choices=choices, from_ladder=False
        )
    view = replace(cell, rung=option.rung, dose=option.dose, bouts=option.bouts) if option else cell
    rung, load = view.rung, view.bouts[0].load
    return RungView(
        kind=kind,
        name=rung.name,
        test=rung.entry_test,
        load=str(load or ""),
        dose=dose_words(view),
        figure=studio.figure(rung, load),
        field=field,
        choices=choices,
        from_ladder=option is not None and not option.given,
    )


def _led_choices(cell: Cell, full: FullCell, own: tuple[OwnRung, ...]) -> tuple[Choice, ...]:
    """The ladder and the coach's own rungs; before them the led rung, where the plan says more of it than a name."""
    own_levers = bool(full.text.levers or full.text.add) or cell.rung.key != (full.text.rung or "base")
    first = (Choice(value="", words=f"{cell.rung.name} (as written)", current=True),) if own_levers else ()
    return (*first, *_choices(cell, "" if own_levers else full.text.rung or "base", own))


def _option_choices(
    cell: Cell, option: Option | None, option_text: OptionText | None, own: tuple[OwnRung, ...]
) -> tuple[Choice, ...]:
    """The same for an option, which can also be taken from the ladder."""
    value = option_value(option_text) if option_text is not None else ""
    key = value if isinstance(value, str) and "/" not in value else ""
    first = [Choice(value="", words="taken from the ladder", current=option_text is None)]
    if option_text is not None and not key:
        words = f"{option.rung.name if option else option_text.rung} (as written)"
        first.append(Choice(value=value if isinstance(value, str) else json.dumps(value), words=words, current=True))
    return (*first, *_choices(cell, key, own))


def _choices(cell: Cell, key: str, own: tuple[OwnRung, ...]) -> tuple[Choice, ...]:
    """The ladder from its top down, what stands in for it, then the coach's own."""
    rungs = ((each, _rung_words(each)) for each in cell.move.ladder[::-1])
    others = ((each, f"Instead: {_rung_words(each)}") for each in cell.move.stand_ins)
    versions = (Choice(value=each.key, words=words, current=each.key == key) for each, words in (*rungs, *others))
    return (*versions, *(Choice(value=own_value(each), words=f"Yours: {each.name}") for each in own))


def _rung_words(rung: Rung) -> str:
    kit = ", ".join(sorted({str(need.item) for need in rung.kit if need.item.counts_as_kit}))
    return f"{rung.name} · grade {rung.grade}{f' · {kit}' if kit else ''}"


def own_value(own: OwnRung) -> str:
    """The coach's own rung as a plan file has an option."""
    table = {"rung": own.rung, "levers": json.loads(own.levers), "name": own.name, "entry_test": own.entry_test}
    return json.dumps({key: value for key, value in table.items() if value})
