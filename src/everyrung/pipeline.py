"""The whole chain: plan file -> plan -> session -> timeline -> mechanics -> forecast -> cues -> findings."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from everyrung.checks.registry import check, gravest_first
from everyrung.moves.library import Library, standard_library
from everyrung.plan.read import read_plan
from everyrung.plan.resolve import resolve
from everyrung.results.analysis import Analysis
from everyrung.terms.errors import Invalid
from everyrung.terms.frozen import dataclass
from everyrung.terms.history import History
from everyrung.terms.move import Form
from everyrung.terms.person import BodySize, Person
from everyrung.terms.plan import Plan
from everyrung.terms.session import Session
from everyrung.terms.timeline import CueTrack, Timeline
from everyrung.timing.refit import refit
from everyrung.timing.timeline import build_timeline

if TYPE_CHECKING:
    from everyrung.body.mechanics import Progress
    from everyrung.effort.choices import SessionOffers
    from everyrung.effort.simulate import SimulationPlan
    from everyrung.room.room_plan import RoomPlan
    from everyrung.store.cache import Cache
    from everyrung.terms.demand import Mechanics, RungDrawing
    from everyrung.terms.finding import Finding
    from everyrung.terms.forecast import Energy, Forecast, PersonAdvice
    from everyrung.terms.room import Room
    from everyrung.timing.branches import Branches
    from everyrung.voice.clips import Clips

    OnFindings = Callable[[tuple[Finding, ...], Forecast | None], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class AudienceSpec:
    """Who is expected: `count` people drawn from a mix (0: none), and people who are known.

    `in_room`: the known people use the room's kit instead of their own. `history` is what they did before the evening
    `on`; `coming` are the evenings after it with the same moves, where they are known.
    """

    mix: str = "boathouse"
    count: int = 0
    seed: int = 1
    people: tuple[Person, ...] = ()
    in_room: bool = False
    history: History = History()
    on: date | None = None
    coming: tuple[date, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Options:
    """What to compute beyond time and checks: demands on the reference bodies, drawings of every rung, what the
    expected people can finish, what is said when, and by a voice whose clips say how long it takes, the ways it can go
    when time runs short; the session in `room` for `room_people` (None: as the plan expects); with which cache. Without
    `notes` nothing is looked for that is no graver.

    `on_bodies`, `on_people` and `on_words` are called with how many rungs on bodies, people and spoken cues are done,
    of how many; `on_findings` with what is found before any people have walked, and again when all have, with the
    forecast, whose shares have no band yet.
    """

    notes: bool = True
    bodies: bool = False
    drawings: bool = False
    cues: bool = False
    voice: bool = False
    branches: bool = False
    audience: AudienceSpec | None = None
    room: Room | None = None
    room_people: int | None = None
    cache: Cache | None = None
    on_bodies: Progress | None = None
    on_people: Progress | None = None
    on_words: Progress | None = None
    on_findings: OnFindings | None = None


def run(
    path: Path, minutes: int | None = None, library: Library | None = None, options: Options | None = None
) -> Analysis:
    """The plan file at `path`, timed and checked; `minutes` fits it to another slot first.

    Raises Faults when the file cannot be used.
    """
    return run_plan(read_plan(path), minutes, library, options)


def run_plan(
    plan: Plan, minutes: int | None = None, library: Library | None = None, options: Options | None = None
) -> Analysis:
    """The same for a plan that is read already. Raises Faults when it cannot be led."""
    moves, options = library or standard_library(), options or Options()
    session = resolve(plan, moves)
    fit = refit(session, minutes * 60_000) if minutes is not None else None
    if fit:
        session = fit.session
    timeline = build_timeline(session)
    mechanics = _mechanics(session, moves, options)
    tell = partial(_tell_findings, session, timeline, mechanics, options.on_findings) if options.on_findings else None
    if tell:
        tell(None)
    offers = _session_offers(session, moves, options)
    forecast, advice = _forecast(session, timeline, offers, moves, options, tell)
    voice = _voice(session, options)
    cues = _cues(session, timeline, offers, options, voice, moves, forecast)
    ways = _ways(session) if options.branches else None
    in_room = _in_room(session, timeline, moves, options)
    findings = check(session, timeline, mechanics, forecast, cues, notes=options.notes)
    return Analysis(
        plan=plan,
        session=session,
        timeline=timeline,
        findings=gravest_first((*findings, *in_room.findings)) if in_room else findings,
        refit=fit,
        mechanics=mechanics,
        energies=_energies(session, timeline, mechanics),
        drawings=_drawings(session, moves, options, advice),
        forecast=forecast,
        advice=advice,
        cues=cues,
        voice=voice,
        branches=ways,
        room=in_room,
        scripts=_scripts(ways, cues, offers, options, voice, moves, forecast),
    )


def _tell_findings(
    session: Session, timeline: Timeline, mechanics: Mechanics | None, on_findings: OnFindings, count: Forecast | None
) -> None:
    """What is found so far, and the forecast that it rests on."""
    on_findings(check(session, timeline, mechanics, count), count)


def _mechanics(session: Session, moves: Library, options: Options) -> Mechanics | None:
    if not options.bodies:
        return None
    from everyrung.body.mechanics import session_mechanics  # heavy: only when asked for

    return session_mechanics(session, moves, options.cache, options.on_bodies)


def _energies(session: Session, timeline: Timeline, mechanics: Mechanics | None) -> Mapping[BodySize, Energy]:
    if mechanics is None:
        return {}
    from everyrung.body.mechanics import session_energies

    return session_energies(session, timeline, mechanics)


def _drawings(
    session: Session, moves: Library, options: Options, advice: tuple[PersonAdvice, ...]
) -> Mapping[Form, RungDrawing]:
    if not options.drawings:
        return {}
    from everyrung.body.mechanics import session_drawings

    own = [each.take.form for one in advice for each in one.cells if each.take]  # further rungs that people take
    return session_drawings(session, moves, options.cache, own)


def _session_offers(session: Session, moves: Library, options: Options) -> SessionOffers | None:
    """What people may choose from; for the leader alone, what is led."""
    if not (options.audience or options.cues):
        return None
    from everyrung.effort.choices import session_offers  # heavy: only when asked for

    return session_offers(session, moves, options.cache, options.on_bodies, led_alone=options.audience is None)


def _wants_cues(session: Session, options: Options) -> bool:
    """Where somebody reads lips or takes part online, what is found of people rests on what is said when."""
    return options.cues or (options.audience is not None and (session.who.live or session.who.lip_readers))


def _voice(session: Session, options: Options) -> Clips | None:
    if not options.voice:
        return None
    from everyrung.voice.clips import Clips, best_voice  # heavy: only when asked for
    from everyrung.voice.engine import SLOWEST_WPM

    rate = session.clock.talk_wpm
    remedy = f"Write talk_wpm = {SLOWEST_WPM} or more under [clock], or publish without a voice."
    if rate < SLOWEST_WPM:
        raise Invalid("talk_wpm", f"{SLOWEST_WPM} words a minute or more for a voice", rate, remedy=remedy)
    from everyrung.store.paths import home

    return Clips(home() / "voice", rate, best_voice())


def _cues(
    session: Session,
    timeline: Timeline,
    offers: SessionOffers | None,
    options: Options,
    voice: Clips | None,
    moves: Library,
    forecast: Forecast | None,
) -> tuple[CueTrack, ...]:
    if offers is None or not _wants_cues(session, options):
        return ()
    from everyrung.cues.speech import speech_text
    from everyrung.cues.tracks import cue_texts, cue_tracks  # heavy: only when asked for
    from everyrung.effort.known_people import leader_efforts

    efforts = leader_efforts(session, timeline, offers)
    length_ms = (lambda text: voice.length_ms(speech_text(text))) if voice else None
    if voice and options.on_words:
        texts = sorted({speech_text(text) for text in cue_texts(session, timeline, moves)})
        for count, text in enumerate(texts):
            options.on_words(count, len(texts))
            voice.length_ms(text)
    ratings = {cell.ref: cell.rating.middle / 10 for cell in forecast.cells if cell.rating} if forecast else None
    tracks = cue_tracks(session, timeline, efforts, length_ms, library=moves, felt=ratings)
    return tuple(track for track, _ in tracks)


def _in_room(session: Session, timeline: Timeline, moves: Library, options: Options) -> RoomPlan | None:
    if options.room is None:
        return None
    from everyrung.room.room_plan import room_plan  # heavy: only when asked for

    people, progress = options.room_people, options.on_bodies
    return room_plan(session, timeline, options.room, moves, people=people, cache=options.cache, progress=progress)


def _ways(session: Session) -> Branches:
    from everyrung.timing.branches import branches  # only when asked for

    return branches(session)


def _scripts(
    ways: Branches | None,
    cues: tuple[CueTrack, ...],
    offers: SessionOffers | None,
    options: Options,
    voice: Clips | None,
    moves: Library,
    forecast: Forecast | None,
) -> tuple[tuple[CueTrack, ...], ...]:
    """The cues of every variant, placed on its own timeline."""
    if ways is None or not cues:
        return ()
    shorter = ways.variants[1:]
    return (cues, *(_cues(each.session, each.timeline, offers, options, voice, moves, forecast) for each in shorter))


def _forecast(
    session: Session,
    timeline: Timeline,
    offers: SessionOffers | None,
    moves: Library,
    options: Options,
    on_count: Callable[[Forecast], None] | None,
) -> tuple[Forecast | None, tuple[PersonAdvice, ...]]:
    who = options.audience
    if offers is None or who is None:
        return None, ()
    from everyrung.effort.further import with_ladders
    from everyrung.effort.mix import read_mix
    from everyrung.effort.recommend import person_advice  # heavy: only when asked for
    from everyrung.effort.rehearsal import rehearse

    forecast = None
    if who.count:
        mix = read_mix(who.mix)
        forecast = rehearse(session, timeline, offers, mix, who.count, who.seed, options.on_people, on_count)
    if not who.people:
        return forecast, ()
    room = who.in_room
    wider = with_ladders(session, timeline, offers, who.people, moves, options.cache, options.on_bodies, in_room=room)
    advice = person_advice(session, timeline, wider, who.people, in_room=room)
    return forecast, _after_history(session, timeline, wider, who, moves, advice) if who.history.records else advice


def _after_history(
    session: Session,
    timeline: Timeline,
    offers: SessionOffers,
    who: AudienceSpec,
    moves: Library,
    advice: tuple[PersonAdvice, ...],
) -> tuple[PersonAdvice, ...]:
    """The advice with the steps of those who were here before."""
    from everyrung.effort.choices import schedule
    from everyrung.effort.simulate import simulation_plan
    from everyrung.weeks.person_steps import person_steps
    from everyrung.weeks.step_advice import with_steps

    along, on = simulation_plan(session, schedule(session, timeline), offers), who.on or date.today()
    steps = person_steps(along, who.people, who.history, moves, on, in_room=who.in_room, coming=who.coming)
    return tuple(with_steps(one, own) for one, own in zip(advice, steps, strict=True))


def ready_course(path: Path, options: Options, library: Library | None = None) -> SimulationPlan:
    """The plan as people walk through it, for learning from what they answer. Raises Faults as `run`."""
    from everyrung.effort.choices import schedule, session_offers
    from everyrung.effort.simulate import simulation_plan

    moves = library or standard_library()
    session = resolve(read_plan(path), moves)
    offers = session_offers(session, moves, options.cache, options.on_bodies)
    return simulation_plan(session, schedule(session, build_timeline(session)), offers)
