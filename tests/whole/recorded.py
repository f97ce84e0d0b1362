"""What the whole chain says of some plans, as lines of text: kept in tests/whole/records/, compared by test_records.py.

A record proves nothing true. It makes every change of a number, a place or a word visible, so that it is deliberate:
`python scripts/write_records.py` writes the records anew and prints what differs.
"""

import difflib
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from pathlib import Path
from unittest.mock import patch

from made_demands import made_bodies, made_mechanics, made_offers
from made_people import PEOPLE
from record_lines import outline, plain

from everyrung.body.mechanics import session_energies
from everyrung.checks.registry import check, rules
from everyrung.checks.rule import AUDIENCE
from everyrung.cues.tracks import cue_tracks
from everyrung.effort.balls import ball_table, chart_lines
from everyrung.effort.further import with_ladders
from everyrung.effort.known_people import leader_efforts
from everyrung.effort.mix import read_mix
from everyrung.effort.recommend import person_advice
from everyrung.effort.rehearsal import rehearse
from everyrung.moves.library import standard_library
from everyrung.people.read import read_people
from everyrung.plan.edit import apply_edit
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.terms.edit import Edit
from everyrung.terms.enums import CueKind
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.finding import Finding
from everyrung.terms.session import Session
from everyrung.terms.timeline import CueTrack, OwnCue, Timeline
from everyrung.timing.cut_order import cuts
from everyrung.timing.refit import Refit, refit
from everyrung.timing.side_totals import totals
from everyrung.timing.timeline import build_timeline

HERE = Path(__file__).parent
RECORDS = HERE / "records"
EXAMPLES = HERE.parents[1] / "examples"
PEOPLE_FILE = HERE.parent / "effort" / "people.toml"
PLANS = ("many-sided", "in-waves", "boathouse-30", "seated-30", "faulty")
FORECAST = "many-sided"  # alone, for a whole evening takes some eight seconds
HARD_UNKNOWN = ("faulty",)
COUNT, SEED = 60, 3  # people: few, for a forecast walks each of them some thirty times
OWN = (  # a coach's own words, at every set and at one move
    OwnCue(kind=CueKind.ENCOURAGEMENT, text="Well rowed."),
    OwnCue(kind=CueKind.ENCOURAGEMENT, text="Long and strong, all the way home now."),
    OwnCue(move="squat", kind=CueKind.BREATHING, text="Out on the way up."),
    OwnCue(move="split-squat", rung="opposite", kind=CueKind.FORM, text="Hips level, please."),
)
Parts = Iterator[tuple[str, Iterable[str]]]  # one after the other, so that a test ends at the first that differs


def session_of(text: str, own: tuple[OwnCue, ...] = ()) -> Session:
    return resolve(plan_from_text(text, "plan.toml"), standard_library(own))


def clock_lines(timeline: Timeline) -> Iterator[str]:
    """Every span: when, what, where, on which side, in which position, with what in hand."""
    for span in timeline.spans:
        place = "/".join([span.block.name, *([span.round.name] if span.round else [])])
        words = [place, span.cell.ref.cell if span.cell else "", str(span.side.value), str(span.position.value)]
        held = ", ".join(f"{one.item.value} {one.label}".strip() for one in span.kit)
        reps = f"{span.bout.reps} reps" if span.bout else ""
        said = [each for each in (*words, held, reps, span.text) if each]
        yield f"{span.at_ms:>8} {span.end_ms:>8} {span.kind.value}: {'; '.join(said)}"
    yield from outline("by kind", timeline.by_kind)


def sides_lines(session: Session) -> Iterator[str]:
    for move, sides in totals(session.cells).items():
        yield f"{move}: left {sides.left} ({plain(sides.left.moved_kg)} kg), right {sides.right}, equal {sides.equal}"
        yield f"  owed {sides.owed_side.value} {sides.debt}"


def refit_lines(found: Refit) -> Iterator[str]:
    yield f"{found.before_ms} to {found.after_ms} ms of {found.slot_ms}: {found.problem}"
    for change in (*found.lost, *found.gained):
        yield f"  {change} {change.duration_ms}"
    yield from (f"  kept {each}" for each in found.kept)


