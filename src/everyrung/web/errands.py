"""What is computed in the background, and the process that does it: one errand at a time, given up when outdated."""

import shutil
import sys
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from pathlib import Path
from typing import TYPE_CHECKING

from everyrung.compose.remedy import Remedy
from everyrung.moves.library import Library, standard_library
from everyrung.pipeline import AudienceSpec, Options, run_plan
from everyrung.plan.read import plan_from_text
from everyrung.results.analysis import Analysis
from everyrung.store.cache import default_cache
from everyrung.store.digest import digest
from everyrung.store.owners import Owner
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.finding import Finding, Identity
from everyrung.terms.forecast import Forecast, PersonAdvice
from everyrung.terms.pace import Pace, left_words
from everyrung.terms.timeline import OwnCue
from everyrung.web.field_words import refusals
from everyrung.web.log import log_line
from everyrung.web.mending import Mend, mended

if TYPE_CHECKING:
    from multiprocessing.sharedctypes import Synchronized

STAGE_KEPT_S = 86_400  # chosen, because a show that was opened this morning may be led tonight
TOLD = 30  # times, about, that an errand's stand is told; chosen, because a bar that moves thirty times is seen to
Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Weekly:
    """A class at the same wall time each week: "2026-11-26 18:30", a zone's name, how many weeks, where."""

    starts: str
    zone: str
    weeks: int
    place: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Errand:
    """A plan's text to be put on bodies, and before the people that are expected.

    `cards_to`: the folder for a card for each of them; `stage_to`: the folder for what the stage reads; `publish_to`:
    the folder for everything, with the series, the voice and the film where they are wanted. The first two are emptied
    first; the third keeps the parts that were made of the same before.
    `own_cues`: the coach's. `numbers`: of the people on her list, by name. `mend`: instead of computing it, remedies
    are tried for its findings.
    """

    text: str
    expected: AudienceSpec
    own_cues: tuple[OwnCue, ...] = ()
    numbers: Mapping[str, int] = field(default_factory=dict)
    cards_to: Path | None = None
    stage_to: Path | None = None
    publish_to: Path | None = None
    series: Weekly | None = None
    voice: bool = False
    film: bool = False
    mend: Mend | None = None

    @property
    def key(self) -> str:
        """Everything that the answer hangs on."""
        folders = [str(each or "") for each in (self.cards_to, self.stage_to, self.publish_to)]
        return digest(self.text, self.expected, self.own_cues, *folders, self.series, self.voice, self.film, self.mend)


@dataclass(frozen=True, slots=True, kw_only=True)
class Computed:
    """An answer so far: after the bodies `forecast` is still None; `problem` says in words why there is none.

    `advice` is for the people who are known, `cards` the names their cards' files begin with, in the same order.
    `files` are what was published: name, what it is, bytes; with `notes`. `remedies` are those that held.
    """

    findings: tuple[Finding, ...] = ()
    forecast: Forecast | None = None
    advice: tuple[PersonAdvice, ...] = ()
    cards: tuple[str, ...] = ()
    files: tuple[tuple[str, str, int], ...] = ()
    notes: tuple[str, ...] = ()
    remedies: Mapping[Identity, tuple[Remedy, ...]] = field(default_factory=dict)
    problem: str = ""
    finished: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """How far an errand has come; `left_s` is the time to go of this step by its measured rate, where one is known."""

    words: str
    done: int
    total: int
    left_s: float | None = None

    @property
    def left(self) -> str:
        """The same in words."""
        return left_words(self.left_s)


class Outdated(Exception):
    """Nobody waits for this errand any more."""


def work(errands: Connection, answers: Connection, wanted: "Synchronized[int]") -> None:
    """The background process: takes errands until the pipe ends. `wanted` is the number of the errand waited for."""
    while True:
        try:
            number, errand = errands.recv()
        except (EOFError, OSError):
            return
        try:
            _do(number, errand, answers, wanted)
        except Outdated:
            answers.send((number, None))
        except (BrokenPipeError, KeyboardInterrupt):
            return
        except Exception as problem:  # the studio goes on and says what was wrong
            print(f"background: {log_line(problem)}", file=sys.stderr)
            words = "It could not be computed. Nothing of the plan is lost; the window the studio runs in says more."
            answers.send((number, Computed(problem=words, finished=True)))


