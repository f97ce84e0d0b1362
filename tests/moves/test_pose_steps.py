"""The steps of an extra: each goes from where the body is to what is written, and leaves what it does not name."""

from everyrung.moves.poses import steps_from
from everyrung.terms.pose import Ground, Layer, Length, Line, Offset, Span, Touch, When


def same(value: float) -> Span:
    return Span(rest=value, full=value)


FULL = Layer(
    angles={"knee_flexion": Span(rest=10, full=50), "hip_flexion": Span(rest=0, full=20)},
    lines={"trunk": Line(pitch=Span(rest=-120, full=-100), out=same(0))},
    apart={"heel_other to heel_working": Offset(out=Length(span=same(0.1)))},
    touch={"heel": Touch(on=Ground.BALL_UNDER), "sacrum": Touch(on=Ground.FLOOR, when=When.REST)},
)


def test_a_single_number_is_come_to_from_where_the_body_is() -> None:
    (step,) = steps_from(FULL, 1.0, [Layer(angles={"knee_flexion": same(90)})])
    assert step.angles["knee_flexion"] == Span(rest=50, full=90)
    (half,) = steps_from(FULL, 0.5, [Layer(angles={"knee_flexion": same(90)})])
    assert half.angles["knee_flexion"] == Span(rest=30, full=90)


def test_two_numbers_are_taken_as_they_are_written() -> None:
    (step,) = steps_from(FULL, 1.0, [Layer(angles={"knee_flexion": Span(rest=70, full=90)})])
    assert step.angles["knee_flexion"] == Span(rest=70, full=90)


def test_what_a_step_does_not_name_stays_as_it_is_at_full_depth() -> None:
    first, second = steps_from(FULL, 1.0, [Layer(angles={"knee_flexion": same(90)}), Layer()])
    assert first.angles["hip_flexion"] == same(20)
    assert first.lines["trunk"] == Line(pitch=same(-100), out=same(0))
    assert second.angles["knee_flexion"] == same(90), "the next step begins where the one before ends"


def test_one_side_begins_where_both_were() -> None:
    (step,) = steps_from(FULL, 1.0, [Layer(angles={"knee_flexion_working": same(4)})])
    assert step.angles["knee_flexion_working"] == Span(rest=50, full=4)
    assert step.angles["knee_flexion_other"] == same(50)


def test_distances_and_lines_are_come_to_as_well() -> None:
    wide = Offset(out=Length(span=same(0.4)), forward=Length(span=same(0)))
    flat = Line(pitch=same(-90), out=same(10))
    (step,) = steps_from(FULL, 1.0, [Layer(lines={"trunk": flat}, apart={"heel_other to heel_working": wide})])
    assert step.lines["trunk"] == Line(pitch=Span(rest=-100, full=-90), out=Span(rest=0, full=10))
    moved = step.apart["heel_other to heel_working"]
    assert moved is not None
    assert moved.out == Length(span=Span(rest=0.1, full=0.4))
    assert moved.forward == Length(span=same(0)), "what was free is as it is written"


def test_what_is_only_touched_at_rest_is_left_and_what_is_touched_can_be_taken_away() -> None:
    (step,) = steps_from(FULL, 1.0, [Layer(touch={"heel_working": None})])
    assert set(step.touch) == {"heel_other"}
