"""The move library: one TOML file a move, read when it is asked for."""

from collections.abc import Callable, Sequence
from copy import copy
from dataclasses import fields, replace
from functools import lru_cache
from operator import attrgetter
from pathlib import Path
from typing import Any

from everyrung.moves.cautions import cautions_of
from everyrung.moves.computed_grades import computed_grades
from everyrung.moves.entry_tests import own_entry_test
from everyrung.moves.kit import kit_of
from everyrung.moves.lever_words import lever_phrase
from everyrung.moves.levers import compose, hardens, on_top, require_change
from everyrung.moves.move_file import MoveText, RungText, move_from_text, read_move
from everyrung.moves.own_cues import with_own
from everyrung.moves.own_moves import Files, own_files, require_own_key
from everyrung.moves.poses import SHAPE, asked_of, in_hand, pose_layer, refusal, silent_levers
from everyrung.parsing.document import read_text
from everyrung.terms.enums import Caution, MoveKind
from everyrung.terms.errors import Faults, Invalid, Where, fault_at, nearest
from everyrung.terms.lever import Lever, Swap
from everyrung.terms.move import Cue, Form, KitNeed, Move, Rung
from everyrung.terms.pose import Layer
from everyrung.terms.sentences import upper_first
from everyrung.terms.timeline import OwnCue

SHOWN = 5  # moves named in a refusal; chosen, because more are not read
_CAUTIONS = tuple(Caution)
_shape = attrgetter(*(each.name for each in fields(Form) if each.name not in ("amount", "band", "reps_added")))
LIBRARIES_KEPT = 4  # chosen, because a studio needs the one with the present cues, and perhaps the one before


