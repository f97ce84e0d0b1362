"""All that the routes share: the database, the background, the pictures, the settings."""

from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, TypeVar

from sqlalchemy import Engine
from starlette.requests import Request

from everyrung.moves.library import Library, standard_library
from everyrung.moves.own_moves import own_files
from everyrung.pipeline import AudienceSpec, run_plan
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.results.analysis import Analysis
from everyrung.score.draw import Piece, score_pieces, score_summary
from everyrung.score.lanes import score_lanes
from everyrung.score.layout import Paper
from everyrung.store.backups import Backups
from everyrung.store.blocks import Blocks
from everyrung.store.digest import digest
from everyrung.store.history_store import HistoryStore
from everyrung.store.led_sources import LedSources
from everyrung.store.own_things import OwnCues, OwnRungs
from everyrung.store.pairing import Pairings
from everyrung.store.people_store import PeopleStore
from everyrung.store.pictures import Pictures
from everyrung.store.rooms import Rooms
from everyrung.store.session_log import SessionLogs
from everyrung.store.sessions import Sessions
from everyrung.terms.move import Form, Rung
from everyrung.terms.person import BodySize
from everyrung.terms.units import Load
from everyrung.timing.timeline import build_timeline
from everyrung.web import render_tasks
from everyrung.web.job_queue import JobQueue
from everyrung.web.jobs import Job
from everyrung.web.pairing import WrongCodes
from everyrung.web.passphrase import LoginLimiter
from everyrung.web.save import FILE
from everyrung.web.settings import Settings
from everyrung.web.stage_hub import Shows
from everyrung.web.turns import Turns
from everyrung.web.workers import ProcessWorkers, Workers

RUNS_KEPT = 32  # chosen, because each is some 100 kB, and pages of one version ask for the same one
PICTURES_KEPT = 256  # chosen, because each is some 40 kB, and a session shows some thirty
FIGURES_KEPT = 4000  # names of pictures; the pictures themselves are in the cache of results

Key = TypeVar("Key")
Value = TypeVar("Value")
Picture = tuple[Rung, Load | None, BodySize | None]


