"""What is computed in the background: a job is values, its work a function, so that it can be done anywhere."""

import shutil
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from itertools import count as count_from
from pathlib import Path
from typing import TYPE_CHECKING, Any

from everyrung.compose.case import Remedy
from everyrung.compose.changes import ChangeRequest
from everyrung.lookback.review_values import ReviewView
from everyrung.moves.library import Library, standard_library
from everyrung.moves.own_moves import Files as OwnMoveFiles
from everyrung.pipeline import AudienceSpec, Options, run_plan
from everyrung.plan.read import plan_from_text
from everyrung.results.analysis import Analysis
from everyrung.store.cache import default_cache
from everyrung.store.digest import digest
from everyrung.store.files import drop_others, latest_edition, next_edition
from everyrung.store.owners import Owner, owners
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.finding import Finding, Identity
from everyrung.terms.forecast import Forecast, PersonAdvice
from everyrung.terms.pace import Pace, left_words
from everyrung.terms.plan import Plan
from everyrung.terms.session_brief import SessionBrief
from everyrung.terms.timeline import OwnCue
from everyrung.web.block_planning import BlockProposal, BlockRequest, block_proposal
from everyrung.web.card_takes import ENDING, keep_takes
from everyrung.web.field_words import refusals
from everyrung.web.offering import PressOffers, press_offers
from everyrung.web.proposing import NearestBrief, ProposalCard, nearest_that_works, proposal_cards, step_words
from everyrung.web.remedies import MendRequest, find_remedies
from everyrung.web.room_view import RoomView, read_text
from everyrung.web.show_files import LookBackRequest

if TYPE_CHECKING:
    from everyrung.proposals.search import SearchStep

STAGE_KEPT_S = 86_400  # chosen, because a show that was opened this morning may be led tonight
TOLD = 30  # times, about, that a job says how far it is; chosen, because a bar that moves thirty times is seen to
Steps = Callable[[int, int], None]  # how many are done, of how many


