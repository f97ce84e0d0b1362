"""Reading one move file: the words as written, before any lever is applied."""

from collections.abc import Callable
from dataclasses import field
from functools import partial
from pathlib import Path

from everyrung.moves.lever_words import read_lever
from everyrung.moves.pose_file import read_pose
from everyrung.parsing.document import parse, read_text
from everyrung.parsing.table_reader import FileFaults, Skip, Table, attempt, one_of, whole, words
from everyrung.parsing.units import tempo
from everyrung.terms.enums import (
    Carry,
    Caution,
    CueKind,
    End,
    Hold,
    KitItem,
    Limb,
    LoadNeed,
    Mode,
    MoveKind,
    Pattern,
    Position,
    Press,
    Reach,
    Rotation,
    Sidedness,
    Support,
    Surface,
)
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.frozen import dataclass
from everyrung.terms.lever import Lever
from everyrung.terms.move import MAX_CHECK_WORDS, MAX_ENTRY_TEST_WORDS, Cue, Form, Move
from everyrung.terms.pose import PoseText
from everyrung.terms.timeline import WRITTEN_KINDS
from everyrung.terms.units import STILL


@dataclass(frozen=True, slots=True, kw_only=True)
class RungText:
    """A rung as written: its levers not yet applied."""

    key: str
    name: str
    levers: tuple[Lever, ...]
    entry_test: str
    check: str
    grade: int | None
    cautions: tuple[Caution, ...] | None
    cues: tuple[Cue, ...]
    line: Callable[[], int] = field(compare=False, repr=False)  # where it stands; looked for only when it is asked


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveText:
    """A move as written; `move.versions` is still empty."""

    file: str
    move: Move
    rungs: tuple[RungText, ...]
    pose: PoseText | None


def read_move(path: Path) -> MoveText:
    """The move file at `path`. Raises Faults with every fault in it."""
    return move_from_text(read_text(path), path.stem, path.name)


def move_from_text(text: str, key: str, file: str) -> MoveText:
    """The move of a file's text; `file` is what its faults call it. Raises Faults with every fault in it."""
    reading = FileFaults(file, text)
    table = Table(reading, parse(text, file))
    try:
        move = _move(table, key, file)
    except Skip:
        raise Faults(reading.faults) from None
    reading.finish()
    return move


def _move(table: Table, key: str, file: str) -> MoveText:
    rungs = attempt(table.tables("rung"), _rung)
    pose = _pose(table)
    base = _base(table, key, pose.layer.rests if pose else None)
    move = table.build(
        Move,
        key=key,
        name=table.take("name", words),
        kind=table.take("kind", one_of(MoveKind)),
        pattern=table.take("pattern", one_of(Pattern)),
        focus=table.many("focus", words),
        base=base,
        versions=(),
        cues=_cues(table.table("cues")),
        cautions=table.many("cautions", one_of(Caution)),
        also=table.many("also", words),
        check=table.take("check", _check, ""),
    )
    _check_ladder(table, rungs)
    return MoveText(file=file, move=move, rungs=rungs, pose=pose)


def _pose(table: Table) -> PoseText | None:
    try:
        return read_pose(table.table("pose")) if table.has("pose") else None
    except Skip:
        return None


def _base(table: Table, key: str, rests: End | None) -> Form:
    mode = table.take("mode", one_of(Mode), Mode.REPS)
    sides = table.take("sides", one_of(Sidedness))
    limb = table.take("limb", one_of(Limb))
    base = table.table("base")
    pace = base.take("tempo", tempo, STILL)
    if mode is Mode.REPS and pace is not None and pace.is_hold:
        table.reading.fault((*base.path, "tempo"), Invalid("tempo", "a tempo for a move that is counted", "none"))
    return base.build(
        Form,
        move=key,
        position=base.take("position", one_of(Position)),
        support=base.take("support", one_of(Support)),
        surface=base.take("surface", one_of(Surface), Surface.FLOOR),
        contacts=base.many("contacts", words),
        sides=sides,
        limb=limb,
        mode=mode,
        tempo=pace,
        phases=_phases(table),
        hold=base.take("hold", one_of(Hold), Hold.NONE),
        reach=base.take("reach", one_of(Reach), Reach.NONE),
        press=base.take("press", one_of(Press), Press.NONE),
        load=base.take("load", one_of(LoadNeed), LoadNeed.NONE),
        carry=base.take("carry", one_of(Carry), None),
        rotation=base.take("rotation", one_of(Rotation), Rotation.NONE),
        rests=rests or End.TOP,
    )


def _phases(table: Table) -> tuple[str, ...]:
    phases = table.table("phases")
    if phases.has("hold"):
        names: tuple[str, ...] = (phases.take("hold", words),)
    else:
        names = tuple(phases.take(name, words) for name in ("lower", "bottom", "rise", "top"))
    phases.check_fields()
    return names


def _rung(table: Table) -> RungText:
    cues = _cues(table.table("cues"))
    cautions = table.many("cautions", one_of(Caution)) if table.has("cautions") else None
    return table.build(
        RungText,
        key=table.take("key", words),
        name=table.take("name", words),
        levers=table.many("levers", read_lever),
        entry_test=table.take("entry_test", _entry_test),
        check=table.take("check", _check, ""),
        grade=table.take("grade", whole(1, 5), None),
        cautions=cautions,
        cues=cues,
        line=table.line,
    )


def _entry_test(value: object) -> str:
    return _short("entry_test", MAX_ENTRY_TEST_WORDS, value)


def _check(value: object) -> str:
    return _short("check", MAX_CHECK_WORDS, value)


def _short(field: str, most: int, value: object) -> str:
    text = words(value)
    count = len(text.split())
    if count > most:
        raise Invalid(field, f"at most {most} words", f"{count} words")
    return text


def _cues(table: Table) -> tuple[Cue, ...]:
    if not table.names:
        return ()  # as of most rungs
    cues = [cue for kind in WRITTEN_KINDS for cue in table.many(kind.value, partial(_cue, kind))]
    table.check_fields()
    return tuple(cues)


def _cue(kind: CueKind, value: object) -> Cue:
    """Words; or `{ say = "Land on the seat.", kit = "chair" }`, said only where a rung has that kit."""
    if not isinstance(value, dict):
        return Cue(kind=kind, text=words(value))
    if set(value) != {"say", "kit"}:
        raise Invalid(kind.value, "words, or say and kit", ", ".join(map(str, value)) or "nothing")
    return Cue(kind=kind, text=words(value["say"]), kit=one_of(KitItem)(value["kit"]))


def _check_ladder(table: Table, rungs: tuple[RungText, ...]) -> None:
    keys = [rung.key for rung in rungs]
    bases = [rung.key for rung in rungs if not rung.levers]
    if bases != ["base"]:
        problem = Invalid("rung", "exactly one rung without levers, with key 'base'", str(bases))
        table.reading.fault((*table.path, "rung"), problem)
    if len(set(keys)) != len(keys):
        table.reading.fault((*table.path, "rung"), Invalid("rung", "a different key for each rung", str(keys)))
