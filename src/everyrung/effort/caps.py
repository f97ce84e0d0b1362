"""How heavy a load may be for a rung at all, whatever the forecast says: where balance, not strength, is what gives.

Shares of body mass for everything held. They are chosen; no published limit for led classes was found.
"""

from everyrung.terms.enums import Press, Rotation, Support
from everyrung.terms.move import Form

TURN = 0.10  # chosen, because a turned back is what lists for brittle bones leave out, and the model has no twist limit
BALANCE = 0.25  # chosen, because on one foot half of the usual pair already sways
PRESS = 0.30  # chosen, because two pieces of 10 kg overhead are practised people's, at some 67 kg and more
_UNSTEADY = (Support.ONE_FOOT, Support.REAR_RAISED, Support.FEET_RAISED, Support.TOES)


def most_of_body_mass(form: Form) -> float:
    """The greatest load for a rung as a share of body mass; infinite where strength alone decides."""
    caps = [
        (form.rotation is not Rotation.NONE, TURN),
        (form.support in _UNSTEADY, BALANCE),
        (form.press is not Press.NONE, PRESS),
    ]
    return min((cap for holds, cap in caps if holds), default=float("inf"))
