"""Reading blocks, columns, rounds and cells of a plan file."""

from typing import Any

from everyrung.moves.lever_words import read_lever
from everyrung.parsing.table_reader import Skip, Table, attempt, flag, one_of, text, words
from everyrung.parsing.units import beats, dose, duration, load, tempo
from everyrung.terms.enums import BlockKind, Carry, OptionKind, SideRule
from everyrung.terms.errors import Invalid, nearest
from everyrung.terms.plan import MOST_WAVES, WAVE_RESTS, BlockText, CellText, OptionText, RoundText, SideText

_OPTION_KEYS = {kind.key: kind for kind in OptionKind}


def read_block(table: Table) -> BlockText:
    """One [[block]] with its columns ([[block.move]]) and rounds ([[block.round]]). What is wrong is noted in the
    table's file.
    """
    kind = table.take("kind", one_of(BlockKind))
    columns = attempt(table.tables("move"), _column)
    rounds = attempt(table.tables("round"), _round)
    waves = table.many("waves", wave_group)
    if table.clean:  # a faulty move must not make its cells look unknown
        _check_grid(table, columns, rounds, waves)
    return table.build(
        BlockText,
        where=table.where,
        kind=kind,
        name=table.take("name", name, str(kind).capitalize()),
        say=table.many("say", words),
        talk_ms=table.take("talk", duration, None),
        rest_ms=table.take("rest", duration, None),
        round_rest_ms=table.take("round_rest", duration, None),
        columns=dict(columns),
        rounds=rounds,
        waves=waves,
        lock=table.take("lock", flag, False),
    )


def wave_group(value: Any) -> tuple[str, ...]:
    """Moves that are done side by side, 'rest' where a wave has nothing to do. Raises Invalid."""
    if not isinstance(value, list):
        raise Invalid("", 'a list of lists of moves, such as [["squat", "push-up"]]', value)
    group = tuple(words(each) for each in value)
    if not 2 <= len(group) <= MOST_WAVES or set(group) == {WAVE_RESTS}:
        raise Invalid("", f"2 to {MOST_WAVES} moves, or one of them and 'rest'", ", ".join(group) or "none")
    return group


def name(value: Any) -> str:
    """A name that can stand in a reference: words without a slash. Raises Invalid for one with a slash."""
    if "/" in words(value):
        raise Invalid("", "a name without a slash", value)
    return words(value)


def _column(table: Table) -> tuple[str, CellText]:
    move = table.take("move", words)
    key = table.take("as", name, move)
    return key, _cell(table, move=move)


def _round(table: Table) -> RoundText:
    cells: dict[str, CellText] = {}
    for key, cell in table.named_tables("cell"):
        try:
            cells[key] = _cell(cell, move=cell.take("move", words, None))
        except Skip:
            continue
    return table.build(
        RoundText,
        where=table.where,
        name=table.take("name", name),
        like=table.take("like", words, None),
        rest_ms=table.take("rest", duration, None),
        skip=table.many("skip", words),
        cells=cells,
    )


def _cell(table: Table, move: str | None) -> CellText:
    levers = table.many("levers", read_lever) if table.has("levers") else None
    options = table.table("options")
    options_at = {f"options.{key}": where for key, where in options.places.items()}
    return table.build(
        CellText,
        where=table.where,
        places={**table.places, **options_at},
        move=move,
        rung=table.take("rung", words, None),
        levers=levers,
        add=table.many("add", read_lever),
        dose=table.take("dose", dose, None),
        tempo=table.take("tempo", tempo, None),
        beats_a_minute=table.take("beats_a_minute", beats, None),
        load=table.take("load", load, None),
        carry=table.take("carry", one_of(Carry), None),
        rest_ms=table.take("rest", duration, None),
        sides=table.take("sides", one_of(SideRule), None),
        left=_side(table, "left"),
        right=_side(table, "right"),
        options=_options(options),
        name=table.take("name", words, ""),
        entry_test=table.take("entry_test", text, ""),
        cues=table.many("cues", words),
        note=table.take("note", text, ""),
        lock=table.take("lock", flag, False),
    )


def _side(table: Table, key: str) -> SideText | None:
    inner = table.table(key)
    if not table.has(key):
        return None
    try:
        return inner.build(
            SideText,
            dose=inner.take("dose", dose, None),
            tempo=inner.take("tempo", tempo, None),
            load=inner.take("load", load, None),
        )
    except Skip:
        return None


def _options(table: Table) -> dict[OptionKind, OptionText]:
    values = {kind: table.take(key, lambda value: value, None) for key, kind in _OPTION_KEYS.items()}
    options: dict[OptionKind, OptionText] = {}
    for key, kind in _OPTION_KEYS.items():
        value = values[kind]
        try:
            if isinstance(value, str):
                options[kind] = OptionText(rung=value)
            elif isinstance(value, dict):
                options[kind] = _option(Table(table.reading, value, (*table.path, key)))
            elif value is not None:
                problem = Invalid(key, 'a rung such as "wall", or a table of rung and levers', value)
                table.reading.fault((*table.path, key), problem)
        except Skip:
            continue
    try:
        table.check_fields()
    except Skip:
        return {}
    return options


def _option(table: Table) -> OptionText:
    return table.build(
        OptionText,
        rung=table.take("rung", words, "base"),
        levers=table.many("levers", read_lever),
        name=table.take("name", words, ""),
        entry_test=table.take("entry_test", text, ""),
    )


def _check_grid(
    table: Table,
    columns: tuple[tuple[str, CellText], ...],
    rounds: tuple[RoundText, ...],
    waves: tuple[tuple[str, ...], ...],
) -> None:
    """Column and round names are each used once; a round names only columns and rounds that exist, and so do waves."""
    names = [key for key, _ in columns]
    _check_waves(table, names, waves)
    for place, key in enumerate(names):
        if key in names[:place]:
            remedy = "Give one of them a name with `as`."
            problem = Invalid("move", "a name of its own for each move", key, remedy=remedy)
            table.reading.fault((*table.path, "move", place), problem)
    rounds_known = {each.name: place for place, each in reversed(list(enumerate(rounds)))}
    for place, each in enumerate(rounds):
        path = (*table.path, "round", place)
        if rounds_known[each.name] != place:
            table.reading.fault((*path, "name"), Invalid("name", "a name of its own for each round", each.name))
        if each.like is not None and each.like not in rounds_known:
            near = nearest(each.like, rounds_known)
            table.reading.fault((*path, "like"), Invalid("like", "a round of this block", each.like, nearest=near))
        for key in (*each.cells, *each.skip):
            if key not in names:
                field = "cell" if key in each.cells else "skip"
                near = nearest(key, names)
                problem = Invalid(field, "a move of this block", key, nearest=near)
                table.reading.fault((*path, field, key), problem)


def _check_waves(table: Table, names: list[str], waves: tuple[tuple[str, ...], ...]) -> None:
    """Each move is in one group, once; only rest is as often as need be."""
    before: list[str] = []
    for place, group in enumerate(waves):
        for key in group:
            if key == WAVE_RESTS:
                continue
            if key not in names or key in before:
                expected = "a move of this block" if key not in names else "each move in one group, once"
                problem = Invalid(
                    "waves", expected, key, nearest=nearest(key, [each for each in names if each not in before])
                )
                table.reading.fault((*table.path, "waves", place), problem)
            before.append(key)
