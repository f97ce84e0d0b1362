"""A studio that works on one database with others: it says that it runs, and hears what the others gave up."""

import sys
import threading
from dataclasses import dataclass, field

from sqlalchemy import Engine
from sqlalchemy.exc import SQLAlchemyError

from everyrung.store.backups import Backups
from everyrung.store.pictures import Pictures
from everyrung.store.seal import Seal
from everyrung.store.shared_jobs import SharedJobs
from everyrung.store.stages import Post, Stages
from everyrung.store.studios import BEAT_S, Studios
from everyrung.store.wrong_tries import WrongTries
from everyrung.web.board import SharedBoard
from everyrung.web.job_queue import JobQueue
from everyrung.web.log import log_line
from everyrung.web.pairing import WrongCodes
from everyrung.web.passphrase import LoginLimiter
from everyrung.web.settings import Settings
from everyrung.web.stage_relay import SharedShows
from everyrung.web.studio import Studio
from everyrung.web.tries import SharedTries


def shared_studio(settings: Settings, engine: Engine, backups: Backups | None = None) -> Studio:
    """A studio that shares jobs, pictures, stages and wrong tries with all others on its database; they have its folder
    in common too. Closing it ends its signs of life.
    """
    studios, seal = Studios(engine), Seal(settings.cookie_key)
    jobs, tries = SharedJobs(engine, studios, seal), WrongTries(engine)
    studio = Studio(
        settings=settings,
        engine=engine,
        backups=backups,
        jobs=JobQueue(board=SharedBoard(jobs, "jobs")),
        trials=JobQueue(board=SharedBoard(jobs, "trials")),
        tries=LoginLimiter(SharedTries(tries, "passphrase")),
        wrong_codes=WrongCodes(SharedTries(tries, "code")),
        shared_pictures=Pictures(engine, seal),
        shows=SharedShows(studios, Stages(engine, studios), Post(engine, studios)),
    )
    studio.at_end.append(Heartbeat(studios, (studio.jobs, studio.trials)).stop)
    return studio


@dataclass(slots=True)
class Heartbeat:
    """Every BEAT_S this studio says that it runs, and its `queues` look what was given up elsewhere."""

    studios: Studios
    queues: tuple[JobQueue, ...]
    _over: threading.Event = field(default_factory=threading.Event)
    _thread: threading.Thread | None = None

    def __post_init__(self) -> None:
        self._thread = threading.Thread(target=self._beat, daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """No more of it: the others know at once."""
        self._over.set()
        if self._thread:
            self._thread.join()
        try:
            self.studios.leave()
        except SQLAlchemyError as problem:
            print(f"studio: other studios will learn of the end late: {log_line(problem)}", file=sys.stderr)

    def _beat(self) -> None:
        while not self._over.wait(BEAT_S):
            try:
                self.studios.beat()
                for queue in self.queues:
                    queue.look()
            except SQLAlchemyError as problem:  # the database is away for a while
                print(f"studio: other studios can't be heard: {log_line(problem)}", file=sys.stderr)