def _do(number: int, errand: Errand, answers: Connection, wanted: "Synchronized[int]") -> None:
    def told(words: str) -> Progress:
        pace = Pace()

        def progress(done: int, total: int) -> None:
            if wanted.value != number:
                raise Outdated
            left_s = pace.left_s(done, total)
            if done == total or done % max(1, total // TOLD) == 0:
                answers.send((number, Stand(words=words, done=done, total=total, left_s=left_s)))

        return progress

    try:
        plan, cache = plan_from_text(errand.text, "plan.toml"), default_cache()
        moves = standard_library(errand.own_cues)
        if errand.mend:
            options = Options(
                audience=errand.expected, cache=cache, on_bodies=told("remedies"), on_people=told("remedies")
            )
            remedies = mended(errand.text, errand.mend, moves, options, told("remedies tried"))
            answers.send((number, Computed(remedies=remedies, finished=True)))
            return
        if errand.cards_to:
            options = Options(
                drawings=True, audience=errand.expected, cache=cache, on_bodies=told("rungs for your people")
            )
            answers.send((number, _cards(run_plan(plan, library=moves, options=options), errand, told("cards"))))
            return
        if errand.stage_to:
            options = Options(
                drawings=True, cues=True, branches=True, cache=cache, on_bodies=told("what it asks of you")
            )
            answers.send((number, _stage(run_plan(plan, library=moves, options=options), errand.stage_to, moves)))
            return
        if errand.publish_to:
            who = errand.expected if errand.expected.people else None
            options = Options(
                bodies=True, drawings=True, cues=True, voice=errand.voice, audience=who, cache=cache,
                on_bodies=told("rungs on bodies"), on_people=told("people"), on_words=told("words spoken"),
            )  # fmt: skip
            answers.send((number, _published(run_plan(plan, library=moves, options=options), errand, told)))
            return
        bodies = Options(bodies=True, cache=cache, on_bodies=told("rungs on bodies"))
        first = run_plan(plan, library=moves, options=bodies)
        answers.send((number, Computed(findings=first.findings)))
        people = Options(
            bodies=True, audience=errand.expected, cache=cache,
            on_bodies=told("rungs for the audience"), on_people=told("people"),
        )  # fmt: skip
        whole = run_plan(plan, library=moves, options=people)
    except (Faults, Invalid) as problem:
        answers.send((number, Computed(problem=" ".join(refusals(problem)), finished=True)))
        return
    found = Computed(findings=whole.findings, forecast=whole.forecast, advice=whole.advice, finished=True)
    answers.send((number, found))


def _cards(run: Analysis, errand: Errand, progress: Progress) -> Computed:
    from everyrung.publish.card.content import person_card
    from everyrung.publish.card.write import file_names, write_card

    assert errand.cards_to is not None
    shutil.rmtree(errand.cards_to, ignore_errors=True)
    names = file_names([one.name for one in run.advice])
    for done, (one, name) in enumerate(zip(run.advice, names, strict=True)):
        progress(done, len(names))
        owner = Owner(name=one.name, person=errand.numbers.get(one.name, 0))
        write_card(run, person_card(run, one), errand.cards_to, name, owner)
    return Computed(advice=run.advice, cards=tuple(f"plan-{name}" for name in names), finished=True)


def _stage(run: Analysis, folder: Path, moves: Library) -> Computed:
    from everyrung.publish.stage import write_stage

    write_stage(run, folder, moves, default_cache())
    clear_stages(folder)
    return Computed(findings=run.findings, finished=True)


def clear_stages(latest: Path) -> None:
    """Stages of the same session that were set more than a day ago go: nobody can still be leading one."""
    for each in latest.parent.iterdir():
        if each != latest and time.time() - each.stat().st_mtime > STAGE_KEPT_S:
            shutil.rmtree(each, ignore_errors=True)


def _published(run: Analysis, errand: Errand, told: Callable[[str], Progress]) -> Computed:
    from everyrung.publish.calendar import series_of
    from everyrung.publish.folder.make import make
    from everyrung.publish.folder.terms import MANIFEST
    from everyrung.publish.folder.unfinished import standing

    assert errand.publish_to is not None
    if standing(errand.publish_to) is None:
        shutil.rmtree(errand.publish_to, ignore_errors=True)
    parts: dict[str, Progress] = {}
    weekly = errand.series
    series = series_of(run.session, weekly.starts, weekly.zone, weekly.weeks, weekly.place) if weekly else None
    made = make(
        run, errand.text.encode(), errand.publish_to,
        lambda part, done, total: parts.setdefault(part, told(f"writing: {part}"))(done, total),
        series=series, video=errand.film, numbers=errand.numbers,
    )  # fmt: skip
    files = [(each.name, each.what, each.bytes) for each in made.products]
    size = (errand.publish_to / MANIFEST).stat().st_size
    files.append((MANIFEST, "what each file is, and which plan they came from", size))
    return Computed(findings=run.findings, files=tuple(files), notes=made.notes, finished=True)