@dataclass(frozen=True, slots=True, kw_only=True)
class WeeklySeries:
    """A class at the same wall time each week: "2026-11-26 18:30", a zone's name, how many weeks, where."""

    starts: str
    zone: str
    weeks: int
    place: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A plan's text to be put on bodies, and before the people that are expected.

    `cards_folder`: for a card for each of them; `stage_folder`: for what the stage reads; `publish_folder`: for
    everything, with the series, the voice and the outputs `also` asked for; each making is an edition of its own in
    it, and one to publish that was stopped is resumed. `own_cues`, `own_moves`: the coach's, the moves by their
    files as they are now. `numbers`: of the people on her list, by name. `mend`: instead of computing it, remedies are
    tried for its findings. `brief`: there is no plan yet, sessions are proposed.
    `change`: ways to change the plan are tried. `block`: a block of weeks is planned.
    `room`: the text of the room that it is held in, for `in_room` people (0: as the plan says). `look_back`: what there
    is of a show is laid on the plan that was led.
    """

    text: str
    audience: AudienceSpec
    own_cues: tuple[OwnCue, ...] = ()
    own_moves: OwnMoveFiles = ()
    numbers: Mapping[str, int] = field(default_factory=dict)
    cards_folder: Path | None = None
    stage_folder: Path | None = None
    publish_folder: Path | None = None
    series: WeeklySeries | None = None
    voice: bool = False
    also: tuple[str, ...] = ()
    mend: MendRequest | None = None
    brief: SessionBrief | None = None
    change: ChangeRequest | None = None
    block: BlockRequest | None = None
    room: str = ""
    in_room: int = 0
    look_back: LookBackRequest | None = None

    @property
    def has_people(self) -> bool:
        """Whether something of people by name is in it: then it goes when one of them does, or the show."""
        return bool(self.audience.people) or self.look_back is not None

    key: str = field(init=False, compare=False)

    def __post_init__(self) -> None:
        """The `key` is a digest of everything that the result depends on: once, for it is asked for at every turn."""
        folders = [str(each or "") for each in (self.cards_folder, self.stage_folder, self.publish_folder)]
        key = digest(
            self.text,
            self.audience,
            self.own_cues,
            self.own_moves,
            *folders,
            self.series,
            self.voice,
            self.also,
            self.mend,
            self.brief,
            self.change,
            self.block,
            self.room,
            self.in_room,
            self.look_back,
        )
        object.__setattr__(self, "key", key)


@dataclass(frozen=True, slots=True, kw_only=True)
class JobResult:
    """A result so far: after the bodies `forecast` is still None, and has no bands until it is `finished`; `problem`
    says in words why there is none.

    `folder` has what was written. `advice` is for the people who are known, `cards` the names their cards' files begin
    with, in the same order.
    `files` are what was published: name, what it is, bytes; with `notes`. `remedies` are those that held.
    `proposals` are for a brief; where there are none, `nearest` is what to change in it.
    `offers` are changes that hold. `block` is a block of weeks that may be kept. `room` is the session in its room.
    `review` is a show looked back on.
    """

    findings: tuple[Finding, ...] = ()
    forecast: Forecast | None = None
    advice: tuple[PersonAdvice, ...] = ()
    folder: Path | None = None
    cards: tuple[str, ...] = ()
    files: tuple[tuple[str, str, int], ...] = ()
    notes: tuple[str, ...] = ()
    remedies: Mapping[Identity, tuple[Remedy, ...]] = field(default_factory=dict)
    proposals: tuple[ProposalCard, ...] = ()
    nearest: NearestBrief | None = None
    offers: PressOffers | None = None
    block: BlockProposal | None = None
    room: RoomView | None = None
    review: ReviewView | None = None
    problem: str = ""
    finished: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """How far a job has come; `left_s` is the time to go of this step by its measured rate, where one is known."""

    words: str
    count: int
    total: int
    left_s: float | None = None

    @property
    def left(self) -> str:
        """The same in words."""
        return left_words(self.left_s)


Tell = Callable[[Progress | JobResult | None], None]  # raises TaskCancelled when nobody waits; None only looks


def do_job(job: Job, tell: Tell) -> JobResult:
    """The whole result; tells how far it is, and what there is so far. What goes wrong is in the result, in words.

    Raises TaskCancelled when nobody waits any more; ProcessEnded or MemoryError when this machine can't do it now.
    """
    try:
        return _work(job)(_JobRun(job=job, moves=standard_library(job.own_cues), tell=tell))
    except (Faults, Invalid) as problem:
        return JobResult(problem=" ".join(refusals(problem)), finished=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class _JobRun:
    """A job while it is done."""

    job: Job
    moves: Library
    tell: Tell

    @property
    def plan(self) -> Plan:
        """Read from the job's text. Raises Faults."""
        return plan_from_text(self.job.text, "plan.toml")

    def run(self, **options: Any) -> Analysis:
        """The plan's analysis with these options."""
        room = read_text(self.job.room) if self.job.room else None
        people = self.job.in_room or None
        usual = Options(cache=default_cache(), room=room, room_people=people, **options)
        return run_plan(self.plan, library=self.moves, options=usual)

    def steps(self, words: str) -> Steps:
        """Tells of one kind of step how far it is, some thirty times, with the time to go."""
        pace = Pace()

        def step(count: int, total: int) -> None:
            left_s = pace.left_s(count, total)
            is_step = count == total or count % max(1, total // TOLD) == 0
            self.tell(Progress(words=words, count=count, total=total, left_s=left_s) if is_step else None)

        return step


def _work(job: Job) -> Callable[[_JobRun], JobResult]:
    if job.brief:
        return _propose
    if job.change:
        return _offers
    if job.block:
        return _block
    if job.look_back:
        return _look_back
    if job.mend:
        return _remedies
    if job.cards_folder:
        return _cards
    if job.stage_folder:
        return _stage
    if job.publish_folder:
        return _publish
    return _room if job.room else _forecast


def _room(doing: _JobRun) -> JobResult:
    from everyrung.web.room_view import room_view  # shapely: only when asked for

    run = doing.run(on_bodies=doing.steps("rungs on the largest body"))
    assert run.room is not None
    return JobResult(findings=run.room.findings, room=room_view(run.room), finished=True)


def _forecast(doing: _JobRun) -> JobResult:
    whole = doing.run(
        bodies=True, audience=doing.job.audience,
        on_bodies=doing.steps("rungs on bodies"), on_people=doing.steps("people"),
        on_findings=lambda findings, count: doing.tell(JobResult(findings=findings, forecast=count)),
    )  # fmt: skip
    return JobResult(findings=whole.findings, forecast=whole.forecast, advice=whole.advice, finished=True)


def _remedies(doing: _JobRun) -> JobResult:
    job, steps = doing.job, doing.steps("remedies")
    assert job.mend is not None
    options = Options(audience=job.audience, cache=default_cache(), on_bodies=steps, on_people=steps)
    remedies = find_remedies(job.text, job.mend, doing.moves, options, doing.steps("remedies tried"), job.room)
    return JobResult(remedies=remedies, finished=True)


def _offers(doing: _JobRun) -> JobResult:
    request = doing.job.change
    assert request is not None
    steps = doing.steps("ways tried")
    tries = count_from(1)
    offers = press_offers(doing.job.text, request, doing.moves, lambda: steps(next(tries), 0))
    return JobResult(offers=offers, finished=True)


def _propose(doing: _JobRun) -> JobResult:
    brief, cache = doing.job.brief, default_cache()
    assert brief is not None
    cards: tuple[ProposalCard, ...] = ()
    latest = ""

    def step(at: "SearchStep") -> None:
        nonlocal latest
        words = step_words(at, cards)
        doing.tell(None if words == latest else Progress(words=words, count=0, total=0))
        latest = words

    for card in proposal_cards(brief, doing.moves, cache, step):
        cards = (*cards, card)
        doing.tell(JobResult(proposals=cards))
    if cards:
        return JobResult(proposals=cards, finished=True)
    doing.tell(Progress(words="no session has all of this; trying one wish fewer", count=0, total=0))
    nearest = nearest_that_works(brief, doing.moves, cache, lambda: doing.tell(None))
    return JobResult(nearest=nearest, finished=True)


def _block(doing: _JobRun) -> JobResult:
    request = doing.job.block
    assert request is not None

    def step(words: str) -> None:
        doing.tell(Progress(words=words, count=0, total=0))

    return JobResult(block=block_proposal(request, doing.moves, default_cache(), step), finished=True)


def _look_back(doing: _JobRun) -> JobResult:
    from everyrung.web.looking_back import film_files, look_back_view  # scipy and PyAV: only when asked for

    request = doing.job.look_back
    assert request is not None
    latest = ""
    pace = Pace()

    def step(words: str, count: int, total: int) -> None:
        nonlocal latest
        is_step = words != latest or (total > 0 and count % max(1, total // TOLD) == 0)
        latest = words
        left_s = pace.left_s(count, total) if total else None
        long = f"minutes of {words}" if total else words
        progress = Progress(words=long, count=count // 60, total=total // 60, left_s=left_s)
        doing.tell(progress if is_step else None)

    if request.film_folder:
        folder = film_files(request, doing.job.text, doing.moves, step, doing.steps("frames of the overlay"))
        return JobResult(folder=folder, finished=True)
    view = look_back_view(request, doing.job.text, doing.moves, step)
    return JobResult(review=view, finished=True)


def _cards(doing: _JobRun) -> JobResult:
    bodies = doing.steps("rungs for your people")
    run = doing.run(drawings=True, audience=doing.job.audience, on_bodies=bodies)
    return cards_of(run, doing.job, doing.steps("cards"))


def cards_of(run: Analysis, job: Job, progress: Steps) -> JobResult:
    """A card for each person that there is advice for."""
    from everyrung.publish.card import file_names, person_card, write_card

    assert job.cards_folder is not None
    folder = next_edition(job.cards_folder)
    names = file_names([one.name for one in run.advice])
    for count, (one, name) in enumerate(zip(run.advice, names, strict=True)):
        progress(count, len(names))
        owner = Owner(name=one.name, person=job.numbers.get(one.name, 0))
        write_card(run, person_card(run, one), folder, name, owner)
        on = (job.audience.on if job.audience else None) or date.today()
        keep_takes(owners(), folder / f"plan-{name}{ENDING}", owner, one, run.session.title, on)
    if names:
        drop_others(folder)
    cards = tuple(f"plan-{name}" for name in names)
    return JobResult(advice=run.advice, folder=folder, cards=cards, finished=True)


def _stage(doing: _JobRun) -> JobResult:
    from everyrung.publish.stage import write_stage

    assert doing.job.stage_folder is not None
    folder = next_edition(doing.job.stage_folder)
    run = doing.run(drawings=True, cues=True, branches=True, on_bodies=doing.steps("what it asks of you"))
    write_stage(run, folder, doing.moves, default_cache())
    drop_others(folder)
    clear_stages(doing.job.stage_folder)
    return JobResult(findings=run.findings, folder=folder, finished=True)


def clear_stages(latest: Path) -> None:
    """Stages of the same session that were set more than a day ago go: nobody can still be leading one."""
    for each in latest.parent.iterdir():
        if each != latest and time.time() - each.stat().st_mtime > STAGE_KEPT_S:
            shutil.rmtree(each, ignore_errors=True)


def _publish(doing: _JobRun) -> JobResult:
    from everyrung.publish.calendar import series_of
    from everyrung.publish.folder.bundle import build_bundle
    from everyrung.publish.folder.contents import MANIFEST, STATE

    job = doing.job
    assert job.publish_folder is not None
    folder = latest_edition(job.publish_folder, STATE) or next_edition(job.publish_folder)
    run = doing.run(
        bodies=True, drawings=True, cues=True, voice=job.voice, audience=job.audience if job.audience.people else None,
        on_bodies=doing.steps("rungs on bodies"), on_people=doing.steps("people"), on_words=doing.steps("words spoken"),
    )  # fmt: skip
    parts: dict[str, Steps] = {}
    weekly = job.series
    series = series_of(run.session, weekly.starts, weekly.zone, weekly.weeks, weekly.place) if weekly else None
    bundle = build_bundle(
        run, job.text.encode(), folder,
        lambda part, count, total: parts.setdefault(part, doing.steps(f"writing: {part}"))(count, total),
        series=series, also=job.also, numbers=job.numbers,
    )  # fmt: skip
    drop_others(folder)
    files = [(each.name, each.what, each.bytes) for each in bundle.products]
    size = (folder / MANIFEST).stat().st_size
    files.append((MANIFEST, "what each file is, and which plan they came from", size))
    return JobResult(findings=run.findings, folder=folder, files=tuple(files), notes=bundle.notes, finished=True)
