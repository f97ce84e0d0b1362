"""Published loads on hands and feet, and two moments of whole movements, as poses of the model; rows NU and CN of the
table of published checks.

Push-ups start from the rungs of the library: what a study says of its people's form is laid over, nothing else. Printed
by two_choices.py with the other studies.
"""

from collections.abc import Callable
from itertools import pairwise

import studies
from studies import MAN, WOMAN, Found, Study, at_depth, sagittal, shown

from everyrung.body.inverse_dynamics import GRAVITY
from everyrung.terms.demand import Demand
from everyrung.terms.enums import Support
from everyrung.terms.person import BodySize

STRAIGHT, HALF, LOW = 0, 4, -1  # places among the nine depths
TRUNK = ("trunk_extensors_right", "rectus_abdominis_right", "obliques_right")
FULL_EFFORT = 0.8  # of the hardest joint's strength at 8RM; from memory: 8 repetitions are had at some 80 % of the most


def on_hands(rung: str, size: BodySize, place: int, extra: str = "") -> float:
    """The part of the body's weight that both hands bear."""
    found = at_depth(rung, size, extra, place=place)
    return sum(one.normal_n for one in found.reactions if "hand" in one.contact) / (size.mass_kg * GRAVITY)


def within(*rows: tuple[float, float, float]) -> Found:
    """Values, each with the least and the most that are a hit."""
    margin = min(min(value - low, high - value) / value for value, low, high in rows)
    return Found(numbers=", ".join(f"{value:.1%}" for value, _, _ in rows), margin=margin)


def mier(rung: str, place: int, *rows: tuple[BodySize, float, float]) -> Callable[[], Found]:
    return lambda: within(*((on_hands(rung, size, place), low, high) for size, low, high in rows))


def peak(rung: str, extra: str = "") -> float:
    return max(on_hands(rung, MAN, place, extra) for place in (STRAIGHT, LOW))


def raised(part: str, height: str) -> str:
    return f'touch = {{ {part} = {{ on = "chair", height = "{height}" }} }}\n'


def ladder() -> tuple[float, ...]:
    """Ebben's six versions, from the hardest as he found it."""
    return (
        peak("push-up/feet-raised", raised("toes", "61 cm")),
        peak("push-up/feet-raised", raised("toes", "30 cm")),
        peak("push-up/base"),
        peak("push-up/chair", raised("hand", "30 cm")),
        peak("push-up/knees"),
        peak("push-up/chair", raised("hand", "61 cm")),
    )


def gouvali() -> Found:
    spread = 0.038  # of Mier's people, for Gouvali's is not in the abstract
    normal, knees = (on_hands(rung, MAN, STRAIGHT) for rung in ("push-up/base", "push-up/knees"))
    return within((normal, 0.664 - spread, 0.664 + spread), (knees, 0.529 - spread, 0.529 + spread))


def ebben() -> Found:
    """As the abstract says it: feet raised, regular, then knees and hands raised."""
    feet, _, normal, _, knees, hands = ladder()
    margin = min(feet - normal, normal - knees, normal - hands) / normal
    return Found(
        numbers=f"feet raised, regular, knees, hands raised {shown(feet, normal, knees, hands)}", margin=margin
    )


def ebben_order() -> Found:
    found = ladder()
    numbers = f"feet 61, feet 30, standard, hands 30, knees, hands 61 cm {shown(*found)}"
    return Found(numbers=numbers, margin=min(one - other for one, other in pairwise(found)) / found[2])


def ebben_ratios() -> Found:
    """To the standard push-up; a tenth of it is a hit. As shares they contradict Mier's, which were seen."""
    found, said = ladder(), (0.74, 0.70, 0.64, 0.55, 0.49, 0.41)
    ratios = [value / found[2] for value in found]
    margin = min(0.1 - abs(one - other / said[2]) for one, other in zip(ratios, said, strict=True))
    return Found(numbers=f"of the standard {shown(*ratios)}", margin=margin)


def chair_ratio() -> Found:
    chair, normal = (on_hands(rung, MAN, STRAIGHT) for rung in ("push-up/chair", "push-up/base"))
    return within((chair / normal, 0.65, 0.85))


def helme() -> Found:
    found = [at_depth("split-squat/back-foot-ball", MAN, place=place) for place in (STRAIGHT, HALF, LOW)]
    shares = [one.reaction("foot right").normal_n / sum(each.force_n[2] for each in one.reactions) for one in found]
    return within((sum(shares) / len(shares), 0.808, 0.880))


def yoshioka() -> Found:
    """Whether the greatest of depths 15 degrees of the knee apart is that whose thigh is nearest to level."""
    knees = (60.0, 75.0, 90.0, 105.0, 120.0, 135.0)
    sums = {knee: studies.hip_and_knee(knee) for knee in knees}
    level = min(knees, key=lambda knee: abs(studies.thigh_below_level(knee)))
    numbers = f"hip + knee at 60 to 135 degrees {shown(*sums.values(), per_cent=False)} N m, level at {level:.0f}"
    return Found(numbers=numbers, margin=(sums[level] - max(sums.values())) / sums[level])


def deadlifts() -> Found:
    """Stiff knees and bent knees, 60 kg in the hands."""
    stiff = at_depth("hip-hinge/pair", MAN, "", 60.0)
    text = "lines = { trunk = [0, 55], arm = 180 }\nangles = { knee_flexion = [4, 70] }\n"
    bent = at_depth("hip-hinge/pair", MAN, text, 60.0)
    knees = sagittal(stiff, "knee"), sagittal(bent, "knee")
    numbers = f"knee, stiff and bent {shown(*knees, per_cent=False)} N m"
    return Found(numbers=numbers, margin=min(-knees[0], knees[1]) / max(map(abs, knees)))


