"""Stature to bone lengths: every length is the survey's mean for people of that sex and stature."""

from dataclasses import dataclass

from everyrung.tables.anthropometry import measure
from everyrung.terms.body import BodySize, Sex

# From memory: de Leva 1996, J Biomech 29(9):1231-1233: the shoulder centre lies 10.4 % and the elbow centre 95.7 % of
# the way from acromion to radiale.
SHOULDER_DROP, ELBOW_DROP = 0.104, 0.957
# From memory: de Leva 1996, part lengths of the trunk in mm: xiphion to omphalion, suprasternale to xiphion.
TRUNK_PARTS_MM = {Sex.FEMALE: (205.3, 142.5), Sex.MALE: (215.5, 170.7)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Proportions:
    """Lengths in m of a standing barefoot body. Heights are above the floor."""

    stature_m: float
    cervicale_m: float
    xiphion_m: float
    omphalion_m: float
    shoulder_m: float
    hip_m: float
    knee_m: float
    ankle_m: float
    upper_arm_m: float
    forearm_m: float
    grip_m: float
    hand_m: float
    biacromial_m: float
    bicristal_m: float
    foot_m: float
    ball_of_foot_m: float
    foot_breadth_m: float
    seat_below_hip_m: float
    buttock_behind_hip_m: float
    head_length_m: float
    chest_depth_m: float

    @property
    def thigh_m(self) -> float:
        return self.hip_m - self.knee_m

    @property
    def shank_m(self) -> float:
        return self.knee_m - self.ankle_m

    @property
    def head_m(self) -> float:
        return self.stature_m - self.cervicale_m


def proportions(size: BodySize) -> Proportions:
    """The mean lengths for this sex and stature.

    The hip centre is taken level with the trochanterion; the wrist's as far above the stylion as the elbow's above the
    radiale, for so the arm's parts come within 4 % of de Leva's and its reach within 2 % of the survey's span.
    """

    def at(name: str) -> float:
        return measure(size.sex, name).at(size.stature_m)

    hip, knee = at("trochanterion_height"), at("lateral_femoral_epicondyle_height")
    omphalion, suprasternale = at("omphalion_height"), at("suprasternale_height")
    low, high = TRUNK_PARTS_MM[size.sex]
    acromion_radiale = at("acromion_radiale_length")
    hand = at("hand_length")
    knee_front = at("buttock_knee_length") - (hip - knee)  # both ends' flesh around the thigh bone
    return Proportions(
        stature_m=size.stature_m,
        cervicale_m=at("cervicale_height"),
        xiphion_m=omphalion + low / (low + high) * (suprasternale - omphalion),
        omphalion_m=omphalion,
        shoulder_m=at("acromial_height") - SHOULDER_DROP * acromion_radiale,
        hip_m=hip,
        knee_m=knee,
        ankle_m=at("lateral_malleolus_height"),
        upper_arm_m=(ELBOW_DROP - SHOULDER_DROP) * acromion_radiale,
        forearm_m=at("radiale_stylion_length"),
        grip_m=hand - (at("forearm_hand_length") - at("forearm_grip_length")),
        hand_m=hand,
        biacromial_m=at("biacromial_breadth"),
        bicristal_m=at("bicristal_breadth"),
        foot_m=at("foot_length"),
        ball_of_foot_m=at("ball_of_foot_length"),
        foot_breadth_m=at("foot_breadth"),
        seat_below_hip_m=at("sitting_height") - (size.stature_m - hip),
        buttock_behind_hip_m=knee_front - KNEE_FRONT_OF_CENTRE_M,
        head_length_m=at("head_length"),
        chest_depth_m=at("chest_depth"),
    )


KNEE_FRONT_OF_CENTRE_M = 0.055  # chosen, because the knee cap's front lies about so far before the knee's centre
