"""Findings on what is seen: by a camera of figure, hands and kit, and by those who read lips."""

from collections.abc import Iterator
from math import ceil

from everyrung.room.capacity import RoomUse
from everyrung.room.in_frame import behind_words, frame, out_words
from everyrung.room.lips import FACE_DEG, lips
from everyrung.terms.enums import Severity
from everyrung.terms.finding import Finding, WholeSession, name_list

ON_PLAN = "straight lines on the floor plan"
WIDEST_DEG = 120.0  # of a lens that draws straight lines; chosen, because wider ones stretch people at the edge


def of_room(
    use: RoomUse, rule: str, severity: Severity, value: str, limit: str, remedy: str, *, source: str = ON_PLAN
) -> Finding:
    """A finding about the room as a whole; without another source it is measured on its plan."""
    return Finding(
        rule=rule,
        severity=severity,
        where=use.session.where,
        places=(WholeSession(),),
        measured=value,
        limit=limit,
        source=source,
        remedy=remedy,
    )


def camera_findings(use: RoomUse) -> Iterator[Finding]:
    """What leaves the picture, and what stands before the lens."""
    view, camera = frame(use), use.room.camera
    if not view or not camera:
        return
    if not view.leader_in:
        yield of_room(
            use,
            "room-frame",
            Severity.WARNING,
            f"the leader is {view.leader_off_deg:.0f} degrees off the camera's way",
            f"{camera.angle_deg / 2:.0f} degrees to each side",
            "Turn the camera, or use a wider lens.",
        )
    elif any(each.out for each in view.rungs):
        wide = ceil(view.angle_deg)
        lens = f"Take a lens of {wide} degrees, or move" if wide <= WIDEST_DEG else "Move"
        yield of_room(
            use,
            "room-frame",
            Severity.WARNING,
            f"leaves the picture at some moment: {name_list(out_words(view), '. Also ')}",
            f"all of the figure and its kit within {camera.angle_deg:g} degrees from side to side, 16 to 9",
            f"{lens} the camera back until it has all of them, or tilt it for that set.",
            source=f"the solved figure on a body of {100 * use.body.stature_m:.0f} cm through the lens",
        )
    if view.pillars_before or view.places_before:
        hides = name_list(behind_words(view), ". Also ")
        what = [f"place {number}" for number in view.places_before] + ["a pillar"] * bool(view.pillars_before)
        yield of_room(
            use,
            "room-lens",
            Severity.WARNING,
            f"between the camera and the leader: {name_list(what)}; hidden then: {hides}",
            "nothing before the lens",
            "Move the camera forward or aside, or leave that place free.",
        )


def lips_findings(use: RoomUse) -> Iterator[Finding]:
    """Sets in which nobody sees the leader's lips."""
    without = lips(use).without
    if without:
        yield of_room(
            use,
            "room-lips",
            Severity.NOTE,
            f"nobody sees the leader's lips in {name_list((use.envelopes[each].name for each in without), '; ')}",
            f"the face turned to people, within {FACE_DEG:g} degrees, for most of a repetition",
            "Say all of it before the set, facing the room; in the set show it by hand, or have somebody show it.",
            source="the solved figure's face; 45 degrees: Erber 1974, from memory",
        )