@dataclass(slots=True, kw_only=True)
class Studio:
    """What one running studio has.

    `jobs` are long; `trials` is a queue for remedies that need no bodies: nothing long is in it. `drawing` does what a
    page waits for, figures and demands, once more if its process was ended from outside. `shared_pictures` knows the
    names that other studios on the same database gave; `at_end` is done when it ends.
    """

    settings: Settings
    engine: Engine
    backups: Backups | None = None
    jobs: JobQueue = field(default_factory=JobQueue)
    trials: JobQueue = field(default_factory=JobQueue)
    drawing: Workers = field(default_factory=lambda: ProcessWorkers(again=1))
    tries: LoginLimiter = field(default_factory=LoginLimiter)
    shows: Shows = field(default_factory=Shows)
    wrong_codes: WrongCodes = field(default_factory=WrongCodes)
    shared_pictures: Pictures | None = None
    at_end: list[Callable[[], None]] = field(default_factory=list)
    figures: OrderedDict[str, Picture] = field(default_factory=OrderedDict)
    _runs: OrderedDict[tuple[str, Library], Analysis] = field(default_factory=OrderedDict)
    _on_clock: OrderedDict[tuple[str, Library], Analysis] = field(default_factory=OrderedDict)
    _scores: OrderedDict[tuple[str, Library, Paper], tuple[tuple[Piece, ...], str]] = field(default_factory=OrderedDict)
    _pictures: "OrderedDict[str, Future[str | None]]" = field(default_factory=OrderedDict)
    _turns: dict[str, Turns] = field(default_factory=dict)

    @property
    def sessions(self) -> Sessions:
        return Sessions(self.engine)

    @property
    def people(self) -> PeopleStore:
        return PeopleStore(self.engine, self.settings.folder / "health.key")

    @property
    def history(self) -> HistoryStore:
        return HistoryStore(self.engine)

    @property
    def blocks(self) -> Blocks:
        return Blocks(self.engine)

    @property
    def session_logs(self) -> SessionLogs:
        return SessionLogs(self.engine)

    @property
    def led_sources(self) -> LedSources:
        return LedSources(self.engine, self.settings.folder / "look-back.key")

    @property
    def pairings(self) -> Pairings:
        return Pairings(self.engine)

    @property
    def own_rungs(self) -> OwnRungs:
        return OwnRungs(self.engine)

    @property
    def own_cues(self) -> OwnCues:
        return OwnCues(self.engine)

    @property
    def rooms(self) -> Rooms:
        return Rooms(self.engine)

    @property
    def library(self) -> Library:
        """The moves, with the coach's own moves and cues as they are now."""
        return standard_library(self.own_cues.all())

    def run(self, text: str) -> Analysis:
        """A text timed and checked, without bodies; the latest are kept. Raises Faults."""
        key = text, self.library
        if (analysis := self._runs.get(key)) is not None:
            return analysis
        analysis = run_plan(plan_from_text(text, FILE), library=key[1])
        _keep(self._runs, key, analysis)
        return analysis

    def on_clock(self, text: str) -> Analysis:
        """A text timed and not yet checked: it has no findings. Raises Faults."""
        key = text, self.library
        if (analysis := self._on_clock.get(key)) is not None:
            return analysis
        plan = plan_from_text(text, FILE)
        session = resolve(plan, key[1])
        analysis = Analysis(plan=plan, session=session, timeline=build_timeline(session), findings=())
        _keep(self._on_clock, key, analysis)
        return analysis

    def score(self, text: str, paper: Paper) -> tuple[tuple[Piece, ...], str]:
        """The same text's score, drawn on this paper in pieces, and in words. Raises Faults."""
        key = text, self.library, paper
        if (score := self._scores.get(key)) is not None:
            return score
        run = self.on_clock(text)
        lanes = score_lanes(run.session, run.timeline)
        score = score_pieces(lanes, paper), score_summary(lanes)
        _keep(self._scores, key, score)
        return score

    def job(self, text: str, audience: AudienceSpec, **more: Any) -> Job:
        """Something to do in the background with a plan's text, said in the coach's own cues as they are now."""
        return Job(text=text, audience=audience, own_cues=self.own_cues.all(), own_moves=own_files(), **more)

    def in_room(self, session: str) -> dict[str, Any]:
        """Where a session is held, for `job`; {} where nobody said."""
        venue = self.rooms.venue(session)
        return {"room": venue.room.text, "in_room": venue.people} if venue else {}

    def turns(self, session: str) -> Turns:
        """Who changes and who shows a session, one after the other."""
        return self._turns.setdefault(session, Turns())

    def figure(self, rung: Rung, load: Load | None = None, size: BodySize | None = None) -> str:
        """The name under which a rung's picture, still or moving, can be asked for; `size` None is the usual body."""
        name = _picture_name(rung.name, rung.form, load, size)
        if self.shared_pictures and name not in self.figures:
            self.shared_pictures.put(name, (rung, load, size))
        self.figures[name] = (rung, load, size)
        while len(self.figures) > FIGURES_KEPT:
            self.figures.popitem(last=False)
        return name

    def asked_picture(self, name: str) -> Picture | None:
        """What the picture of that name shows; None for a name that is not known (any more)."""
        picture = self.figures.get(name)
        if picture is None and self.shared_pictures:
            picture = self.shared_pictures.get(name)
        return picture

    def picture(self, name: str) -> "Future[str | None] | None":
        """The picture of that name as SVG, drawn if it was not yet; its result is None for a rung that has none. None
        for a name that is not known (any more).
        """
        drawing = self._pictures.get(name)
        if drawing and not (drawing.done() and drawing.exception()):
            return drawing
        picture = self.asked_picture(name)
        if picture is None:
            return drawing
        drawing = self._pictures[name] = self.drawing.submit(render_tasks.figure, *picture)
        while len(self._pictures) > PICTURES_KEPT:
            self._pictures.popitem(last=False)
        return drawing

    def close(self) -> None:
        """Ends the background and lets go of the database."""
        for each in (self.jobs, self.trials, self.drawing):
            each.close()
        for end in self.at_end:
            end()
        self.engine.dispose()


@lru_cache(FIGURES_KEPT)
def _picture_name(name: str, form: Form, load: Load | None, size: BodySize | None) -> str:
    """All that a picture depends on, as a name."""
    return digest("picture", name, form, load, size)[:20]


def _keep(values: OrderedDict[Key, Value], key: Key, value: Value) -> None:
    """The latest ones are kept."""
    values[key] = value
    while len(values) > RUNS_KEPT:
        values.popitem(last=False)


def studio_of(request: Request) -> Studio:
    """The studio that a request came to."""
    studio = request.app.state.studio
    assert isinstance(studio, Studio)
    return studio
