"""Fits the constants of rest, and of holds near full strength, to the deciding half of the published rows; prints both.

Run: python docs/accuracy/fit_fatigue.py (one to two minutes). tables/fatigue.csv has what it finds, rounded; the page
shows what the rounded ones come to. Which rows decide is fixed by their ids (`halves`), before looking. For holds the
even tenths of strength decide, the odd ones are held back.

Form of holds: F and R of five joints stay as published; a reserve g u^k of all joints, which only loads near full
strength feel, and the elbow's F and R, whose published ones miss their own curve, are fitted.
"""

import hashlib
from collections.abc import Sequence

import numpy as np
from scipy.optimize import minimize
from set_studies import SET_STUDIES, RestModel, SetStudy, array, used_now

from everyrung.effort.rates import constant
from everyrung.effort.three_compartment import NO_RESERVE, Reserve, hold_seconds

# ---- which rows decide -----------------------------------------------------------------------------------------------

# Rows of the topics "fatigue" and "RPE" of the table of published checks, and the new ones of set_studies.py
FATIGUE = ("FA01", "FA02", "FA03", "FA04", "FA05", "FA06", "FA07", "NU36", "NU37", "NU39", "NU40", "NU42", "NU43")
RPE = ("NU45", "NU46", "NU47")
NEW = tuple(f"RS{number:02d}" for number in range(1, 16))


def halves(ids: Sequence[str]) -> dict[str, bool]:
    """Which of one topic's ids decide: in the order of their SHA-256 the first, third, fifth ..."""
    ordered = sorted(ids, key=lambda each: hashlib.sha256(each.encode()).hexdigest())
    return {each: place % 2 == 0 for place, each in enumerate(ordered)}


DECIDES = halves(FATIGUE) | halves(RPE) | halves(NEW)
DECIDING = tuple(one for one in SET_STUDIES if DECIDES[one.key] and one.fitted)
HELD_BACK = tuple(one for one in SET_STUDIES if not DECIDES[one.key] and one.fitted)

# ---- rests -----------------------------------------------------------------------------------------------------------

START = (0.0, np.log(10.0), np.log(600.0))  # a half, 10 s, 600 s
ONE_TIME = (np.log(60.0),)


def model_of(values: Sequence[float]) -> RestModel:
    """From the logit of the share and the logarithms of both times; without the share, of one time alone."""
    *share, quick, slow = values if len(values) == 3 else (-np.inf, *values, 0.0)
    return RestModel(
        slow_share=float(1 / (1 + np.exp(-share[0]))), quick_s=float(np.exp(quick)), slow_s=float(np.exp(slow))
    )


def error(model: RestModel, studies: Sequence[SetStudy]) -> float:
    """Root mean square of how far the rows are off, in half bands."""
    return float(np.sqrt(np.mean([one.off(model) ** 2 for one in studies])))


def fit(studies: Sequence[SetStudy], start: Sequence[float] = START) -> RestModel:
    simplex = np.array(start) + np.vstack([np.zeros(len(start)), 0.5 * np.eye(len(start))])
    options = {"initial_simplex": simplex, "xatol": 1e-3, "fatol": 1e-6}
    found = minimize(lambda values: error(model_of(values), studies), start, method="Nelder-Mead", options=options)
    return model_of(found.x)


def without_each() -> list[RestModel]:
    """Fitted again without each deciding study: how far one study moves the constants."""
    keys = dict.fromkeys(one.key for one in DECIDING)
    return [fit([one for one in DECIDING if one.key != left_out]) for left_out in keys]


# ---- holds -----------------------------------------------------------------------------------------------------------

# Frey-Law and Avin 2010 (194 papers), seconds = b0 * load ** b1; coefficients from memory (M), their order seen (V)
POWER = {
    "ankle": (34.71, -2.06), "trunk": (22.69, -2.27), "grip": (33.55, -1.61), "elbow": (17.98, -2.21),
    "knee": (19.38, -1.88), "shoulder": (14.86, -1.83),
}  # fmt: skip
EVEN, ODD = (0.2, 0.4, 0.6, 0.8, 1.0), (0.3, 0.5, 0.7, 0.9)


def published_hold(joint: str, load: float) -> float:
    b0, b1 = POWER[joint]
    return float(b0 * load**b1)


def hold_of(load: float, f: float, r: float, reserve: Reserve = NO_RESERVE) -> float:
    """Seconds until a fresh hold fails."""
    return float(hold_seconds(array(0.0), array(load), array(f), array(r), reserve))


def hold_error(values: Sequence[float], loads: Sequence[float]) -> float:
    """Root mean square of ln(model / curve); `values` are logarithms of reserve, its power, the elbow's F and R."""
    at_full, power, *elbow = np.exp(values).tolist()
    off = []
    for joint in POWER:
        f, r = elbow if joint == "elbow" else [constant("hold", joint, name) for name in ("fatigue", "recovery")]
        for load in loads:
            seconds = hold_of(load, f, r, Reserve(at_full=at_full, power=power))
            off.append(np.log(min(seconds, 1e6) / published_hold(joint, load)))
    return float(np.sqrt(np.mean(np.square(off))))


def fit_holds() -> list[float]:
    """Reserve, its power, the elbow's F and R, 1/s."""
    start = np.log([0.25, 4.0, 0.012, 0.0019])
    options = {"maxiter": 4000, "xatol": 1e-4, "fatol": 1e-7}
    found = minimize(hold_error, start, args=(EVEN,), method="Nelder-Mead", options=options)
    return list(np.exp(found.x).tolist())


# ---- what is printed -------------------------------------------------------------------------------------------------


def words(model: RestModel) -> str:
    return f"share {model.slow_share:.2f}, quick {model.quick_s:.1f} s, slow {model.slow_s:.0f} s"


def main() -> None:
    best, one_time, all_rows = fit(DECIDING), fit(DECIDING, ONE_TIME), fit([*DECIDING, *HELD_BACK])
    models = {"deciding half": best, "used": used_now(), "one time": one_time, "all rows, no check": all_rows}
    for name, model in models.items():
        halves_off = f"off {error(model, DECIDING):.2f} deciding, {error(model, HELD_BACK):.2f} held back"
        print(f"{name}: {words(model)}; {halves_off} (in half bands)")
    each = without_each()
    for name in ("slow_share", "quick_s", "slow_s"):
        values = [getattr(one, name) for one in each]
        print(f"without one study, {name}: {min(values):.2f} to {max(values):.2f}")
    for one in SET_STUDIES:
        half = ("decides" if DECIDES[one.key] else "held back") if one.fitted else "shown only"
        met = "met" if one.met(best) else "MISSED"
        print(f"{one.key} {half}: {one.said}: {one.published:g}, {one.ask(best):.2f}, {met}")
    found = fit_holds()
    print("holds: reserve {:.3f}, power {:.2f}, elbow F {:.5f}, R {:.5f}".format(*found))
    print(f"off {hold_error(np.log(found), EVEN):.3f} on even tenths, {hold_error(np.log(found), ODD):.3f} on odd ones")


if __name__ == "__main__":
    main()
