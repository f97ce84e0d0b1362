"""Studies of how hard sets and sessions feel, 0 to 10, and the line of the rating: fitted once, and printed.

Run: python docs/accuracy/rating_studies.py. Which rows decide is fixed by their ids as in fit_fatigue.py. One lift, the
bench press or the squat, stands for all that a study did; people with their own endurance, as in set_studies.py. The
form was changed once after a look at the first twelve rows: a power of the part done, which is 0 at nothing and 10 at
failure, was off by more than a point in the deciding half and by two in the other. Flags: V seen.
"""

from dataclasses import dataclass
from functools import cache
from math import isnan, nan

import numpy as np
from fit_fatigue import halves
from scipy.optimize import minimize
from set_studies import LINS_FILHO, LINS_FILHO_REST_S, Sets, used_now

from everyrung.effort.rating import part_done, rate

Line = tuple[float, float]  # the rating of nothing done, and of all that was possible
WITHIN = 1.0  # a point of the scale; set before looking
TO_FAILURE = 99


@cache
def parts(sets: Sets) -> np.ndarray:
    """Repetitions done, of those that were possible (axes: set, person)."""
    asked = np.array(sets.asked)[:, None]
    return part_done(asked, sets.possible(used_now()) - asked)


@dataclass(frozen=True, slots=True, kw_only=True)
class RatedSets:
    """Sets that people rated: the mean of what they said, and how far one is from another (standard deviation)."""

    key: str
    said: str
    sets: Sets
    published: float
    sd: float
    of_session: bool

    def ask(self, line: Line | None = None) -> float:
        """The mean rating; that of a session is the mean of its sets (egan2006)."""
        return float(rate(parts(self.sets), line).mean())

    def met(self) -> bool:
        return abs(self.ask() - self.published) <= WITHIN


def _sets(joint: str, per_cent: float, sets: int, reps: int, rest_s: float) -> Sets:
    return Sets(joint=joint, per_cent=(per_cent,) * sets, rest_s=rest_s, asked=(reps,) * sets)


LIGHT, DENSE, LONG = (_sets("shoulder", 60, *each) for each in ((3, 8, 180), (3, 8, 90), (2, 12, 180)))
HEAVY, SQUAT = _sets("shoulder", 80, 3, 6, 90), _sets("knee", 80, 6, 6, 180)
RATE, SHARED = "Kraft 2014, work rate (V): {}", "Kraft 2014, distribution (V): {}"
EGAN = "Egan 2006 (V): squat 80 %, 6 x 6 (rests not seen: 3 min)"
ROBERTSON = "Robertson 2003 (V), 65 %, {}, whole body"
PRITCHETT = "Pritchett 2009 (V): {} %, 3 to failure, 2 min"
RATED = tuple(
    RatedSets(key=key, said=f"{said}, {'session' if session else 'sets'}", sets=sets, published=mean, sd=sd,
              of_session=session)
    for key, said, sets, mean, sd, session in (
        ("RP01", RATE.format("60 %, 3 x 8, 1.5 min"), DENSE, 4.8, 1.2, False),
        ("RP02", RATE.format("60 %, 3 x 8, 3 min"), LIGHT, 4.0, 1.6, False),
        ("RP03", RATE.format("60 %, 2 x 12, 3 min"), LONG, 5.9, 1.4, False),
        ("RP04", SHARED.format("60 %, 2 x 12, 3 min"), LONG, 4.4, 0.9, False),
        ("RP05", SHARED.format("80 %, 3 x 6, 1.5 min"), HEAVY, 5.5, 0.9, False),
        ("RP06", EGAN, SQUAT, 7.33, 1.52, False),
        ("RP07", RATE.format("60 %, 3 x 8, 1.5 min"), DENSE, 5.3, 1.8, True),
        ("RP08", RATE.format("60 %, 3 x 8, 3 min"), LIGHT, 4.2, 1.8, True),
        ("RP09", RATE.format("60 %, 2 x 12, 3 min"), LONG, 6.2, 1.7, True),
        ("RP10", SHARED.format("60 %, 2 x 12, 3 min"), LONG, 4.3, 1.4, True),
        ("RP11", SHARED.format("80 %, 3 x 6, 1.5 min"), HEAVY, 5.7, 1.4, True),
        ("RP12", EGAN, SQUAT, 7.13, 1.73, True),
        ("RP13", ROBERTSON.format("curl, 4 repetitions"), _sets("shoulder", 65, 1, 4, 0), 2.4, nan, False),
        ("RP14", ROBERTSON.format("curl, 12 repetitions"), _sets("shoulder", 65, 1, 12, 0), 6.7, nan, False),
        ("RP15", ROBERTSON.format("knee extension, 4 repetitions"), _sets("knee", 65, 1, 4, 0), 4.2, nan, False),
        ("RP16", ROBERTSON.format("knee extension, 12 repetitions"), _sets("knee", 65, 1, 12, 0), 7.6, nan, False),
        ("RP17", PRITCHETT.format(60), _sets("shoulder", 60, 3, TO_FAILURE, 120), 8.8, 0.8, True),
        ("RP18", PRITCHETT.format(90), _sets("shoulder", 90, 3, TO_FAILURE, 120), 6.3, 1.2, True),
    )
)  # fmt: skip
DECIDES = halves([one.key for one in RATED])
# Which is rated higher; none was fitted to
RANKS = {
    "Kraft 2014, work rate (V): 3 x 8 with 1.5 min over the same with 3 min": (DENSE, LIGHT),
    "Kraft 2014, work rate (V): 2 x 12 over 3 x 8, both with 3 min": (LONG, LIGHT),
    "Kraft 2014, distribution (V): 3 x 6 at 80 % over 2 x 12 at 60 %, as much work": (HEAVY, LONG),
    "Day 2004 (V): one set of 10 at 70 % over one of 15 at 50 %":
        (_sets("shoulder", 70, 1, 10, 0), _sets("shoulder", 50, 1, 15, 0)),
    "Day 2004 (V): one set of 4 at 90 % over one of 10 at 70 %":
        (_sets("shoulder", 90, 1, 4, 0), _sets("shoulder", 70, 1, 10, 0)),
    "Testa 2012, NU46 (V): many repetitions of moderate loads over one of heavy ones":
        (_sets("shoulder", 70, 1, 17, 0), _sets("shoulder", 90, 1, 1, 0)),
}  # fmt: skip


