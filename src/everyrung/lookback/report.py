"""An outcome in lines for the screen, and as values for programs."""

from collections.abc import Iterator

from everyrung.lookback.loops import without_loops
from everyrung.lookback.manner import times_by_kind
from everyrung.lookback.notes import MOST_NOTES, Note, notes
from everyrung.lookback.outcome import Change, LedSet, Outcome
from everyrung.lookback.talk import talk_by_round
from everyrung.terms.seconds import moment_text


def report_lines(outcome: Outcome, *, every: bool = False) -> Iterator[str]:
    """Plan against what was said, set by set, then the notes: at most ten unless `every`."""
    yield "  said    plan    set"
    yield from (_row(outcome, each) for each in outcome.steps)
    yield ""
    within_s = outcome.transcript.resolution_ms // 1000
    yield f"Times are to within {within_s} s: a set begins when it is named. ? means unsure."
    yield ""
    yield "  round                     words a minute  talk  longest silence"
    for talk in talk_by_round(without_loops(outcome)):
        silence = f"{talk.silence_ms // 1000} s at {moment_text(talk.silence_at_ms)}"
        yield f"  {talk.name:<25} {talk.words_a_minute:14.0f} {talk.share:5.0%}  {silence}"
    yield ""
    for each in times_by_kind(outcome):
        yield f"  {each.kind!s:<25} {moment_text(each.led_ms):>6} of {moment_text(each.plan_ms)}"
    yield ""
    result = notes(outcome)
    yield from (_note_line(note) for note in (result if every else result[:MOST_NOTES]))
    if not result:
        yield "Nothing to note: what was heard matches the plan."
    elif len(result) > MOST_NOTES and not every:
        yield f"{len(result) - MOST_NOTES} more with --all."
    yield from (f"In the file: {problem}" for problem in outcome.transcript.problems)


def _row(outcome: Outcome, each: LedSet) -> str:
    at = moment_text(each.at_ms) if each.at_ms is not None else "-"
    plan = "-" if each.change is Change.STRAY else moment_text(outcome.sets[each.place].at_ms)
    change = f": {each.change}" if each.change else ""
    return f"{'' if each.is_sure else '?':<1}{at:>6} {plan:>7}    {each.name}{change}"


def _note_line(note: Note) -> str:
    at = f"{moment_text(note.at_ms)}  " if note.at_ms is not None else ""
    words = f' "{note.words}"' if note.words else ""
    return f"- {at}{note.text}{'' if note.is_sure else ' (unsure)'}{words}"


def report_values(outcome: Outcome) -> dict[str, object]:
    """Everything, for JSON: times in ms of the recording and of the plan."""
    return {
        "resolution_ms": outcome.transcript.resolution_ms,
        "sets": [
            {
                "ref": None if each.change is Change.STRAY else outcome.sets[each.place].ref,
                "side": None if each.change is Change.STRAY else str(outcome.sets[each.place].bout.side),
                "name": each.name,
                "at_ms": each.at_ms,
                "end_ms": each.end_ms,
                "plan_ms": None if each.change is Change.STRAY else outcome.sets[each.place].at_ms,
                "chance": round(each.chance, 3),
                "change": str(each.change),
                "change_chance": round(each.change_chance, 3),
                "sure": each.is_sure,
            }
            for each in outcome.steps
        ],
        "rounds": [
            {
                "name": talk.name,
                "at_ms": talk.at_ms,
                "length_ms": talk.length_ms,
                "words": talk.words,
                "words_a_minute": round(talk.words_a_minute, 1),
                "talk_share": round(talk.share, 3),
                "silence_at_ms": talk.silence_at_ms,
                "silence_ms": talk.silence_ms,
            }
            for talk in talk_by_round(without_loops(outcome))
        ],
        "times": [
            {"kind": str(each.kind), "led_ms": each.led_ms, "plan_ms": each.plan_ms} for each in times_by_kind(outcome)
        ],
        "notes": [
            {"at_ms": note.at_ms, "text": note.text, "words": note.words, "sure": note.is_sure, "gravity": note.gravity}
            for note in notes(outcome)
        ],
        "problems": [str(problem) for problem in outcome.transcript.problems],
    }
