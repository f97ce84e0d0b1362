"""Looking back on one session: its plan, and whatever there is of how it went, laid on it and put together."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from everyrung.lookback.coach_clock import CoachClock
from everyrung.lookback.heart_file import HeartFile
from everyrung.lookback.heart_on_plan import HeartOutcome, lay_heart
from everyrung.lookback.notes import Note, notes
from everyrung.lookback.outcome import Outcome, lay_on_plan
from everyrung.lookback.plan_sets import PlanSet, plan_sets
from everyrung.lookback.real_times import RealTimes, real_times
from everyrung.lookback.recording_report import OnRecording, agreement_lines, lay_recording_on_plan
from everyrung.lookback.review_values import NextEdit
from everyrung.lookback.show import Show, lay_log_on_plan
from everyrung.lookback.show_notes import show_notes
from everyrung.lookback.stage_log import StageLog
from everyrung.lookback.transcript import Transcript
from everyrung.moves.library import Library
from everyrung.results.analysis import Analysis
from everyrung.runsheet.build import ways
from everyrung.terms.errors import Faults, Invalid

OnProblem = Callable[[str, Invalid | Faults], None]  # which source, and what is wrong with it
OnStep = Callable[[str, int], None]  # what is done, and how many seconds of a recording were read; it may raise


@dataclass(frozen=True, slots=True, kw_only=True)
class WornHeart:
    """A heart-rate file, whose it is, and whether their medicine limits the rate."""

    file: HeartFile
    whose: str
    on_medicine: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Sources:
    """What there is of a session, as it was read. `began`: when, where no log says it."""

    log: StageLog | None = None
    recording: Path | None = None
    transcript: Transcript | None = None
    hearts: tuple[WornHeart, ...] = ()
    began: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Review:
    """All of it on the plan; `names` says whose hearts, in their order, and `problems` what could not be laid, and why.
    `edits` are tried changes of the next plan; the last one of a `clock` is to take it.
    """

    analysis: Analysis
    sets: tuple[PlanSet, ...]
    show: Show | None = None
    recording: OnRecording | None = None
    outcome: Outcome | None = None
    hearts: tuple[HeartOutcome, ...] = ()
    names: tuple[str, ...] = ()
    edits: tuple[NextEdit, ...] = ()
    clock: CoachClock | None = None
    problems: tuple[str, ...] = ()

    @property
    def real(self) -> RealTimes | None:
        """What was led when, by the surest source."""
        return real_times(self.sets, self.show, self.outcome, self.recording)

    @property
    def notes(self) -> tuple[Note, ...]:
        """Of log, words and beeps together, the gravest first; times are of the session where a log or words say them.
        Where there is a log, it says what was led, and words are asked only how.
        """
        rows = list(show_notes(self.show)) if self.show else []
        if self.outcome:
            begin_ms = (self.real.recording_ms or 0) if self.real else 0
            rows += [_shift(each, begin_ms) for each in notes(self.outcome, with_log=self.show is not None)]
        rows.sort(key=lambda note: (note.gravity, not note.is_sure, note.at_ms or 0))
        return tuple(rows)

    @property
    def disagreements(self) -> tuple[str, ...]:
        """Where words and beeps of one recording say something different."""
        if self.recording and self.outcome and not self.recording.clock.refusal:
            return tuple(agreement_lines(self.recording, self.outcome))
        return ()


def _shift(note: Note, begin_ms: int) -> Note:
    return note if note.at_ms is None else replace(note, at_ms=max(0, note.at_ms - begin_ms))


def look_back(analysis: Analysis, library: Library, sources: Sources, on_step: OnStep, on_problem: OnProblem) -> Review:
    """Lays each source on the plan. `on_problem` hears of one that cannot be laid, and if it raises nothing, the others
    are laid all the same.
    """
    sets = plan_sets(analysis.session, analysis.timeline)
    show = recording = outcome = None
    if sources.log:
        with _hearing("log", on_problem):
            show = lay_log_on_plan(sources.log, sets, ways(analysis))
    if sources.recording:
        with _hearing("recording", on_problem):
            recording = lay_recording_on_plan(
                sources.recording, analysis, sets, show, lambda at_s: on_step("the recording", at_s)
            )
    if sources.transcript:
        on_step("the transcript", 0)
        with _hearing("transcript", on_problem):
            outcome = lay_on_plan(sources.transcript, sets, library)
    on_step("heart rates", 0)
    hearts = tuple(
        lay_heart(each.file, sets, analysis.timeline, sources.began, show=show, on_medicine=each.on_medicine)
        for each in sources.hearts
    )
    return Review(
        analysis=analysis,
        sets=sets,
        show=show,
        recording=recording,
        outcome=outcome,
        hearts=hearts,
        names=tuple(each.whose for each in sources.hearts),
    )


@contextmanager
def _hearing(what: str, on_problem: OnProblem) -> Iterator[None]:
    """What is refused inside is passed on."""
    try:
        yield
    except (Invalid, Faults) as problem:
        on_problem(what, problem)