class Library:
    """Moves by key, from the TOML files of one folder; the coach's own cues go before the files', and her own moves
    after them. A file of hers that cannot be read is no move: `problems` has what is wrong with it.
    """

    def __init__(self, folder: Path, own: tuple[OwnCue, ...] = (), own_moves: Sequence[Path] = ()) -> None:
        self._own = own
        self._files = {path.stem: path for path in sorted(folder.glob("*.toml"))}
        self.standard_keys = tuple(self._files)
        self._texts: dict[str, MoveText] = {}
        self._wrong: dict[str, Faults] = {}
        self._moves: dict[str, Move] = {}
        self._rungs: dict[tuple[str, str], Rung] = {}
        self._answers: dict[Form, bool] = {}
        self._layers: dict[tuple[Any, ...], Layer] = {}
        self._takes: dict[tuple[str, str], list[str]] = {}
        for path in own_moves:
            self._try(path, self._add)
        for path in own_moves:
            self._try(path, self._require_rungs)  # once all are there: one may lead to another

    def __repr__(self) -> str:
        return f"Library({len(self._files)} moves: {', '.join(list(self._files)[:SHOWN])}, …)"

    @property
    def keys(self) -> tuple[str, ...]:
        return tuple(self._files)

    @property
    def own_keys(self) -> tuple[str, ...]:
        """Those of the coach's own."""
        return tuple(key for key in self._files if key not in self.standard_keys)

    @property
    def problems(self) -> tuple[Faults, ...]:
        """What is wrong with each file of hers that is no move yet."""
        return tuple(self._wrong.values())

    def source(self, key: str) -> tuple[str, MoveText]:
        """A move's file as it is written, and as it was read. Raises Invalid with the nearest name."""
        return read_text(self._files[key]) if key in self._files else "", self._source(key)

    def with_text(self, key: str, text: str, file: str) -> "Library":
        """The same library and one more move of hers, from a text that need not be kept. Raises Invalid, Faults."""
        require_own_key(key, self.standard_keys)
        more = copy(self)
        more._files = self._files | {key: Path(file)}
        more._texts = self._texts | {key: with_own(move_from_text(text, key, file), self._own)}
        more._moves, more._rungs, more._answers, more._layers, more._takes, more._wrong = {}, {}, {}, {}, {}, {}
        for rung in more._texts[key].rungs:
            more.rung(key, rung.key)
        return more

    def _add(self, path: Path) -> None:
        require_own_key(path.stem, self.standard_keys)
        text = move_from_text(read_text(path), path.stem, str(path))
        self._texts[path.stem], self._files[path.stem] = with_own(text, self._own), path

    def _require_rungs(self, path: Path) -> None:
        if path.stem in self.own_keys:
            self.move(path.stem)

    def _try(self, path: Path, step: Callable[[Path], None]) -> None:
        """A step with a file of hers; what is wrong with it is kept, and it is no move."""
        try:
            step(path)
            return
        except Invalid as problem:
            where = Where(file=str(path), line=0, field=problem.field)
            self._wrong[path.stem] = Faults([fault_at(where, problem)])
        except Faults as faults:
            self._wrong[path.stem] = faults
        except OSError as problem:
            where = Where(file=str(path), line=0, field="file")
            unread = Invalid("file", "a file that can be read", problem.strerror or str(problem))
            self._wrong[path.stem] = Faults([fault_at(where, unread)])
        if path.stem not in self.standard_keys:
            self._files.pop(path.stem, None)

    def move(self, key: str) -> Move:
        """The move called `key`. Raises Invalid with the nearest name."""
        if key not in self._moves:
            source = self._source(key)
            versions = tuple(self.rung(key, rung.key) for rung in source.rungs)
            self._moves[key] = replace(source.move, versions=versions)
        return self._moves[key]

    def pose(self, form: Form) -> Layer:
        """What the pose of this form asks for, always the same layer. Raises Invalid when the move has no pose."""
        words = asked_of(form)
        if words not in self._layers:
            source = self._source(form.move)
            if source.pose is None:
                raise Invalid("pose", "a [pose] table in the move's file", f"none in {source.file}")
            self._layers[words] = pose_layer(source.pose, form)
        return self._layers[words]

    def takes(self, form: Form) -> bool:
        """Whether the pose of a form's move answers to every lever in it; True where the move has no pose at all."""
        if form not in self._answers:
            source, form_in_hand = self._source(form.move), in_hand(form)
            pose, base = source.pose, source.move.base
            self._answers[form] = pose is None or not (
                refusal(pose, base, form_in_hand) or any(silent_levers(pose, base, form_in_hand, self.pose))
            )
        return self._answers[form]

    def require_pose(self, form: Form) -> None:
        """Raises Invalid for a lever that this move's pose refuses or knows nothing of, with the moves that take it."""
        source, form = self._source(form.move), in_hand(form)
        if source.pose is None or self.takes(form):
            return
        objection = refusal(source.pose, source.move.base, form)
        if objection:
            words = " and ".join(f"{getattr(form, name)}" for name in objection.words)
            raise Invalid("levers", "what can be posed", f"{words} in {source.move.name!r}", remedy=objection.because)
        lever, value = next(silent_levers(source.pose, source.move.base, form, self.pose))
        raise Invalid(
            lever,
            f"a lever that the pose of {source.move.name!r} answers to",
            value,
            remedy="Its pose does not go so deep, or is the same at every depth."
            if lever == "range"
            else _where(value, self._takers(form, lever, value)),
        )

    def _takers(self, form: Form, lever: str, value: str) -> list[str]:
        """The moves that take this one lever on their own base."""
        field = next((name for name, word in SHAPE.items() if word == lever and str(getattr(form, name)) == value), "")
        if (field, value) not in self._takes:
            bases = ((key, self._source(key).move.base) for key in self.keys if field)
            change: dict[str, Any] = {field: getattr(form, field, None)}
            self._takes[field, value] = [key for key, base in bases if self.takes(replace(base, **change))]
        return self._takes[field, value]

    def rung(self, move: str, key: str) -> Rung:
        """One rung, its levers applied. Raises Invalid with the nearest name."""
        return self._rung(move, key, ())

    def _rung(self, move: str, key: str, before: tuple[tuple[str, str], ...]) -> Rung:
        place = (move, key)
        if place in before:
            chain = " -> ".join("/".join(each) for each in (*before, place))
            raise Invalid("swap", "swaps that come to an end", chain, remedy="Break the circle.")
        if place not in self._rungs:
            source = self._source(move)
            keys = [rung.key for rung in source.rungs]
            if key not in keys:
                listing = f"Its rungs: {', '.join(keys)}."
                raise Invalid("rung", f"a rung of {move}", key, nearest=nearest(key, keys), remedy=listing)
            self._rungs[place] = self._build(source, source.rungs[keys.index(key)], (*before, place))
        return self._rungs[place]

    def _build(self, source: MoveText, text: RungText, before: tuple[tuple[str, str], ...]) -> Rung:
        base, levers, cues, cautions, check = self._start(source, text.levers, before)
        try:
            form = compose(base, levers)
        except Invalid as problem:
            where = Where(file=source.file, line=text.line(), field=f"rung {text.key}")
            raise Faults([fault_at(where, problem)]) from None
        kit, file_tags = kit_of(form), cautions if text.cautions is None else text.cautions
        grade = text.grade or _grade_of(source, text.key)
        return Rung(
            key=text.key,
            name=text.name,
            move=source.move.key,
            levers=text.levers,
            form=form,
            kit=kit,
            entry_test=text.entry_test,
            grade=grade,
            cautions=self._tags(file_tags, form, source.move.kind, grade),
            cues=_fitting((*text.cues, *cues), kit),
            check=text.check or check,
        )

    def _start(
        self, source: MoveText, levers: tuple[Lever, ...], before: tuple[tuple[str, str], ...]
    ) -> tuple[Form, tuple[Lever, ...], tuple[Cue, ...], tuple[Caution, ...], str]:
        """Where composing starts: the move's own base, or the rung that a leading swap names."""
        if levers and isinstance(swap := levers[0], Swap):
            other = self._rung(swap.move, swap.rung, before)
            return other.form, levers[1:], other.cues, self._file_tags(other), other.check
        return source.move.base, levers, source.move.cues, source.move.cautions, source.move.check

    def custom_rung(self, move: str, rung: str, levers: tuple[Lever, ...]) -> Rung:
        """A rung of the coach's own: a library rung with more levers. Raises Invalid when they contradict.

        When the result has the form of a rung that the ladder already has, it is that rung.
        """
        below = self.rung(move, rung)
        by_swap = bool(levers) and isinstance(levers[0], Swap)
        changes = levers if by_swap else on_top(below.levers, levers)
        base, rest, cues, cautions, check = self._start(self._source(move), changes, ())
        form = compose(base, rest)
        require_change(levers, base if by_swap else below.form)
        self.require_pose(form)
        alike = [same for same in self.move(move).versions if _same_shape(same.form, form)]
        for same in sorted(alike, key=lambda each: each.form.band is not form.band):
            if form.band in (None, same.form.band) or same.form.band is None:
                return replace(same, form=form)
        kit, grade = kit_of(form), self._own_grade(below, changes)
        file_tags = cautions if by_swap else self._file_tags(below)
        return replace(
            below,
            key=f"{rung}+{'+'.join(lever.word for lever in levers)}",
            name=f"{below.name}, {', '.join(lever_phrase(lever) for lever in levers)}",
            levers=changes,
            form=form,
            kit=kit,
            entry_test=own_entry_test(changes, form),
            grade=grade,
            cues=_fitting(cues if by_swap else below.cues, kit),
            check=check if by_swap else below.check,
            cautions=self._tags(file_tags, form, self._source(move).move.kind, grade),
        )

    def _own_grade(self, below: Rung, changes: tuple[Lever, ...]) -> int:
        """That of the highest rung of the ladder that the new one is a harder form of, or one above it where more than
        its time is harder: a grade goes by what a joint has to do at most, which slowness and pauses leave as it is.
        """
        ladder = self.move(below.move).ladder
        place = highest_within(ladder, changes)
        within = below if place is None else ladder[place]
        more = [lever for lever in set(changes) - set(within.levers) if not lever.only_time]
        return min(5, within.grade + any(hardens(lever, within.form) for lever in more))

    def _tags(self, file_tags: tuple[Caution, ...], form: Form, kind: MoveKind, grade: int) -> tuple[Caution, ...]:
        """Those that the rules see in the form and its pose, and those that a file adds."""
        rule_tags = self._rule_tags(form, kind, grade)
        return tuple(caution for caution in _CAUTIONS if caution in file_tags or caution in rule_tags)

    def _file_tags(self, rung: Rung) -> tuple[Caution, ...]:
        """Those that only a file says of a rung."""
        rule_tags = self._rule_tags(rung.form, self._source(rung.move).move.kind, rung.grade)
        return tuple(caution for caution in rung.cautions if caution not in rule_tags)

    def _rule_tags(self, form: Form, kind: MoveKind, grade: int) -> frozenset[Caution]:
        has_pose = self._source(form.move).pose is not None
        return cautions_of(form, self.pose(form) if has_pose else None, kind, grade)

    def key_of(self, words: str) -> str:
        """The key of the move that the trade calls so too; '' for none.

        >>> standard_library().key_of("Glute bridge")
        'bridge'
        """
        name = plain_words(words)
        for key in self.keys:
            move = self._source(key).move
            if name in (plain_words(key), plain_words(move.name), *map(plain_words, move.also)):
                return key
        return ""

    def _source(self, key: str) -> MoveText:
        if key in self._wrong and key not in self._files:
            raise self._wrong[key]
        if key not in self._files:
            listing = "`everyrung moves` lists them."
            near = self.key_of(key) or nearest(key, self._files)
            raise Invalid("move", "a move of the library", key, nearest=near, remedy=listing)
        if key not in self._texts:
            self._texts[key] = with_own(read_move(self._files[key]), self._own)
        return self._texts[key]


