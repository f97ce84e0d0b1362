"""A review as plain values, ready for a screen, a page or print: nothing in it needs the plan any more."""

from collections.abc import Iterator
from datetime import UTC, datetime

from everyrung.lookback.heart_on_plan import LEAST_COVERAGE, HeartOutcome
from everyrung.lookback.heart_report import heart_rows, heart_sentences
from everyrung.lookback.loops import without_loops
from everyrung.lookback.manner import times_by_kind
from everyrung.lookback.notes import MOST_NOTES, Note
from everyrung.lookback.recording_report import recording_sentences
from everyrung.lookback.review import Review
from everyrung.lookback.review_values import HeartView, ReviewView, SetLine, SumLine, TalkLine, Telling
from everyrung.lookback.show_notes import TimeSum, kind_sums, part_sums
from everyrung.lookback.show_report import show_sentences
from everyrung.lookback.talk import talk_by_round
from everyrung.lookback.two_scores import TwoScores, page_count, two_scores_svg
from everyrung.score.layout import NARROW, WIDE
from everyrung.terms.units import clock_text

SYSTEMS_A_PAGE = 3  # of paper; chosen: with a few heart lines three systems and their key fill A4 landscape


def review_view(review: Review) -> ReviewView:
    """All of a review. Its pictures take the most time, some tenths of a second."""
    real = review.real
    scores = TwoScores(
        analysis=review.analysis,
        sets=review.sets,
        show=review.show,
        real=real,
        hearts=review.hearts,
        names=review.names,
    )
    pages = range(page_count(scores, WIDE, SYSTEMS_A_PAGE))
    show = review.show
    return ReviewView(
        title=review.analysis.session.title,
        began=f"{datetime.fromtimestamp(show.start_ms / 1000, UTC).astimezone():%Y-%m-%d %H:%M}" if show else "",
        by=real.by if real else "",
        summary=scores.summary,
        wide=two_scores_svg(scores, WIDE),
        narrow=two_scores_svg(scores, NARROW),
        pages=tuple(two_scores_svg(scores, WIDE, number, SYSTEMS_A_PAGE) for number in pages),
        tellings=tuple(_tellings(review)),
        sets=tuple(_sets(review)),
        parts=tuple(map(_sum_line, _parts(review))),
        kinds=tuple(map(_sum_line, kind_sums(show, review.analysis))) if show else (),
        talk=tuple(_talk(review)),
        hearts=tuple(_heart(name, heart) for name, heart in zip(review.names, review.hearts, strict=True)),
        sentences=tuple(_sentences(review)),
        clock=tuple(_clock_lines(review)),
        edits=review.edits,
        problems=review.problems,
        notes=show.log.notes if show else "",
        first_count=MOST_NOTES,
    )


def _heart(name: str, heart: HeartOutcome) -> HeartView:
    file = (f"In the file: {problem}." for problem in heart.file.problems)
    return HeartView(name=name, sentences=(*heart_sentences(heart), *file), rows=tuple(heart_rows(heart)))


def _tellings(review: Review) -> Iterator[Telling]:
    real = review.real
    offset_ms = real.recording_ms if real else None
    for words in _unheard(review):
        yield Telling(at="", in_recording="", text=words, words="", is_sure=True)
    for each in review.notes:
        yield _telling(each, offset_ms)


def _unheard(review: Review) -> Iterator[str]:
    """What a recording does not tell; of a log's or a transcript's sets these say more."""
    if review.recording and review.recording.clock.refusal:
        yield review.recording.clock.refusal
    elif review.recording and not (review.show or review.outcome):
        places = {each.place for each in review.real.sets} if review.real else set()
        missing = [each.name for place, each in enumerate(review.sets) if place not in places]
        if missing:
            count = f"{len(missing)} of {len(review.sets)} sets"
            yield f"{count} are not heard in the recording, the first of them {missing[0]}."


def _telling(note: Note, offset_ms: int | None) -> Telling:
    where = note.at_ms is not None and offset_ms is not None
    return Telling(
        at=_clock(note.at_ms) if note.at_ms is not None else "",
        in_recording=_clock(max(0, (note.at_ms or 0) + (offset_ms or 0))) if where and offset_ms else "",
        text=note.text,
        words=note.words,
        is_sure=note.is_sure,
    )


def _sets(review: Review) -> Iterator[SetLine]:
    real = review.real
    for place, plan in enumerate(review.sets):
        mine = [each for each in real.sets if each.place == place] if real else []
        changes = dict.fromkeys(str(each.change) for each in mine if each.change)
        if real and not mine:
            changes = {"not done": None}
        unsure = any(not each.is_sure for each in mine)
        yield SetLine(
            name=plan.name,
            plan=_clock(plan.work_at_ms if not mine or mine[0].is_exact else plan.at_ms),
            real=", ".join(_clock(each.at_ms) for each in mine) or "-",
            change=", ".join(changes) + (", unsure" if unsure and changes else "unsure" if unsure else ""),
        )
    for each in real.sets if real else ():
        if each.place is None:
            change = f"not in the plan{'' if each.is_sure else ', unsure'}"
            yield SetLine(name=each.name, plan="-", real=_clock(each.at_ms), change=change)


def _parts(review: Review) -> tuple[TimeSum, ...]:
    if review.show:
        return part_sums(review.show)
    if review.outcome:
        times = times_by_kind(review.outcome)
        return tuple(TimeSum(kind=str(each.kind), real_ms=each.led_ms, plan_ms=each.plan_ms) for each in times)
    return ()


def _sum_line(each: TimeSum) -> SumLine:
    off_ms = round(each.real_ms - each.plan_ms, -3)
    off = f"{'+' if off_ms > 0 else '−'}{_clock(abs(off_ms))}" if off_ms else ""
    return SumLine(kind=each.kind, real=_clock(each.real_ms), plan=_clock(each.plan_ms), off=off)


def _talk(review: Review) -> Iterator[TalkLine]:
    for each in talk_by_round(without_loops(review.outcome)) if review.outcome else ():
        yield TalkLine(
            name=each.name,
            rate=f"{each.words_a_minute:.0f}",
            share=f"{each.share:.0%}",
            silence=f"{each.silence_ms // 1000} s",
        )


def _sentences(review: Review) -> Iterator[str]:
    """What each source says of itself."""
    if review.show:
        yield from (each for each in show_sentences(review.show) if not each.startswith("Notes: "))
    if review.recording:
        yield review.recording.clock.refusal or "In the recording: " + " ".join(recording_sentences(review.recording))
    yield from review.disagreements
    if review.outcome:
        within_s = review.outcome.transcript.resolution_ms // 1000
        yield f"Times of the transcript are to within {within_s} s: a set begins when it is named."
        yield from (f"In the transcript: {problem}" for problem in review.outcome.transcript.problems)
    if review.hearts:
        yield f"Heart rates: below {LEAST_COVERAGE:.0%} of a round's time with a rate no mean is given."


def _clock_lines(review: Review) -> Iterator[str]:
    """What she takes, in words; the table itself is an edit."""
    for each in review.clock.factors if review.clock else ():
        mark = "" if each.is_clear else ", a weak guess"
        yield (
            f"{each.name.capitalize()}: {each.times:.2f} times the plan's, four in five between {each.least:.2f} and "
            f"{each.most:.2f}{mark}."
        )
    if review.clock and review.clock.talk_wpm:
        middle, low, high = review.clock.talk_wpm
        yield f"While you speak: {middle} words a minute, the middle half {low} to {high}."


def _clock(length_ms: int) -> str:
    return clock_text(round(length_ms, -3))