def mean_rating(sets: Sets) -> float:
    return float(rate(parts(sets)).mean())


def lins_filho_ratings(per_cent: float) -> list[float]:
    """NU45: the mean ratings of sets of 12, 9 and 6, of those who can do the first."""
    sets = Sets(joint="shoulder", per_cent=(per_cent,) * 3, rest_s=LINS_FILHO_REST_S, asked=LINS_FILHO)
    can = sets.possible(used_now())[0] >= LINS_FILHO[0]
    return [float(each) for each in rate(parts(sets))[:, can].mean(axis=1)]


def half(decides: bool) -> list[RatedSets]:
    return [one for one in RATED if DECIDES[one.key] == decides]


def error(rows: list[RatedSets], line: Line | None = None) -> float:
    """Root mean square of what the means are off by, points."""
    return float(np.sqrt(np.mean([(one.ask(line) - one.published) ** 2 for one in rows])))


def fit() -> Line:
    found = minimize(lambda ends: error(half(True), tuple(ends)), (1.0, 9.0), method="Nelder-Mead")
    return float(found.x[0]), float(found.x[1])


def pooled_sd(of_session: bool) -> float:
    """How far one person's rating is from another's, points."""
    known = [one.sd**2 for one in RATED if one.of_session == of_session and not isnan(one.sd)]
    return float(np.sqrt(np.mean(known)))


def main() -> None:
    best = fit()
    for name, line in (("fitted", best), ("used", None)):
        print(f"{name}: off {error(half(True), line):.2f} deciding, {error(half(False), line):.2f} held back")
    print(f"line: {best[0]:.2f} where nothing is done, {best[1]:.2f} at failure")
    print(f"between people: sets {pooled_sd(False):.2f}, sessions {pooled_sd(True):.2f}")
    for one in RATED:
        which = "decides" if DECIDES[one.key] else "held back"
        print(f"{one.key} {which}: {one.said}: {one.published:g}, {one.ask():.2f}, {'met' if one.met() else 'MISSED'}")
    for said, (more, less) in RANKS.items():
        print(f"{said}: {mean_rating(more):.2f}, {mean_rating(less):.2f}")
    for per_cent in (50, 70):
        print(f"NU45, {per_cent} %: {', '.join(f'{each:.2f}' for each in lins_filho_ratings(per_cent))}")


if __name__ == "__main__":
    main()
