"""How strong joints are and how tight their ends, read with their types; every strength with its error."""

from collections.abc import Mapping
from functools import cache

from everyrung.tables.reader import Row, typed_rows
from everyrung.terms.frozen import dataclass
from everyrung.terms.person import Sex

FLAGS = ("V", "V2", "D", "M", "M-", "C")
MADE_BY = ("fitted", "muscles", "generator")
MOST_NM_PER_KG = 8.0  # chosen, because nobody's joint is twice as strong as the strongest of an ordinary person


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """Strength of one sex by angle: the greatest, N m/kg; the degree of the coordinate where it is, and how it falls
    off on both sides, radians of the cosine per radian of the angle.
    """

    nm_per_kg: float
    peak_deg: float
    width: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StrengthRow:
    """A motion of tables/joint_strength.csv, measured between two angles, degrees of its coordinate. `person_log_sd`:
    what people of one sex, age and size differ by; `error_log_sd`: how far the row itself may be off; both standard
    deviations of the logarithm.
    """

    motion: str
    coordinate: str
    sign: float
    by: str
    posture: Mapping[str, float]
    curves: Mapping[Sex, Curve]
    from_deg: float
    to_deg: float
    person_log_sd: float
    error_log_sd: float
    flag: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TightEnd:
    """A joint's measured passive moment at one end of its range, N m by sex, and how steeply it grows, 1/rad."""

    nm: Mapping[Sex, float]
    per_rad: Mapping[Sex, float]


@cache
def strength_rows() -> tuple[StrengthRow, ...]:
    """All motions, in the order of the table. Raises ValueError for a cell that is wrong, or a motion named twice."""
    rows = typed_rows("joint_strength")
    motions = tuple(strength_row(row) for row in rows)
    for at, row in enumerate(rows):
        if motions[at].motion in [each.motion for each in motions[:at]]:
            raise row.wrong("motion", "a motion once", f"{motions[at].motion!r} again")
    return motions


def strength_row(row: Row) -> StrengthRow:
    """A row of tables/joint_strength.csv with its types. Raises ValueError for a cell that is wrong."""
    pairs = [word.partition("=") for word in row.text("posture").split()]
    if any(not value.lstrip("-").isdigit() for _, _, value in pairs):
        raise row.wrong("posture", "coordinate=degrees, apart by blanks", repr(row.text("posture")))
    return StrengthRow(
        motion=row.text("motion"),
        coordinate=row.text("coordinate"),
        sign=float(row.word("sign", ("1", "-1"))),
        by=row.word("by", MADE_BY),
        posture={name: float(value) for name, _, value in pairs},
        curves={
            sex: Curve(
                nm_per_kg=row.value(sex, 0.01, MOST_NM_PER_KG),
                peak_deg=row.value(f"{sex}_peak_deg", -180, 180),
                width=row.value(f"{sex}_width", 0.05, 3),
            )
            for sex in Sex
        },
        from_deg=row.value("from_deg", -180, 90),
        to_deg=row.value("to_deg", -90, 180),
        person_log_sd=row.value("person_log_sd", 0.01, 1),
        error_log_sd=row.value("error_log_sd", 0.01, 1),
        flag=row.word("flag", FLAGS),
    )


@cache
def tight_ends() -> Mapping[tuple[str, str], TightEnd]:
    """The measured ends of joints by coordinate and end ('low', 'high'), tables/joint_ends.csv. Raises ValueError for
    a cell that is wrong.
    """
    return {
        (row.text("coordinate"), row.word("end", ("low", "high"))): TightEnd(
            nm={sex: row.value(f"{sex}_nm", 0, 500) for sex in Sex},
            per_rad={sex: row.value(f"{sex}_per_rad", 0.5, 50) for sex in Sex},
        )
        for row in typed_rows("joint_ends")
    }
