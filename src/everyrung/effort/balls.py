"""The lines about balls on a card: for one person by the moves that use one, for everyone by stature."""

from collections.abc import Iterable

from everyrung.effort.ball import Purpose, ball_advice, own_ball, purpose_of
from everyrung.effort.known_people import known
from everyrung.effort.own_kit import room_kit
from everyrung.terms.enums import KitItem
from everyrung.terms.move import Form
from everyrung.terms.person import Person
from everyrung.terms.session import Session

POSTER_M = (1.55, 1.65, 1.75, 1.85, 1.95)  # chosen, because everyone is within 5 cm of one of them, or beyond the ends
NEVER = "Never lie on a ball with weights in your hands. Look at it first: no cuts, no bulge."


def ball_lines(session: Session, one: Person, forms: Iterable[Form], *, in_room: bool) -> tuple[str, ...]:
    """For one person: the range for each purpose of the rungs that they take, what their own balls are worth, and the
    caution.
    """
    purposes = _in_order(forms)
    if not purposes:
        return ()
    kit = room_kit(session.kit) if in_room else one.kit
    balls = [own for own in kit if own.item is KitItem.BALL]
    held_kg = max((bout.load.total_kg for cell in session.cells for bout in cell.bouts if bout.load), default=0.0)
    lines = []
    for purpose in purposes:
        advice = ball_advice(purpose, one.stature_m, known(one).mass_kg, held_kg)
        lines.append(f"{advice}.")
        lines += [f"{own_ball(advice, own)}." for own in balls]
    return (*lines, NEVER)


def chart_lines(session: Session) -> tuple[str, ...]:
    """For the poster: the range by stature for each purpose that the session has."""
    lines = [_chart(purpose) for purpose in _purposes(session)]
    return (*lines, NEVER) if lines else ()


def ball_table(session: Session) -> tuple[str, ...]:
    """The same as a table in plain text: a row for each stature, a column for each purpose."""
    purposes = _purposes(session)
    if not purposes:
        return ()
    heads = ["tall", *(str(purpose) for purpose in purposes)]
    rows = [heads]
    for stature_m in POSTER_M:
        found = [ball_advice(purpose, stature_m, None).sizes_cm for purpose in purposes]
        rows.append([f"{stature_m * 100:.0f} cm", *(f"{sizes[0]:g} to {sizes[-1]:g}" for sizes in found)])
    wide = [max(len(row[place]) for row in rows) for place in range(len(heads))]
    lines = ["  ".join(part.ljust(size) for part, size in zip(row, wide, strict=True)).rstrip() for row in rows]
    tests = [
        f"{str(purpose).capitalize()}: the {ball_advice(purpose, POSTER_M[0], None).test}." for purpose in purposes
    ]
    return (*lines, "", *tests, NEVER)


def _chart(purpose: Purpose) -> str:
    ranges = [(stature_m, ball_advice(purpose, stature_m, None)) for stature_m in POSTER_M]
    parts = [f"{stature_m * 100:.0f} cm tall {one.sizes_cm[0]:g} to {one.sizes_cm[-1]:g}" for stature_m, one in ranges]
    return f"Ball in cm, {purpose}: {', '.join(parts)}; the {ranges[0][1].test}."


def _purposes(session: Session) -> list[Purpose]:
    """In the order of the vocabulary."""
    return _in_order(
        rung.form for cell in session.cells for rung in (cell.rung, *(option.rung for option in cell.options))
    )


def _in_order(forms: Iterable[Form]) -> list[Purpose]:
    found = {purpose_of(form.surface) for form in forms}
    return [purpose for purpose in Purpose if purpose in found]