def at_full_effort(pose: Callable[[float], Demand]) -> Demand:
    """The pose with the load with which its hardest joint of legs and trunk is at FULL_EFFORT."""
    least, most = 0.0, 200.0
    for _ in range(7):
        middle = (least + most) / 2
        found = pose(middle)
        hardest = max(one.fraction or 0.0 for one in found.moments if one.motion.startswith(("hip", "knee", "trunk")))
        least, most = (middle, most) if hardest < FULL_EFFORT else (least, middle)
    return pose(least)


def mccurdy() -> Found:
    """Each at its own eight-repetition load."""
    bar = "hangs = { upper_back = 1 }\n"
    one_leg, two_legs, hinge = (
        at_full_effort(pose).activation(studies.GLUTEUS_MAXIMUS)
        for pose in (
            lambda kg: at_depth("squat/base", WOMAN, bar + "lines = { trunk = [3, 25] }\n", kg, Support.REAR_RAISED),
            lambda kg: at_depth("squat/base", WOMAN, bar, kg),
            lambda kg: at_depth("hip-hinge/pair", WOMAN, "", kg),
        )
    )
    same = 0.25 - abs(two_legs - hinge) / max(two_legs, hinge)
    numbers = f"one-leg squat, squat, stiff-leg deadlift {shown(one_leg, two_legs, hinge)}"
    return Found(numbers=numbers, margin=min(same, (one_leg - max(two_legs, hinge)) / one_leg))


def unstable_trunk() -> Found:
    """The same plank, once on a bench as high as a ball."""
    firm, ball = (
        at_depth("front-plank/ball", MAN, f'touch = {{ forearm = {{ on = "{ground}", height = 0.33 }} }}\n')
        for ground in ("chair", "ball underneath")
    )
    pairs = [tuple(one.activation(group) for one in (firm, ball)) for group in TRUNK]
    mean = [sum(each) / len(TRUNK) for each in zip(*pairs, strict=True)]
    return Found(numbers=f"trunk, on a bench and on a ball {shown(*mean)}", margin=studies.rising(*mean))


PUSH_STUDIES: tuple[Study, ...] = (
    Study(key="EM12", published="PeerJ 19751, 28 studies: trunk more on unstable supports (SMD 0.32 to 0.60)",
          ask=unstable_trunk),
    Study(key="NU01", published="Mier 2014: on the hands, arms straight, men 67.0 +- 3.8 %",
          ask=mier("push-up/base", STRAIGHT, (MAN, 0.632, 0.708))),
    Study(key="NU02",
          published="Mier 2014: low, men 74.6 +- 3.6 %", ask=mier("push-up/base", LOW, (MAN, 0.710, 0.782))),
    Study(key="NU03", published="Mier 2014: arms straight, women 65.1 +- 3.1 %",
          ask=mier("push-up/base", STRAIGHT, (WOMAN, 0.620, 0.682))),
    Study(key="NU04", published="Mier 2014: low, women, who went half as deep, 70.3 +- 3.1 %",
          ask=mier("push-up/base", HALF, (WOMAN, 0.672, 0.734))),
    Study(key="NU05", published="Mier 2014: from the knees, straight, men 52.5 +- 3.7, women 51.5 +- 3.1 %",
          ask=mier("push-up/knees", STRAIGHT, (MAN, 0.488, 0.562), (WOMAN, 0.484, 0.546))),
    Study(key="NU06", published="Mier 2014: from the knees, low, men 60.1 +- 4.5 %",
          ask=mier("push-up/knees", LOW, (MAN, 0.556, 0.646))),
    Study(key="NU07", published="Mier 2014: from the knees, low, women 56.6 +- 2.7 %",
          ask=mier("push-up/knees", LOW, (WOMAN, 0.539, 0.593))),
    Study(key="NU08", published="Gouvali 2005: at first, normal 66.4, knees 52.9 % (within Mier's 3.8)", ask=gouvali),
    Study(key="NU09", published="Ebben 2011: feet raised > regular > knees and hands raised", ask=ebben),
    Study(key="NU29", published="Helme 2022: lead foot, rear foot raised, 84.4 +- 3.6 %", ask=helme),
    Study(key="NU30", published="Yoshioka 2014: hip + knee moment greatest with the thigh level", ask=yoshioka),
    Study(key="NU32",
          published="PMC6323186: knee flexes in a stiff-leg, extends in a bent-knee deadlift", ask=deadlifts),
    Study(key="NU34",
          published="McCurdy 2018: gluteus maximus one-leg squat 66 > squat 40 = stiff-leg deadlift 41, at 8RM",
          ask=mccurdy),
    Study(key="CN09",
          published="Ebben 2011, retold: feet 61, 30, standard, hands 30, knees, hands 61 cm", ask=ebben_order),
    Study(key="CN10", published="Ebben 2011 (M): 1.16, 1.09, 1, 0.86, 0.77, 0.64 of the standard, within 0.1",
          ask=ebben_ratios),
    Study(key="CN11",
          published="Ebben 2011 (M, between two heights): hands on 45 cm 0.75 of the standard (0.65 to 0.85)",
          ask=chair_ratio),
)  # fmt: skip
BEYOND = {
    "NU10": "electromyography of the arms, which have torques here and no muscles",
}
