"""What those who read lips do not get is said once, with its count and what to do (common practice, no source)."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from everyrung import load_plan
from everyrung.checks.rules.lips import lips_hidden
from everyrung.cues.tracks import cue_tracks
from everyrung.pipeline import AudienceSpec, Options, run_plan
from everyrung.store.cache import default_cache
from everyrung.terms.enums import CueKind, Severity, View
from everyrung.terms.session import Session
from everyrung.terms.timeline import CueTrack, SaidCue, Track, UnsaidCue
from everyrung.timing.timeline import build_timeline


def reading_lips(session: Session, view: View = View.FACING, *, lip_readers: bool = True) -> Session:
    return replace(session, view=view, who=replace(session.who, lip_readers=lip_readers))


def tracks(session: Session) -> list[CueTrack]:
    return [track for track, _ in cue_tracks(session, build_timeline(session))]


def test_who_reads_lips_is_told_nothing_of_where_nobody_does(session: Callable[..., Session]) -> None:
    plan = reading_lips(session(), lip_readers=False)
    assert not list(lips_hidden(plan, tracks(plan)))


def test_the_sets_named_are_those_in_whose_work_nothing_is_said(session: Callable[..., Session]) -> None:
    plan = reading_lips(session())
    timeline, every = build_timeline(plan), tracks(plan)
    (found,) = lips_hidden(plan, every)
    assert found.severity is Severity.NOTE
    work = [span for span in timeline.spans if span.cell and span.bout]
    told = {span.cell.ref for span in work if any(span.at_ms <= cue.at_ms < span.end_ms for cue in every[0].said)}
    assert set(found.places) == {span.cell.ref for span in work} - told
    assert f"in {len(found.places)} sets" in found.measured
    assert "side-on" in found.remedy
    assert "in-words.txt" in found.remedy


def test_with_the_back_turned_every_set_is_named_and_turning_round_is_the_remedy(
    session: Callable[..., Session],
) -> None:
    plan = reading_lips(session(), View.BACK_TURNED)
    (found,) = lips_hidden(plan, tracks(plan))
    assert set(found.places) == {cell.ref for cell in plan.cells}
    assert found.remedy.startswith("Lead facing the room")


def test_versions_and_safety_words_of_these_sets_are_counted_and_of_no_others(session: Callable[..., Session]) -> None:
    plan = reading_lips(session())
    here, there = [cell.ref for cell in plan.cells][:2]

    def gap(kind: CueKind, text: str, ref: object = here) -> UnsaidCue:
        return UnsaidCue(kind=kind, text=text, ref=ref, reason="What matters more is said in that time.")

    said = SaidCue(at_ms=0, end_ms=900, kind=CueKind.SAFETY, text="Slowly.", ref=there)
    unsaid = (
        gap(CueKind.VERSION, "Harder: with a load."), gap(CueKind.VERSION, "Easier: sit down."),
        gap(CueKind.VERSION, "One slow try: steady?"), gap(CueKind.SAFETY, "Knees over toes."),
        gap(CueKind.SAFETY, "Slowly."), gap(CueKind.FORM, "Tall."), gap(CueKind.SAFETY, "Soft knees.", there),
    )  # fmt: skip
    (found,) = lips_hidden(plan, [CueTrack(track=Track.FIRST, said=(said,), unsaid=unsaid, silent=(here,))])
    assert "in 1 set " in found.measured
    assert found.places == (here,)
    assert "2 versions and 1 safety word have no time before" in found.measured
    (found,) = lips_hidden(plan, [CueTrack(track=Track.FIRST, said=(), unsaid=(), silent=(here,))])
    assert "all versions and safety words are said before" in found.measured


def test_where_people_are_asked_for_what_lips_do_not_get_is_found_without_asking_for_cues() -> None:
    """So that *Write* says it, which asks for people."""
    plan = load_plan(Path(__file__).parents[2] / "examples" / "office-20.toml")
    options = Options(audience=AudienceSpec(count=20), cache=default_cache())
    reads = replace(plan, who=replace(plan.who, lip_readers=True))
    assert "lips-hidden" in {each.rule for each in run_plan(reads, options=options).findings}
    assert not run_plan(plan, options=options).cues
