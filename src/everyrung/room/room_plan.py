"""A session in a room, all of it: places, lines of sight, waves with what would save them, findings."""

from collections.abc import Mapping

from everyrung.body.mechanics import Progress
from everyrung.checks.waves import RoundWaves, session_waves
from everyrung.moves.library import Library
from everyrung.room.capacity import RoomUse, room_use
from everyrung.room.findings import room_findings
from everyrung.room.in_frame import Frame, frame
from everyrung.room.lips import Lips, lips
from everyrung.room.one_change import Change, changes
from everyrung.room.sight import Sight, sight
from everyrung.room.wave_words import WaveWords, wave_words
from everyrung.store.cache import Cache
from everyrung.terms.brief import Brief
from everyrung.terms.finding import Finding
from everyrung.terms.frozen import dataclass
from everyrung.terms.room import Room
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class RoomPlan(Brief):
    """`changes` by the name of a block with a round in waves; `frame` is None without a camera."""

    use: RoomUse
    sight: Sight
    frame: Frame | None
    lips: Lips
    waves: tuple[RoundWaves, ...]
    changes: Mapping[str, tuple[Change, ...]]
    findings: tuple[Finding, ...]

    @property
    def wave_words(self) -> tuple[WaveWords, ...]:
        """The rounds that are in waves, in words."""
        return tuple(wave_words(one, self.changes[one.block]) for one in self.waves if one.in_waves)


def room_plan(
    session: Session,
    timeline: Timeline,
    room: Room,
    library: Library,
    *,
    people: int | None = None,
    cache: Cache | None = None,
    progress: Progress | None = None,
) -> RoomPlan:
    """The whole of it for `people` in the room (None: as the plan expects). Raises Invalid as room_use."""
    return plan_of(room_use(session, room, library, people=people, cache=cache, progress=progress), timeline)


def plan_of(use: RoomUse, timeline: Timeline) -> RoomPlan:
    """The same from a session that is in its room already."""
    rounds = session_waves(use.session, timeline, use.in_room, use.wall_people)
    return RoomPlan(
        use=use,
        sight=sight(use),
        frame=frame(use),
        lips=lips(use),
        waves=rounds,
        changes={
            block.name: changes(use.session, timeline, block, use.in_room, use.wall_people)
            for block in use.session.blocks
            if any(one.in_waves and one.block == block.name for one in rounds)
        },
        findings=room_findings(use),
    )
