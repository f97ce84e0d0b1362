"""Loads in the hands, as tests of bodies hold them."""

from everyrung.body.contacts import Held


def in_hand(mass_kg: float, side: str) -> Held:
    """A load in the left hand, the right hand, or in both (half of it in each)."""
    sides = ("left", "right") if side == "both" else (side,)
    return Held(mass_kg=mass_kg, points=tuple(f"grip_{one}" for one in sides))
