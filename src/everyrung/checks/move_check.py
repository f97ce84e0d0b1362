"""A coach's own move is looked at as the library's are: its ladder, its words, and whether bodies take its poses."""

import re
from collections.abc import Callable, Sequence

from everyrung.body.mechanics import Failure, Job, demands
from everyrung.body.reference_grid import reference_grid
from everyrung.checks.rules.bodies import MOST_OFF_DEG, MOST_OFF_MM
from everyrung.moves.library import Library
from everyrung.store.cache import Cache
from everyrung.terms.demand import RungDemand
from everyrung.terms.enums import Caution, CueKind, Severity
from everyrung.terms.errors import Invalid
from everyrung.terms.frozen import dataclass
from everyrung.terms.move import Move, Rung
from everyrung.terms.person import BodySize

BY_THE_POSE = ("share", "a push", "a turning")  # the others name a joint that is too weak
# Of what stays over between the ground's push and the body's own motion. Hicks et al. 2015 (hicks2015, from memory)
# accept a twentieth of the force from outside; this is less than a hundredth of the weight of the lightest body here.
MOST_PUSH_N = 4
_PUSH = re.compile(r"a push .*: off by (\d+) N ")
# A breathing cue answers the one; the other belongs to every turn, and another move stands in for it.
_ANSWERED_OTHERWISE = (Caution.HELD_BREATH, Caution.BACK_LOAD)
_KINDS = (CueKind.SET_UP, CueKind.FORM, CueKind.BREATHING, CueKind.SAFETY)


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveNote:
    """One thing about a rung, or the whole ladder where `rung` is ''. An error means: it is no move to lead yet."""

    severity: Severity
    rung: str
    words: str

    def __str__(self) -> str:
        return f"{self.severity}{f' {self.rung}' if self.rung else ''}: {self.words}"


def ladder_notes(library: Library, key: str) -> tuple[MoveNote, ...]:
    """What can be said of a move without a body. Raises Invalid for a move that the library has not.

    >>> from everyrung import library
    >>> ladder_notes(library(), "squat")
    ()
    """
    move = library.move(key)
    return (*_whole(move), *(note for rung in move.versions for note in _rung_notes(library, move, rung)))


def body_notes(
    library: Library,
    key: str,
    sizes: Sequence[BodySize] = (),
    rungs: Sequence[Rung] = (),
    cache: Cache | None = None,
    on_step: Callable[[int, int], None] | None = None,
) -> tuple[MoveNote, ...]:
    """What bodies say of a move's rungs (all of them unless some are named): the twelve reference bodies, or `sizes`.
    `on_step`: how many are done, of how many. Raises Invalid for a move that the library has not.
    """
    sizes, rungs = (
        sizes or reference_grid(),
        [each for each in rungs or library.move(key).versions if _has_pose(library, each)],
    )
    jobs = [Job(form=rung.form, layer=library.pose(rung.form), size=size) for rung in rungs for size in sizes]
    answers: dict[int, RungDemand | str] = {}
    for place, answer in demands(jobs, cache):
        answers[place] = answer.why if isinstance(answer, Failure) else answer
        if on_step:
            on_step(len(answers), len(jobs))
    result: list[MoveNote] = []
    for at, rung in enumerate(rungs):
        result += rung_notes(rung, sizes, [answers[at * len(sizes) + place] for place in range(len(sizes))])
    return tuple(result)


def misses(answer: RungDemand) -> list[str]:
    """What says that a pose was not found; a want of strength does not, nor what then gives way with it."""
    off = answer.farthest_mm > MOST_OFF_MM or answer.farthest_deg > MOST_OFF_DEG
    weak = any(not short.startswith(BY_THE_POSE) for short in answer.shortfalls)
    unposable = [] if weak else [short for short in answer.shortfalls if _counts(short)]
    return [*(["unsettled"] if not answer.has_converged else []), *([answer.misfits[0]] if off else []), *unposable]


def _counts(short: str) -> bool:
    push = _PUSH.match(short)
    return int(push[1]) > MOST_PUSH_N if push else short.startswith("share")


def rung_notes(rung: Rung, sizes: Sequence[BodySize], answers: Sequence[RungDemand | str]) -> list[MoveNote]:
    """What the demands of a rung say, an answer for each size; a text is why there is none."""
    failures = [(size, words) for size, answer in zip(sizes, answers, strict=True) if (words := _why_missed(answer))]
    able = sum(not isinstance(answer, str) and answer.feasible for answer in answers)
    if failures:
        size, words = failures[0]
        how_many = f"{len(failures)} of {len(sizes)} bodies can't be put into its pose"
        return [_note(Severity.ERROR, rung, f"{how_many}; {size}: {words}")]
    if not able:
        short = next(each.shortfalls for each in answers if not isinstance(each, str))
        return [_note(Severity.ERROR, rung, f"no body of {len(sizes)} can hold it: {'; '.join(short[:2])}")]
    if able < len(sizes):
        return [_note(Severity.NOTE, rung, f"{able} of {len(sizes)} bodies can do it, untrained as they are")]
    return []


def _why_missed(answer: RungDemand | str) -> str:
    return answer if isinstance(answer, str) else "; ".join(misses(answer)[:2])


def _has_pose(library: Library, rung: Rung) -> bool:
    try:
        library.pose(rung.form)
    except Invalid:
        return False
    return True


def _whole(move: Move) -> list[MoveNote]:
    keys, grades = [rung.key for rung in move.versions], [rung.grade for rung in move.versions]
    wrong: list[str] = []
    if not 0 < keys.index("base") < len(keys) - 1:
        wrong.append("a rung easier than its own form, and one that is harder, belong on the ladder")
    if grades != sorted(grades):
        wrong.append(f"rungs are written from the easiest to the hardest; their grades are {grades}")
    if all(rung.needs_kit for rung in move.versions):
        wrong.append("no rung does without kit")
    if len({rung.form for rung in move.versions}) < len(keys):
        wrong.append("two rungs are the same")
    tests = [rung.entry_test for rung in move.versions]
    if len(set(tests)) < len(tests):
        wrong.append("two rungs ask the same entry test")
    stuck = [
        str(tag) for tag in Caution
        if tag not in _ANSWERED_OTHERWISE and all(tag in rung.cautions for rung in move.versions)
    ]  # fmt: skip
    wrong += [f"every rung has the caution {tag}: people who have to avoid it have none" for tag in stuck]
    return [MoveNote(severity=Severity.WARNING, rung="", words=each) for each in wrong]


def _rung_notes(library: Library, move: Move, rung: Rung) -> list[MoveNote]:
    result = []
    if rung.form.move == move.key:
        try:
            library.require_pose(rung.form)
            library.pose(rung.form)
        except Invalid as problem:
            words = f"{problem.field}: expected {problem.expected}; got {problem.got}. {problem.remedy}".rstrip()
            result.append(_note(Severity.ERROR, rung, words))
    missing = [str(kind) for kind in _KINDS if kind not in {cue.kind for cue in rung.cues}]
    if missing:
        result.append(_note(Severity.WARNING, rung, f"no cue for {', '.join(missing)}"))
    return result


def _note(severity: Severity, rung: Rung, words: str) -> MoveNote:
    return MoveNote(severity=severity, rung=rung.name, words=words)
