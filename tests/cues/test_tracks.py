"""Both tracks of every example: in time, one after another, with breath left, and nothing lost without a reason."""

from collections import Counter
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

from everyrung.cues.before_set import EARLY_MS, RESTING
from everyrung.cues.candidates import BREATH_MS, CueCandidate
from everyrung.cues.cell_timing import CellTiming, cell_timings
from everyrung.cues.closing import closing_words
from everyrung.cues.during_set import breath_out
from everyrung.cues.phrases import LAST, LAST_SECONDS
from everyrung.cues.speech import number_words, words
from everyrung.cues.tracks import _budgets, cue_candidates, cue_tracks
from everyrung.moves.library import standard_library
from everyrung.pipeline import run
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.results.analysis import Analysis
from everyrung.terms.enums import CueKind, KitItem, Position, Side, SpanKind
from everyrung.terms.timeline import CueTrack, SaidCue, Span, Track
from everyrung.timing.timeline import build_timeline

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = ["boathouse-30", "one-dumbbell-30"]
LAST_THREE = {text.format(n="three").capitalize() for text in LAST}
BOTH = pytest.mark.parametrize(("name", "track"), [(name, track) for name in NAMES for track in Track])


@cache
def made(name: str) -> tuple[Analysis, dict[Track, CueTrack], float]:
    found = run(EXAMPLES / f"{name}.toml")
    tracks = cue_tracks(found.session, found.timeline)
    return found, {track.track: track for track, _ in tracks}, max(gap for _, gap in tracks)


def along(name: str) -> tuple[CellTiming, ...]:
    found, _, _ = made(name)
    return cell_timings(found.timeline, found.session.clock)


def during(cues: tuple[SaidCue, ...], span: Span) -> list[SaidCue]:
    return [cue for cue in cues if cue.at_ms < span.end_ms and cue.end_ms > span.at_ms]


@BOTH
def test_a_change_is_told_before_it_happens(name: str, track: Track) -> None:
    """H04 of the real-life cases: named on the "one", half the room goes the wrong way."""
    cues = made(name)[1][track].said
    for visit in along(name):
        change_ms = visit.after.end_ms if visit.after else visit.work[0].at_ms
        (cue,) = [
            cue
            for cue in cues
            if cue.ref == visit.cell.ref and cue.kind is CueKind.CHANGE and visit.cell.rung.name in cue.text
        ]
        assert change_ms - EARLY_MS <= cue.at_ms or not visit.after
        assert cue.end_ms <= change_ms


@BOTH
def test_the_change_of_sides_is_an_instruction_before_the_switch_with_the_hand_where_one_carries(
    name: str, track: Track
) -> None:
    switches = [span for span in made(name)[0].timeline.spans if span.kind is SpanKind.SWITCH]
    assert len(switches) >= 2
    for span in switches:
        assert span.cell
        first, second = span.cell.bouts
        (cue,) = [
            cue
            for cue in made(name)[1][track].said
            if cue.ref == span.cell.ref and cue.kind is CueKind.CHANGE and 0 <= span.at_ms - cue.end_ms < EARLY_MS
        ]
        assert str(second.side) in cue.text or str(second.side.other) in cue.text
        assert ("hands" in cue.text or "across" in cue.text) == (first.load_side is not second.load_side)


@BOTH
def test_nobody_says_two_things_at_once_and_there_is_breath_between(name: str, track: Track) -> None:
    cues = [cue for cue in made(name)[1][track].said if cue.ref is not None]
    assert all(after.at_ms - before.end_ms >= BREATH_MS - 1 for before, after in pairwise(cues))


@BOTH
def test_safety_comes_before_the_first_repetition(name: str, track: Track) -> None:
    found = made(name)[1][track]
    first = {visit.column: visit for visit in reversed(along(name))}
    for visit in first.values():
        wanted = [cue for cue in visit.cell.rung.cues if cue.kind is CueKind.SAFETY]
        said = [cue for cue in found.said if cue.ref == visit.cell.ref and cue.kind is CueKind.SAFETY]
        if wanted and visit.block_kind == "main":
            assert said, visit.cell.ref
        assert all(cue.end_ms <= visit.work[0].at_ms for cue in said)


