"""Loads in the hands, as tests of bodies hold them."""

from everyrung.body.contacts import HeldLoad


def in_hand(mass_kg: float, side: str) -> HeldLoad:
    """A load in the left hand, the right hand, or in both (half of it in each)."""
    sides = ("left", "right") if side == "both" else (side,)
    return HeldLoad(mass_kg=mass_kg, points=tuple(f"grip_{one}" for one in sides))
