"""From round to round people stay with their move and position as far as they can: what a change of either costs."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from everyrung.effort.audience import Flags
from everyrung.effort.choices import Offer
from everyrung.effort.three_compartment import Array
from everyrung.terms.plan import Ref

MOVE, POSITION, DOWN = 1.0, 1.0, 2.0  # chosen: any change outweighs every difference in repetitions left, getting
# down to the floor most, because it costs time and is what people who come for the first time are least ready for
Column = tuple[str, str]
Names = NDArray[np.object_]


@dataclass(slots=True)
class Path:
    """By column of the session the move and the position that each person was in last."""

    last: dict[Column, tuple[Names, Names, Flags]] = field(default_factory=dict)

    def apart(self, ref: Ref, led: Offer, offer: Offer, people: int) -> tuple[Array, Flags]:
        """What it costs each person to go on with `offer`, and for whom it is the first time down to the floor here.

        In the first round they come from what is led.
        """
        moves, positions, down = self.last.get((ref.block, ref.cell)) or _all(led, people)
        position, floor = offer.form.position, offer.form.position.on_floor
        first: Flags = ~down & floor
        cost = MOVE * (moves != offer.form.move) + POSITION * (positions != position) + DOWN * first
        return np.asarray(cost, dtype=float), first

    def go_on(self, ref: Ref, led: Offer, taken: list[tuple[Offer, NDArray[np.int64]]], people: int) -> None:
        """People have done these offers, by their places; the rest stay where they were."""
        before = self.last.get((ref.block, ref.cell)) or _all(led, people)
        moves, positions, down = before[0].copy(), before[1].copy(), before[2].copy()
        for offer, places in taken:
            moves[places], positions[places] = offer.form.move, offer.form.position
            down[places] = offer.form.position.on_floor
        self.last[ref.block, ref.cell] = moves, positions, down


def _all(led: Offer, people: int) -> tuple[Names, Names, Flags]:
    form = led.form
    return (
        np.full(people, form.move, dtype=object),
        np.full(people, form.position, dtype=object),
        np.full(people, form.position.on_floor),
    )
