"""What the room says against a session, on screens that show more than the room: computed as the Room screen has it."""

from dataclasses import dataclass

from everyrung.pipeline import AudienceSpec
from everyrung.store.sessions import Revision
from everyrung.terms.finding import Finding
from everyrung.web.jobs import Progress
from everyrung.web.studio import Studio


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomSays:
    """The findings of the room that a session is held in; `pending` until they are there, `name` '' where there is
    none.
    """

    name: str = ""
    findings: tuple[Finding, ...] = ()
    pending: bool = False
    progress: Progress | None = None


def room_says(studio: Studio, head: Revision) -> RoomSays:
    """What you have from it; asked for, if nobody has yet."""
    venue = studio.rooms.venue(head.session)
    if venue is None:
        return RoomSays()
    job = studio.job(head.text, AudienceSpec(), **studio.in_room(head.session))
    studio.jobs.submit(f"room/{head.session}", job, while_asked=True)
    result = studio.jobs.result(job.key)
    return RoomSays(
        name=venue.room.name,
        findings=(result.findings or ()) if result else (),
        pending=not (result and result.finished),
        progress=studio.jobs.progress(job.key),
    )