@BOTH
def test_a_set_has_at_most_two_points_and_is_silent_for_half_its_time(name: str, track: Track) -> None:
    cues = made(name)[1][track].said
    wpm = made(name)[0].session.clock.talk_wpm
    for visit in along(name):
        for span in visit.work:
            here = during(cues, span)
            points = [cue for cue in here if cue.kind in (CueKind.FORM, CueKind.BREATHING)]
            assert len([cue for cue in points if cue.kind is CueKind.FORM]) <= (2 if track is Track.FIRST else 1)
            assert len(points) <= (2 if track is Track.FIRST else 1)
            assert sum(words(cue.text) for cue in here) <= 0.5 * span.duration_ms / 60_000 * wpm
            assert sum(cue.end_ms - cue.at_ms for cue in here) <= 0.5 * span.duration_ms + 1000


@BOTH
def test_a_point_leaves_time_to_act_on_it(name: str, track: Track) -> None:
    cues = made(name)[1][track].said
    for visit in along(name):
        for span in visit.work:
            for cue in during(cues, span):
                if cue.kind in (CueKind.FORM, CueKind.BREATHING):
                    assert span.end_ms - cue.end_ms >= 0.25 * span.duration_ms


def asked_in(
    move: str, dose: str, more: str = "", track: Track = Track.FIRST, new: int | None = None
) -> list[CueCandidate]:
    """What might be said in a plan of one move, before anything is placed."""
    head = 'title = "One"\nslot_minutes = 15\n[who]\nin_room = 3\n[[block]]\nkind = "main"\n'
    text = f'{head}[[block.move]]\nmove = "{move}"\ndose = "{dose}"\n{more}'
    session = resolve(plan_from_text(text, "one.toml"), standard_library())
    every = cell_timings(build_timeline(session), session.clock)
    session = replace(session, newcomer_rounds=new or 0, who=replace(session.who, newcomers=new is not None))
    return list(cue_candidates(session, every, track, lambda text: 300 * words(text), standard_library(), {}))


def points_on(move: str, dose: str) -> tuple[Span, list[CueCandidate]]:
    """The first set, and what might be attended to in it."""
    found = [one for one in asked_in(move, dose) if one.kind in (CueKind.FORM, CueKind.BREATHING)]
    assert found
    assert found[0].bout
    return found[0].bout, [one for one in found if one.bout == found[0].bout]


ROUNDS = '[[block.round]]\nname = "One"\n[[block.round]]\nname = "Two"\n[block.round.cell.squat]\nrung = "pause"\n'


@pytest.mark.parametrize(
    ("move", "dose", "said"),
    [
        ("squat", "6 reps", [LAST[0].format(n="three").capitalize()]),
        ("squat", "5 reps", []),
        ("squat", "40 s", [LAST_SECONDS[0]]),  # the clock ends it, and not the count
        ("front-plank", "20 s", [LAST_SECONDS[0]]),
        ("front-plank", "19 s", []),
    ],
)
def test_the_last_are_counted_of_six_repetitions_or_twenty_seconds(move: str, dose: str, said: list[str]) -> None:
    assert [one.text for one in asked_in(move, dose) if one.kind is CueKind.COUNT and one.bout] == said


