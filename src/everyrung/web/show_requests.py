"""A show of the studio's with all there is of it, as two jobs: what happened, and what comes of it."""

import json
from collections.abc import Iterator
from dataclasses import replace

from everyrung.pipeline import AudienceSpec
from everyrung.store.led_sources import LedSource, SourceKind
from everyrung.store.session_log import SessionLog
from everyrung.store.sessions import NotFound, Revision
from everyrung.terms.errors import Faults
from everyrung.web.jobs import Job
from everyrung.web.person_form import participant
from everyrung.web.show_files import LookBackRequest, TalkFile, WornFile
from everyrung.web.show_film import film_folder
from everyrung.web.studio import Studio

MOST_EARLIER = 5  # sessions from which the coach's clock is learned beside this one; chosen, as each takes a second


def slot(log: SessionLog) -> str:
    """Of the jobs of a show."""
    return f"look-back/{log.id}"


def review_job(studio: Studio, log: SessionLog) -> Job:
    """What happened. Raises NotFound for a version that is not."""
    return _job(studio, log, _request(studio, log))


def next_job(studio: Studio, log: SessionLog, head: Revision) -> Job:
    """What it says of the next plan, which is the session as it is now, and of her clock; without what takes long."""
    request = _request(studio, log, only_talk=True)
    earlier = tuple(_earlier(studio, log)) if request.talk else ()
    return _job(studio, log, replace(request, head=head.text, earlier=earlier))


def film_job(studio: Studio, log: SessionLog, overlay: str) -> Job:
    """What is for the film of its recording, into the studio's own folder."""
    request = _request(studio, log)
    hearing = replace(
        request, hearts=(), notes="", film_folder=str(film_folder(studio.settings.folder, log.id)), overlay=overlay
    )
    return _job(studio, log, hearing)


def _job(studio: Studio, log: SessionLog, request: LookBackRequest) -> Job:
    text = studio.sessions.revision(log.session, log.revision).text
    return studio.job(text, AudienceSpec(), look_back=request)


def _request(studio: Studio, log: SessionLog, *, only_talk: bool = False) -> LookBackRequest:
    revision = studio.sessions.revision(log.session, log.revision)
    sources = [each for each in studio.led_sources.of(log.id) if each.content is not None]
    talk = next((each for each in sources if each.kind is SourceKind.TRANSCRIPT), None)
    path = next((each for each in sources if each.kind is SourceKind.RECORDING), None)
    return LookBackRequest(
        title=revision.title,
        revision=log.revision,
        log=log.log if is_of_stage(log) else "",
        notes="" if only_talk else log.notes,
        recording=(path.content or b"").decode() if path and not only_talk else "",
        talk=_talk(talk, revision.text) if talk else None,
        hearts=() if only_talk else tuple(_hearts(studio, sources)),
    )


def is_of_stage(log: SessionLog) -> bool:
    """Whether a stage wrote something down; a show that was led without one is known by its day alone."""
    return bool(json.loads(log.log)["events"])


def _talk(source: LedSource, plan: str) -> TalkFile:
    return TalkFile(name=source.name, content=(source.content or b"").decode("latin-1"), plan=plan)


def _hearts(studio: Studio, sources: list[LedSource]) -> Iterator[WornFile]:
    names = dict(studio.people.names())
    for each in sources:
        if each.kind is SourceKind.HEART:
            yield WornFile(
                name=each.name,
                content=(each.content or b"").decode("latin-1"),
                whose=names.get(each.person, "Somebody"),
                on_medicine=each.limits_rate or _on_medicine(studio, each.person),
                zone=each.zone,
            )


def _on_medicine(studio: Studio, person: int) -> bool:
    """As they said in confidence; where that cannot be opened no rate is shown either."""
    if not person:
        return False
    try:
        return participant(studio.people.person(person)).health.rate_limiting
    except Faults:
        return True


def _earlier(studio: Studio, log: SessionLog) -> Iterator[TalkFile]:
    """The transcripts of other shows, the latest first."""
    logs = {each.id: each for each in studio.session_logs.all()}
    count = 0
    for show, source in studio.led_sources.of_kind(SourceKind.TRANSCRIPT):
        other = logs.get(show)
        if show == log.id or other is None or source.content is None or count == MOST_EARLIER:
            continue
        try:
            plan = studio.sessions.revision(other.session, other.revision).text
        except NotFound:
            continue
        count += 1
        yield _talk(source, plan)