def cut_lines(session: Session) -> Iterator[str]:
    for cut in cuts(session):
        together, uneven = ", ".join(map(str, cut.together)), ", ".join(cut.uneven)
        yield f"cut {cut.ref}: {cut.reason or together}{f'; uneven {uneven}' if uneven else ''}"


def finding_lines(found: Iterable[Finding]) -> Iterator[str]:
    for each in found:
        yield str(each)
        yield f"  {each.what}; {len(each.places)} places; line {each.where.line}".replace("  ;", "  -;")


def cue_lines(placed: Iterable[tuple[CueTrack, float]]) -> Iterator[str]:
    for track, gap in placed:
        yield f"{track.track.value}, gap {plain(float(gap))}"
        for cue in track.said:
            whom = f" for {cue.rungs}" if cue.rungs else ""
            yield f"{cue.at_ms:>8} {cue.end_ms:>8} {cue.kind.value} {cue.ref or '-'}: {cue.text}{whom}"
        for left in track.unsaid:
            yield f"  unsaid {left.kind.value} {left.ref or '-'}: {left.text} ({left.reason})"


def differences(before: str, after: str) -> Iterator[str]:
    found = difflib.unified_diff(before.splitlines(), after.splitlines(), lineterm="", n=1)
    return (f"  {line}" for line in found if not line.startswith(("---", "+++")))


def edited_lines(text: str, some: Iterable[Edit], then: Callable[[str], Iterator[str]]) -> Iterator[str]:
    """Every edit of a plan's text alone: the lines that change, and what `then` says of the text; or the problem."""
    for edit in some:
        yield f"{edit}"
        try:
            after = apply_edit(text, edit, standard_library())
        except (Faults, Invalid) as problem:
            yield f"  {problem}"
            continue
        yield from differences(text, after)
        yield from then(after)


def text_parts(**parts: Callable[[], Iterator[str]]) -> Parts:
    return ((f"texts/{name}", lines()) for name, lines in parts.items())


@cache
def plan_of(name: str) -> tuple[Session, Timeline]:
    own = RECORDS / f"{name}.toml"
    path = own if own.exists() else EXAMPLES / f"{name}.toml"
    session = session_of(path.read_text(encoding="utf-8"), OWN if own.exists() else ())
    return session, build_timeline(session)


def plan_parts(name: str) -> Parts:
    """All that is said of one plan before anybody walks through it but some known people and the leader."""
    session, timeline = plan_of(name)
    yield f"{name}/session", outline("session", session)
    minutes = session.slot_ms // 60_000
    refits = [refit(session, round(part * minutes) * 60_000) for part in (0.7, 1.3)]
    clock = (*clock_lines(timeline), *sides_lines(session), *cut_lines(session))
    yield f"{name}/clock", (*clock, *(line for each in refits for line in refit_lines(each)))
    offered = made_offers(session)
    efforts = leader_efforts(session, timeline, offered)
    placed = cue_tracks(session, timeline, efforts)
    unknown = cue_tracks(session, timeline) if name in HARD_UNKNOWN else ()  # by the rungs' grades
    yield f"{name}/cues", (*cue_lines(placed), *cue_lines(unknown))
    mechanics = made_mechanics(session)
    found = check(session, timeline, mechanics, None, tuple(track for track, _ in placed))
    yield f"{name}/findings", finding_lines(found)
    people = (*read_people(PEOPLE_FILE), *PEOPLE)
    with patch("everyrung.effort.choices._demands_by_form", made_bodies):
        wider = with_ladders(session, timeline, offered, people, standard_library(), None, in_room=False)
    yield (
        f"{name}/people",
        (
            *outline("advice", person_advice(session, timeline, wider, people, in_room=False)),
            *outline("in the room", person_advice(session, timeline, offered, people[:2], in_room=True)),
            *outline("balls", (chart_lines(session), ball_table(session))),
            *outline("leader", dict(efforts)),
            *outline("energy", session_energies(session, timeline, mechanics)),
        ),
    )


def forecast_parts(name: str) -> Parts:
    """The forecast of a few simulated people, and what the rules say of it."""
    session, timeline = plan_of(name)
    forecast = rehearse(session, timeline, made_offers(session), read_mix("boathouse"), COUNT, SEED)
    found = (line for rule in rules(AUDIENCE) for line in finding_lines(rule(session, forecast)))
    yield f"{name}/forecast", (*outline("forecast", forecast), *found)
