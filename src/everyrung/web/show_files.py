"""What there is of a show, as values for a job: files as text by Latin-1, for a job is digested and sent on."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class WornFile:
    """A heart-rate file, whose it is, and the zone of times that name none."""

    name: str
    content: str
    whose: str
    on_medicine: bool
    zone: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TalkFile:
    """A transcript, and the text of the plan that was led with it."""

    name: str
    content: str
    plan: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LookBackRequest:
    """What there is of a show whose plan, as it was led, is the job's text; `log` is the stage's JSON, '' without one.
    With `head`, the plan as it is now, it is asked what the show says of the next one, and of the coach's clock with
    the `earlier` transcripts; with `film_folder` the files for the film of its recording are made into it, with an
    `overlay` if one is named; else what happened.
    """

    title: str
    revision: int
    log: str = ""
    notes: str = ""
    recording: str = ""
    talk: TalkFile | None = None
    hearts: tuple[WornFile, ...] = ()
    head: str = ""
    earlier: tuple[TalkFile, ...] = ()
    film_folder: str = ""
    overlay: str = ""
