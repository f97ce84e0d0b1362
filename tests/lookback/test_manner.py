"""How a session was led: late names, sides, like this without words, phrases again, words that a machine made up."""

import pytest
from spoken import Line, lay, lines_of, sets_of

from everyrung.lookback.loops import loops, without_loops
from everyrung.lookback.manner import late_names, phrases_again, points, times_by_kind, wrong_sides
from everyrung.lookback.notes import Note, notes
from everyrung.lookback.outcome import Outcome
from everyrung.lookback.report import report_lines, report_values
from everyrung.lookback.talk import talk_by_round
from everyrung.terms.enums import BlockKind

SETS = sets_of("boathouse-30")


def at(ref: str, part: int = 0) -> int:
    return next(place for place, each in enumerate(SETS) if each.ref == ref and each.part == part)


def session(*extra: Line, swap: dict[str, str] | None = None) -> Outcome:
    """The plain session with some lines more, and words of its own exchanged."""
    lines, _ = lines_of(SETS, range(len(SETS)))
    for old, new in (swap or {}).items():
        lines = [(at_s, text.replace(old, new)) for at_s, text in lines]
    return lay(SETS, [*lines, *extra])


def texts(outcome: Outcome) -> list[str]:
    return [note.text for note in notes(outcome)]


def test_a_name_after_its_count_in_is_late() -> None:
    place = at("Main/Two/hinge")
    begin = SETS[place].at_ms / 1000
    late = [each.step.place for each in late_names(session((begin - 6, "three two one go")))]
    assert late == [place]
    in_time = session((begin - 6, "three two one go"), (begin + 12, "three two one"))  # the one before was a countdown
    assert list(late_names(in_time)) == []
    assert any(
        "Hip hinge" in text and "after a count-in" in text for text in texts(session((begin - 6, "three two one go")))
    )


def test_the_other_side_than_the_plan_s_is_named() -> None:
    """Case H05 of our cases: a leader who faces the room says her own left."""
    remarks = list(wrong_sides(session(swap={"then right": "then left"})))
    assert {each.step.place for each in remarks} <= {place for place, each in enumerate(SETS) if each.part}
    assert len(remarks) >= 4
    assert any("the side was not the plan's" in text for text in texts(session(swap={"then right": "then left"})))
    assert list(wrong_sides(session())) == []


def test_the_hand_that_holds_is_no_side_to_work_on() -> None:
    begin = SETS[at("Main/Two/lunge")].at_ms / 1000
    assert list(wrong_sides(session((begin + 3, "the weight in the right hand")))) == []


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("and we do it like this okay", ["like this"]),
        ("push your knee out like this", []),
        ("just do this with me now", ["do this"]),
    ],
)
def test_like_this_needs_words(text: str, expected: list[str]) -> None:
    assert [words for _, words in points(session((SETS[9].at_ms / 1000 + 20, text)))] == expected


def test_a_phrase_said_again_and_again_is_counted_once_in_its_longest_form() -> None:
    extra = [(each.at_ms / 1000 + 15, "you know what I mean") for each in SETS[:8]]
    again = phrases_again(session(*extra))
    assert again[0][:2] == ("you know what i mean", 8)
    assert not any(phrase in "you know what i mean" for phrase, _, _ in again[1:])
    assert phrases_again(session(*extra[:3])) == []


def test_words_in_a_loop_are_not_counted_and_are_reported() -> None:
    """Case F29 of our cases: speech-to-text over music goes round."""
    begin = SETS[2].at_ms / 1000 + 10
    outcome = session((begin, "thank you for watching " * 6))
    assert [(loop.phrase, loop.times) for loop in loops(outcome.transcript.words, outcome.hits)] == [
        (("thank", "you", "for", "watching"), 6)
    ]
    before, after = (sum(talk.words for talk in talk_by_round(each)) for each in (outcome, without_loops(outcome)))
    assert before - after == 24
    assert any("perhaps made up by the captions" in text for text in texts(outcome))


@pytest.mark.parametrize("text", ["three two one three two one three two one three two one", "hip hinge " * 5])
def test_counts_and_names_of_the_plan_are_no_loop(text: str) -> None:
    outcome = session((SETS[2].at_ms / 1000 + 10, text))
    assert loops(outcome.transcript.words, outcome.hits) == ()


def test_time_by_kind_stands_against_the_plan() -> None:
    times = {each.kind: each for each in times_by_kind(session())}
    assert abs(times[BlockKind.MAIN].led_ms - times[BlockKind.MAIN].plan_ms) <= 5000
    no_warm_up = [place for place, each in enumerate(SETS) if each.block_kind is not BlockKind.WARM_UP]
    lines, _ = lines_of(SETS, no_warm_up)
    assert {each.kind: each.led_ms for each in times_by_kind(lay(SETS, lines))}[BlockKind.WARM_UP] == 0
    slow = [(at_s if at_s < 300 else at_s + 240, text) for at_s, text in lines_of(SETS, range(len(SETS)))[0]]
    assert any(text.startswith("The warm-up took") for text in texts(lay(SETS, slow)))


def test_a_note_has_the_words_that_are_said_there() -> None:
    outcome = session((SETS[9].at_ms / 1000 + 20, "and we do it like this okay"))
    note = next(note for note in notes(outcome) if "no word of what to do" in note.text)
    assert isinstance(note, Note)
    assert note.words.startswith("like this okay")
    assert f'"{note.words}"' in "\n".join(report_lines(outcome, every=True))
    values = report_values(outcome)["notes"]
    assert isinstance(values, list)
    assert note.words in [each["words"] for each in values]