@pytest.mark.parametrize(("move", "dose"), [("squat", "8 reps"), ("split-squat", "8 a side")])
def test_a_count_in_says_a_number_a_second_down_to_one_before_the_first_repetition(move: str, dose: str) -> None:
    (count_in,) = [one for one in asked_in(move, dose) if one.kind is CueKind.COUNT and not one.bout]
    numbers = ["Five", "four", "three", "two", "one"][5 - count_in.length_ms // 1000 :]
    assert 2000 <= count_in.length_ms <= 5000
    assert count_in.text.lower() == ", ".join(numbers).lower() + "."


def test_the_first_time_two_positions_are_taught_and_later_one() -> None:
    texts = [cue.text for cue in standard_library().rung("split-squat", "base").cues if cue.kind is CueKind.SET_UP]
    many = 'cues = []\n[[block.round]]\nname = "One"\n[[block.round]]\nname = "Two"\nlike = "One"\n'
    asked = asked_in("split-squat", "8 a side", many)
    taught = [{one.text for one in asked if one.ref and one.ref.round == name} for name in ("One", "Two")]
    assert len(texts) == 2
    assert [len(each & set(texts)) for each in taught] == [2, 1]


def test_what_a_round_asks_more_of_is_said_before_it() -> None:
    cells = {}
    for one in asked_in("squat", "8 reps", ROUNDS):
        if one.ref and one.kind is CueKind.SET_UP:
            cells.setdefault(one.ref.round, set()).add(one.text)
    assert [text for text in cells["Two"] - cells["One"] if "ause" in text]


def test_the_next_set_is_named_at_the_end_of_the_second_side() -> None:
    moves = '[[block.move]]\nmove = "bridge"\ndose = "8 reps"\n'
    (next_,) = [one for one in asked_in("split-squat", "8 a side", moves) if one.text.startswith("Next: ")]
    assert next_.bout
    assert next_.bout.bout
    assert next_.bout.bout.side is Side.RIGHT
    assert next_.until_ms == next_.bout.end_ms


def test_who_is_new_rests_in_every_round_beyond_theirs_and_is_told_once_in_each() -> None:
    moves = '[[block.move]]\nmove = "bridge"\ndose = "8 reps"\n'
    rounds = "".join(f'[[block.round]]\nname = "{number}"\n' for number in (1, 2, 3))
    told = [
        one.ref.round for one in asked_in("squat", "8 reps", moves + rounds, new=1) if one.text == RESTING and one.ref
    ]
    assert told == ["2", "3"]
    assert not [one for one in asked_in("squat", "8 reps", moves + rounds, Track.AGAIN, 1) if one.text == RESTING]


def test_a_hold_is_left_alone_for_its_first_two_seconds_and_its_last_quarter() -> None:
    span, points = points_on("front-plank", "40 s")
    assert [one.from_ms - span.at_ms for one in points] == [2000] * len(points)
    forms = [one for one in points if one.kind is CueKind.FORM]
    assert [span.end_ms - one.until_ms for one in forms] == [10_000] * len(forms)


def test_a_short_hold_has_two_seconds_after_the_last_point() -> None:
    span, points = points_on("front-plank", "7 s")
    assert {span.end_ms - one.until_ms for one in points if one.kind is CueKind.FORM} == {2000}


def test_points_on_repetitions_come_after_the_first_and_before_the_last_quarter() -> None:
    span, points = points_on("squat", "12 reps")
    assert span.bout
    assert [one.from_ms - span.at_ms for one in points] == [span.bout.rep_ms] * len(points)
    assert {span.end_ms - one.until_ms for one in points if one.kind is CueKind.FORM} == {3 * span.bout.rep_ms}
    forms = [one.best_ms for one in points if one.kind is CueKind.FORM]
    begin, until = span.at_ms + span.bout.rep_ms, span.end_ms - 3 * span.bout.rep_ms
    assert forms == [begin, (begin + until) // 2]  # the first at once, the second half-way


def test_breath_is_spoken_of_in_the_first_repetitions() -> None:
    """Before the last third of a set, as the finding of 30 November 2026 asks."""
    for move, dose in (("squat", "12 reps"), ("front-plank", "40 s"), ("split-squat", "8 a side")):
        span, points = points_on(move, dose)
        (breath,) = [one for one in points if one.kind is CueKind.BREATHING]
        assert breath.best_ms == breath.from_ms
        assert breath.until_ms <= span.at_ms + 0.6 * span.duration_ms


@pytest.mark.parametrize(
    ("whole", "short"),
    [
        ("In as you fold, out as you stand.", "Out as you stand."),
        ("Out as the knee goes, in as it returns.", "Out as the knee goes."),
        ("Small breaths; never hold your breath.", "Small breaths; never hold your breath."),
        ("Breathe to the beat, in for two, out for two.", "Breathe to the beat, in for two, out for two."),
    ],
)
def test_the_way_out_of_a_breath_stands_alone(whole: str, short: str) -> None:
    assert breath_out(whole) == short


def test_of_a_few_repetitions_one_is_left_to_act_on_a_point() -> None:
    span, points = points_on("squat", "3 reps")
    assert span.bout
    assert {span.end_ms - one.until_ms for one in points if one.kind is CueKind.FORM} == {span.bout.rep_ms}


@BOTH
def test_the_same_point_is_not_made_on_one_side_in_two_rounds_running(name: str, track: Track) -> None:
    """Common practice, no source: what is said every time is not heard any more."""
    said, compared = made(name)[1][track].said, 0
    last: dict[tuple[tuple[str, str], int], set[str]] = {}
    for visit in along(name):
        own = {cue.text for cue in visit.cell.rung.cues if cue.kind is CueKind.FORM}
        for side, span in enumerate(visit.work):
            points = {cue.text for cue in during(said, span) if cue.kind is CueKind.FORM}
            before = last.get((visit.column, side), set())
            if len(own) > 1 and points and before:
                assert points != before, visit.cell.ref
                compared += 1
            last[visit.column, side] = points
    assert compared >= (6 if track is Track.FIRST else 0)


ORDER = (
    CueKind.BREAK, CueKind.CHANGE, CueKind.KIT, CueKind.PLACE, CueKind.SIDE, CueKind.SET_UP, CueKind.SAFETY,
    CueKind.VERSION,
)  # fmt: skip


@BOTH
def test_before_a_set_words_come_in_the_order_in_which_they_can_be_followed(name: str, track: Track) -> None:
    """Change, kit, place, side and hand, position, one caution, versions (issue 21); nobody can place "a short step
    forward" before knowing what it is about, or lie down and then fetch a ball. Whoever lies gets up before fetching.
    """
    compared = 0
    for visit in along(name):
        own = {cue.text for cue in visit.cell.rung.cues if cue.kind is CueKind.SET_UP}
        after, seat = visit.cell.rung.form.position, Position.SEATED
        rising = (visit.position.on_floor or visit.position is seat) and not after.on_floor and after is not seat
        here = (cue for cue in made(name)[1][track].said if cue.ref == visit.cell.ref)
        before = [cue for cue in here if visit.before_ms <= cue.at_ms < visit.count_in_ms]
        ranks = [
            ORDER.index(cue.kind)
            for cue in before
            if cue.kind is not CueKind.SET_UP or _both(cue.text) in map(_both, own)
        ]
        if rising and {ORDER.index(CueKind.KIT), ORDER.index(CueKind.PLACE)} <= set(ranks):
            assert ranks.index(ORDER.index(CueKind.PLACE)) < ranks.index(ORDER.index(CueKind.KIT))
            ranks = [rank for rank in ranks if rank != ORDER.index(CueKind.KIT)]
        safety = ORDER.index(CueKind.SAFETY)
        first = next((at for at, rank in enumerate(ranks) if rank == safety), len(ranks))
        ranks = [rank for at, rank in enumerate(ranks) if rank != safety or at == first]  # a second caution comes last
        assert ranks == sorted(ranks), [cue.text for cue in before]
        compared += len(ranks)
    assert compared > 80


def _both(text: str) -> str:
    return text.replace("working", "left")


def test_a_count_is_said_when_it_is_true() -> None:
    """H03 of the real-life cases: an announced count is the planned one, here within a third of a second."""
    assert number_words(3) == "three"
    for name in NAMES:
        for track in Track:
            said = [cue for cue in made(name)[1][track].said if cue.text in LAST_THREE]
            bouts = [(span.at_ms, span.bout) for visit in along(name) for span in visit.work if span.bout]
            starts = {at_ms + (bout.reps - 3) * bout.rep_ms for at_ms, bout in bouts}
            assert len(said) > 5
            assert len({cue.text for cue in said}) > 3  # in varied words
            assert all(any(abs(cue.at_ms - at_ms) <= 300 for at_ms in starts) for cue in said)


def test_who_is_new_is_told_to_rest_once_when_the_rounds_for_newcomers_are_over() -> None:
    """H30 of the real-life cases' rule, as the demo announces it: two rounds, and rest in the third."""
    found, tracks, _ = made("boathouse-30")
    assert found.session.newcomer_rounds == 2
    (told,) = [cue for cue in tracks[Track.FIRST].said if cue.text == RESTING]
    assert told.ref
    assert told.ref.round == "Three"
    assert not [cue for cue in tracks[Track.AGAIN].said if cue.text == RESTING]


def test_the_dose_says_a_side_or_in_all() -> None:
    """A finding of 30 November 2026: of 20 marches nobody knew whether a side or in all."""
    for move, dose, said in (
        ("squat", "8 reps", "8 reps."),
        ("split-squat", "6 a side", "6 reps a side."),
        ("seated-march", "12 in all", "12 reps in all, left first."),
    ):
        assert [one.text for one in asked_in(move, dose) if one.text[:1].isdigit()] == [said]


def test_words_are_for_those_who_do_that_version() -> None:
    """Nobody without a ball is told to take it: of the demo's leg curl, two versions are on the ball."""
    found = made("boathouse-30")[1][Track.FIRST].said
    curl = next(visit.cell for visit in along("boathouse-30") if visit.cell.ref.cell == "curl")
    heels = next(cue for cue in found if cue.ref == curl.ref and "heels on the ball" in cue.text)
    with_ball = {0, *(place for place, each in enumerate(curl.options, start=1)
                      if any(need.item is KitItem.BALL for need in each.rung.kit))}  # fmt: skip
    assert set(heels.rungs) == with_ball != set(range(len(curl.options) + 1))
    squat = next(visit.cell.ref for visit in along("boathouse-30") if visit.cell.ref.cell == "squat")
    take = next(cue for cue in found if cue.ref == squat and cue.text.startswith("Take the ball"))
    assert take.rungs
    assert all(not cue.rungs for cue in found if cue.kind is CueKind.ENCOURAGEMENT)


def test_the_end_is_thanks_what_may_be_felt_and_where_the_kit_goes() -> None:
    found = made("boathouse-30")
    words_ = closing_words(found[0].session)
    assert "front of the thigh" in words_[1]  # squat and split squat are half of the demo's sets
    for track in found[1].values():
        last = [cue.text for cue in track.said if cue.kind is CueKind.BREAK][-len(words_) :]
        assert tuple(last) == words_
    ended = plan_from_text(
        'title = "One"\nslot_minutes = 15\n[who]\nin_room = 3\n[[block]]\nkind = "main"\n'
        '[[block.move]]\nmove = "squat"\ndose = "8 reps"\n[[block]]\nkind = "announcement"\nsay = ["See you."]\n',
        "one.toml",
    )
    session = resolve(ended, standard_library())
    (first, _), _ = cue_tracks(session, build_timeline(session))
    assert "Thank" not in " ".join(cue.text for cue in first.said)  # the plan has its own last words


def test_a_hard_set_is_encouraged_where_it_gets_hard_and_an_easy_one_less() -> None:
    found = run(EXAMPLES / "boathouse-30.toml")
    refs = [visit.cell.ref for visit in along("boathouse-30")]
    counts = []
    for effort in (0.1, 0.6):
        felt = dict.fromkeys(refs, effort)
        ((first, _), _) = cue_tracks(found.session, found.timeline, dict.fromkeys(refs, 0.0), felt=felt)
        good = [cue for cue in first.said if cue.kind is CueKind.ENCOURAGEMENT]
        spans = [span for visit in along("boathouse-30") for span in visit.work]
        assert all(any(span.at_ms + span.duration_ms / 2 <= cue.at_ms < span.end_ms for span in spans) for cue in good)
        counts.append(Counter(cue.ref for cue in good))
    main = [visit.cell.ref for visit in along("boathouse-30") if visit.block_kind == "main"]
    assert all(1 <= counts[1][ref] <= 2 for ref in main)
    assert sum(counts[0].values()) < 0.7 * sum(counts[1].values())


def test_a_warning_is_told_once_in_full_and_then_in_turn() -> None:
    """Of a rung that comes again; a harder rung's own warning is told when it comes."""
    said = made("boathouse-30")[1][Track.FIRST].said
    visits_of = [each for each in along("boathouse-30") if each.column[1] == "lift"]
    told = [[cue.text for cue in said if cue.ref == each.cell.ref and cue.kind is CueKind.SAFETY] for each in visits_of]
    assert len(told) == 3
    assert len(told[0]) == len({cue.text for cue in visits_of[0].cell.rung.cues if cue.kind is CueKind.SAFETY})
    assert all(len(each) <= 1 for each in told[1:])  # where there is time


def test_what_is_not_said_has_a_reason_and_nothing_is_said_twice_in_a_bout() -> None:
    for name in NAMES:
        for track in made(name)[1].values():
            assert all(cue.reason.endswith(".") for cue in track.unsaid)
            for visit in along(name):
                for span in visit.work:
                    assert max(Counter(cue.text for cue in during(track.said, span)).values(), default=1) == 1


def test_the_first_time_more_is_explained_than_again() -> None:
    """H29 of the real-life cases: an explanation is good once and dull ever after."""
    _, tracks, _ = made("boathouse-30")
    lengths = {
        track: sum(cue.end_ms - cue.at_ms for cue in found.said if cue.kind is CueKind.SET_UP and cue.ref)
        for track, found in tracks.items()
    }
    assert lengths[Track.AGAIN] < 0.7 * lengths[Track.FIRST]


def test_a_harder_set_leaves_the_leader_fewer_words() -> None:
    found = run(EXAMPLES / "boathouse-30.toml")
    refs = [visit.cell.ref for visit in along("boathouse-30")]
    said = []
    for effort in (0.0, 1.0):
        ((first, _), _) = cue_tracks(found.session, found.timeline, dict.fromkeys(refs, effort))
        said.append(sum(words(cue.text) for cue in first.said if cue.kind in (CueKind.FORM, CueKind.BREATHING)))
    assert said[1] < said[0]


def test_a_leader_who_does_nothing_has_breath_for_no_more_than_one_at_rest() -> None:
    every = along("one-dumbbell-30")
    refs = [visit.cell.ref for visit in every]
    rest, all_out, less, more = (_budgets(every, 150, dict.fromkeys(refs, effort)) for effort in (0.0, 1.0, -1.0, 2.0))
    assert (less, more) == (rest, all_out)
    assert all(all_out[at_ms] < rest[at_ms] for at_ms in rest)


def test_the_coach_s_own_point_has_its_turn() -> None:
    text = (EXAMPLES / "boathouse-30.toml").read_text(encoding="utf-8")
    own = "Think of the boat's keel."
    plan = plan_from_text(text.replace('as = "lunge"', f'as = "lunge"\n  cues = ["{own}"]', 1), "evening.toml")
    session = resolve(plan, standard_library())
    ((first, _), (again, _)) = cue_tracks(session, build_timeline(session))
    sets = [cell.ref for cell in session.cells if cell.ref.cell == "lunge"]
    assert len(sets) == 3
    for track in (first, again):
        said = {cue.ref for cue in track.said if cue.text == own}
        assert said
        assert said <= set(sets)


def test_twice_the_same() -> None:
    found = run(EXAMPLES / "seated-30.toml")
    assert cue_tracks(found.session, found.timeline)[0][0] == made("seated-30")[1][Track.FIRST]


def test_what_is_new_comes_before_the_dose_and_the_position_where_not_all_can_be_said() -> None:
    two = [one for one in asked_in("squat", "8 reps", ROUNDS) if one.ref and one.ref.round == "Two"]
    told = {one.text: one.worth for one in two if one.kind is CueKind.SET_UP}
    new = [worth for text, worth in told.items() if "ause" in text]
    others = [worth for text, worth in told.items() if "ause" not in text]
    assert others
    assert min(new) > max(others)
