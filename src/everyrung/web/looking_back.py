"""Looking back on a show, in the background for its screen: what happened, and what it says of the next plan."""

import json
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from zoneinfo import ZoneInfo

from everyrung.compose.case import PlanRun
from everyrung.lookback.coach_clock import CoachClock, LedSession, begins_of, learn_clock
from everyrung.lookback.heart_file import heart_from_bytes
from everyrung.lookback.next_edits import next_edits
from everyrung.lookback.outcome import Outcome, lay_on_plan
from everyrung.lookback.plan_sets import plan_sets
from everyrung.lookback.read import transcript_from_bytes
from everyrung.lookback.recording import length_s
from everyrung.lookback.review import Review, Sources, WornHeart, look_back
from everyrung.lookback.review_values import ReviewView
from everyrung.lookback.review_view import review_view
from everyrung.lookback.stage_log import StageLog, stage_events
from everyrung.lookback.transcript import Transcript
from everyrung.moves.library import Library
from everyrung.pipeline import Options, run_plan
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.results.analysis import Analysis
from everyrung.store.files import drop_others, next_edition
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.plan import Plan
from everyrung.timing.timeline import build_timeline
from everyrung.web.field_words import refusals
from everyrung.web.show_files import LookBackRequest, TalkFile

FILE = "plan.toml"
Steps = Callable[[int, int], None]  # how many are done, of how many
OnStep = Callable[[str, int, int], None]  # what is done, seconds of a recording that were read, of how many


def look_back_view(request: LookBackRequest, text: str, library: Library, on_step: OnStep) -> ReviewView:
    """The review, or with `head` the changes it leads to. Raises Faults for a plan with a fault; what `on_step` raises
    ends it.
    """
    review = _review(request, text, library, on_step)
    if request.head:
        return _next(request, review, library, on_step)
    on_step("the picture", 0, 0)
    return review_view(review)


def film_files(request: LookBackRequest, text: str, library: Library, on_step: OnStep, on_frames: Steps) -> Path:
    """What is for the film of the recording, into an edition of its folder. Raises Invalid where the recording can't be
    read, Faults for a plan with a fault; what `on_step` or `on_frames` raises ends it.
    """
    from everyrung.lookback.film.material import material
    from everyrung.lookback.film.write import write_film_files
    from everyrung.web.show_film import keep_list

    review = _review(request, text, library, on_step)
    if review.recording is None:
        raise Invalid("recording", "one that can be read", " ".join(review.problems) or "none")
    folder = next_edition(Path(request.film_folder))
    try:
        film = material(Path(request.recording), review)
        on_step("chapters, captions, edit list and stills", 0, 0)
        keep_list(folder, tuple(write_film_files(film, folder, request.overlay, on_frames)))
    except BaseException:
        shutil.rmtree(folder, ignore_errors=True)  # half of it is of no use, and stills show people
        raise
    drop_others(folder)
    return folder


def _review(request: LookBackRequest, text: str, library: Library, on_step: OnStep) -> Review:
    problems: list[str] = []
    options = Options(branches=True, cues=bool(request.film_folder and request.talk))
    analysis = run_plan(plan_from_text(text, FILE), library=library, options=options)
    sources = _sources(request, problems)
    whole_s = length_s(sources.recording) if sources.recording else 0

    def step(what: str, at_s: int) -> None:
        on_step(what, at_s, whole_s)

    def note(what: str, problem: Invalid | Faults) -> None:
        problems.append(f"{what.capitalize()}: {' '.join(refusals(problem))}")

    return replace(look_back(analysis, library, sources, step, note), problems=tuple(problems))


def _sources(request: LookBackRequest, problems: list[str]) -> Sources:
    """All that can be read; the rest is noted."""
    talk, hearts = None, []
    try:
        talk = _transcript(request.talk) if request.talk else None
    except (Invalid, Faults) as problem:
        problems.append(f"Transcript: {' '.join(refusals(problem))}")
    for each in request.hearts:
        try:
            zone = ZoneInfo(each.zone) if each.zone else None
            file = heart_from_bytes(each.content.encode("latin-1"), each.name, zone)
            hearts.append(WornHeart(file=file, whose=each.whose, on_medicine=each.on_medicine))
        except (Invalid, Faults) as problem:
            problems.append(f"Heart rate of {each.whose}: {' '.join(refusals(problem))}")
    log = None
    if request.log:
        events = stage_events(json.loads(request.log)["events"])
        log = StageLog(title=request.title, revision=request.revision, events=events, notes=request.notes)
    return Sources(
        log=log,
        recording=Path(request.recording) if request.recording else None,
        transcript=talk,
        hearts=tuple(hearts),
    )


def _transcript(talk: TalkFile) -> Transcript:
    return transcript_from_bytes(talk.content.encode("latin-1"), talk.name)


def _next(request: LookBackRequest, review: Review, library: Library, on_step: OnStep) -> ReviewView:
    """Changes of the plan as it is now, each tried, and her own clock."""
    on_step("your own clock", 0, 0)
    clock = _clock(request, review.outcome, review.analysis, library)

    def again(plan: Plan) -> Analysis:
        on_step("changes of the next plan", 0, 0)
        return run_plan(plan, library=library)

    start = PlanRun(run=again(plan_from_text(request.head, FILE)), library=library)
    edits = next_edits(review.outcome, request.head, start, again, show=review.show, clock=clock)
    return review_view(replace(review, edits=edits, clock=clock))


def _clock(
    request: LookBackRequest, outcome: Outcome | None, analysis: Analysis, library: Library
) -> CoachClock | None:
    """Learned from this transcript and those of other shows whose plans have the same clock."""
    if outcome is None:
        return None
    session = analysis.session
    sessions, outcomes = [LedSession(session=session, begins=begins_of(outcome))], [outcome]
    for talk in request.earlier:
        try:
            other = resolve(plan_from_text(talk.plan, FILE), library)
            if other.clock != session.clock:
                continue
            led_outcome = lay_on_plan(_transcript(talk), plan_sets(other, build_timeline(other)), library)
        except (Invalid, Faults):
            continue  # its own screen says what is wrong with it
        sessions.append(LedSession(session=other, begins=begins_of(led_outcome)))
        outcomes.append(led_outcome)
    return learn_clock(sessions, outcomes)