def highest_within(ladder: tuple[Rung, ...], changes: tuple[Lever, ...]) -> int | None:
    """The place of the highest rung that `changes` only make harder; None when they ease every one of them."""
    for place in range(len(ladder) - 1, -1, -1):
        rung = ladder[place]
        more = set(changes) - set(rung.levers)
        if set(rung.levers) <= set(changes) and all(hardens(lever, rung.form) for lever in more):
            return place
    return None


def plain_words(words: str) -> str:
    """Words as they are compared: small letters, no hyphens, no plural.

    >>> plain_words("Push-ups")
    'push up'
    """
    return " ".join(word.removesuffix("s") for word in words.casefold().replace("-", " ").replace("_", " ").split())


def _where(value: str, moves: Sequence[str]) -> str:
    """Where a lever that one move can't take can be had."""
    if not moves:
        return "Leave it out: no move of the library has a pose for it by itself."
    return f"{upper_first(value)} can be had on {', '.join(moves[:SHOWN])}."


def _grade_of(source: MoveText, key: str) -> int:
    """As bodies have it, of a rung whose file leaves it to them; else by its place on the ladder."""
    grade = computed_grades().get(f"{source.move.key}/{key}")
    keys = [rung.key for rung in source.rungs]
    return grade or 1 + round(4 * keys.index(key) / max(1, len(keys) - 1))


def _same_shape(one: Form, other: Form) -> bool:
    """The same rung, however heavy it is loaded and however often it is done."""
    return bool(_shape(one) == _shape(other))


def _fitting(cues: tuple[Cue, ...], kit: Sequence[KitNeed]) -> tuple[Cue, ...]:
    """Those that name no kit beside this."""
    items = {need.item for need in kit}
    return tuple(cue for cue in cues if cue.kit is None or cue.kit in items)


def standard_library(own: tuple[OwnCue, ...] = ()) -> Library:
    """The moves that come with Everyrung and the coach's own, with her own cues. It is another object when a file of
    hers has changed.
    """
    return _library(own, own_files())


@lru_cache(LIBRARIES_KEPT)
def _library(own: tuple[OwnCue, ...], own_moves: Files) -> Library:
    return Library(Path(__file__).parent / "library", own, [Path(path) for path, _, _ in own_moves])
