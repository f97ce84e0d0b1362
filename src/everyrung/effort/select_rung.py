"""What someone's kit allows: which single weights and which pairs, and whether a rung's other things are there.

How heavy a load may be for a rung at all, whatever the forecast says: where balance, not strength, is what gives.

Shares of body mass for everything held. They are chosen; no published limit for led classes was found.

From round to round people stay with their move and position as far as they can: what a change of either costs.

Which rung with which load: for each person the led one if it leaves them enough, else what comes nearest to it.

Everyone is to finish with some repetitions to spare. Who lacks the kit for the led rung, or is to avoid it, takes what
comes nearest to it, the harder ones too, and stays with it through the rounds. First-timers are capped: the lightest
load, never a harder rung, after their rounds the easier one. Where nothing can be finished: hold or skip.
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from everyrung.effort.audience import Flags, Kit
from everyrung.effort.choices import Offer
from everyrung.effort.three_compartment import Array
from everyrung.moves.kit import kit_for
from everyrung.plan.doses import REP_MS
from everyrung.terms.enums import Level, LoadNeed, OptionKind, Press, Rotation, Support
from everyrung.terms.move import Form
from everyrung.terms.person import Own
from everyrung.terms.plan import Ref, Stock
from everyrung.terms.units import SAME_MASS_KG, Mass


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One way to hold something: a mass with the word for it (none for a dumbbell)."""

    mass: Mass
    word: str = ""

    def __str__(self) -> str:
        return f"{self.word} of {self.mass}" if self.word else str(self.mass)


def room_kit(stock: tuple[Stock, ...]) -> Kit:
    """What one person in the room can take: of what is there, enough for each (kit-short is another rule's)."""
    return tuple(
        Own(
            item=each.item,
            pieces=2 if each.pieces > 1 and each.mass else 1,
            mass=each.mass,
            diameter_cm=each.diameter_cm,
            rated_kg=each.rated_kg,
            grade=each.grade,
            height_cm=each.height_cm,
        )
        for each in stock
    )


def pieces(kit: Kit, need: LoadNeed) -> tuple[Piece, ...]:
    """The different masses that are there as often as needs, lightest first; a pair matches, whatever it is of."""
    count, thing = need.pieces, kit_for(need)
    things = [
        Piece(mass=own.mass, word=own.thing_name)
        for own in kit
        if own.mass and thing.is_met_by(own.item)
        for _ in range(own.pieces)
    ]
    result: list[Piece] = []
    for one in sorted(things, key=lambda each: each.mass.mass_kg):
        alike = sum(abs(other.mass.mass_kg - one.mass.mass_kg) <= SAME_MASS_KG for other in things)
        again = any(abs(other.mass.mass_kg - one.mass.mass_kg) <= SAME_MASS_KG for other in result)
        if alike >= count and not again:
            result.append(one)
    return tuple(result)


def allows(kit: Kit, offer: Offer) -> bool:
    """Whether this kit has everything but weights for an offer; walls and mats are everywhere (common practice, no
    source).
    """
    load = offer.form.load
    needs = [need for need in offer.kit if not need.item.has_mass or load not in (LoadNeed.ONE, LoadNeed.PAIR)]
    return all(any(need.is_met_by(own.item) for own in kit) for need in needs)


TURN = 0.10  # chosen, because a turned back is what lists for brittle bones leave out, and the model has no twist limit
BALANCE = 0.25  # chosen, because on one foot half of the usual pair already sways
PRESS = 0.30  # chosen, because two pieces of 10 kg overhead are practised people's, at some 67 kg and more
_UNSTEADY = (Support.ONE_FOOT, Support.REAR_RAISED, Support.FEET_RAISED, Support.TOES)


def most_of_body_mass(form: Form) -> float:
    """The greatest load for a rung as a share of body mass, all that is held counted; infinite where strength alone
    decides.

    >>> from everyrung import library
    >>> most_of_body_mass(library().move("overhead-press").ladder[2].form)
    0.3
    """
    caps = [
        (form.rotation is not Rotation.NONE, TURN),
        (form.support in _UNSTEADY, BALANCE),
        (form.press is not Press.NONE, PRESS),
    ]
    return min((cap for holds, cap in caps if holds), default=float("inf"))


MOVE, POSITION, DOWN = 1.0, 1.0, 2.0  # chosen: any change outweighs every difference in repetitions left, getting
# down to the floor most, because it costs time and is what people who come for the first time are least ready for
Column = tuple[str, str]
Places = NDArray[np.int64]


@dataclass(slots=True)
class ColumnHistory:
    """Where each person was last, by column of the session: move and position, by their places in `names`, and whether
    that is down on the floor (axis: person).
    """

    last: dict[Column, tuple[Places, Places, Flags]] = field(default_factory=dict)
    names: dict[str, int] = field(default_factory=dict)

    def apart(self, ref: Ref, led_offer: Offer, offer: Offer, people: int) -> tuple[Array, Flags]:
        """What `offer` costs each person as a change, in units of the score of `select_rung` (MOVE, POSITION, DOWN),
        and for whom it is the first time down to the floor here. In the first round they come from what is led.
        """
        moves, positions, down = self._before(ref, led_offer, people)
        move, position, floor = self._here(offer)
        first: Flags = ~down & floor
        cost = MOVE * (moves != move) + POSITION * (positions != position) + DOWN * first
        return np.asarray(cost, dtype=float), first

    def go_on(self, ref: Ref, led_offer: Offer, choices: list[tuple[Offer, NDArray[np.int64]]], people: int) -> None:
        """Notes that people have done these offers, by the places of each person; the rest stay where they were."""
        before = self._before(ref, led_offer, people)
        moves, positions, down = before[0].copy(), before[1].copy(), before[2].copy()
        for offer, places in choices:
            moves[places], positions[places], down[places] = self._here(offer)
        self.last[ref.block, ref.cell] = moves, positions, down

    def _before(self, ref: Ref, led_offer: Offer, people: int) -> tuple[Places, Places, Flags]:
        if (ref.block, ref.cell) in self.last:
            return self.last[ref.block, ref.cell]
        move, position, floor = self._here(led_offer)
        return np.full(people, move), np.full(people, position), np.full(people, floor)

    def _here(self, offer: Offer) -> tuple[int, int, bool]:
        move, position = (
            self.names.setdefault(name, len(self.names)) for name in (offer.form.move, offer.form.position)
        )
        return move, position, offer.form.position.on_floor


TARGET_LEFT = {
    Level.GENTLE: 4.0,
    Level.MODERATE: 3.0,
    Level.HARD: 2.0,
}  # repetitions; chosen, because the guidelines ask
# for an effort short of failure in open classes, and a gentle one further from it
NEWCOMER_LEFT = 4.0  # chosen, because those who do not know themselves misjudge by 2 (Hackett 2017)
TOO_EASY_LEFT = 10.0  # chosen, because farther from failure nobody can tell how far (Hackett 2017: over 2 at 7 to 10)
TOO_EASY_TIMES = 2.0  # what is asked; chosen, because who could do the set three times over is not trained by it
S_A_REP = REP_MS / 1000  # seconds of a hold that count for a repetition
NOTHING = -1
LED, HARDER_BETTER, IN_PLACE, ONLY_JUST, NEVER = 10.0, 5.0, 20.0, 40.0, np.inf  # tiers, the lowest is taken


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One offer with one load in kg: what it asks, by person whether it may be done, and what it leaves, in
    repetitions.

    `above`: it is a harder rung than the led one. By person `apart` is what changing to it costs after the round
    before, `first_down` whether it would take them to the floor for the first time there.
    """

    offer: int
    kind: OptionKind | None
    load_kg: float
    dose: float
    may: Flags
    left: Array
    grade: int
    above: bool
    apart: Array
    first_down: Flags


def targets(level: Level, new: Flags) -> Array:
    """Repetitions to be left, by person; more for those who are new.

    >>> targets(Level.HARD, np.array([False, True])).tolist()
    [2.0, 4.0]
    """
    return np.where(new, np.maximum(NEWCOMER_LEFT, TARGET_LEFT[level]), TARGET_LEFT[level])


def select_rung(candidates: list[Candidate], target: Array, new: Flags, *, newcomers_led: bool) -> NDArray[np.int64]:
    """The place of each person's candidate, by person; NOTHING where none can be finished. `target` is by person,
    repetitions.

    `newcomers_led` is false in the rounds that first-timers are not led through.
    """
    easy = _too_easy(candidates, target, new)
    able = np.zeros(len(new), dtype=bool)
    for one in candidates:
        able |= one.may & (one.kind is None)
    scores = np.stack([_score(one, target, new, easy, able, newcomers_led) for one in candidates])
    best = scores.argmin(axis=0)
    choice: NDArray[np.int64] = np.where(np.isfinite(scores.min(axis=0)), best, NOTHING)
    return choice


def _too_easy(candidates: list[Candidate], target: Array, new: Flags) -> Flags:
    """Who would be left with more than anyone can judge by the heaviest led load that they have."""
    least, most = np.full(len(new), np.inf), TOO_EASY_LEFT
    for one in candidates:
        if one.kind is None:
            least = np.where(one.may & (one.left >= target), np.minimum(least, one.left), least)
            most = max(most, TOO_EASY_TIMES * one.dose)
    result: Flags = np.isfinite(least) & (least > most) & ~new
    return result


def _score(one: Candidate, target: Array, new: Flags, easy: Flags, able: Flags, newcomers_led: bool) -> Array:
    """Tier and, below 1, the order within it: of loads the heaviest (first-timers: the lightest), of rungs the one
    that leaves least above the target. Who may do the led rung (`able`) takes the harder one only where that is too
    easy."""
    enough = one.left >= target
    near = np.minimum(one.left - target, 99.0) / 100 - np.where(new, 0.0, one.grade / 1000)  # alike: the higher
    weight = one.load_kg / 1000
    by_load = np.where(new, weight, 0.5 - weight)
    if one.kind is None:
        tier = np.where(new & (not newcomers_led), IN_PLACE + 5, LED) + by_load
    elif one.kind is OptionKind.HARDER:
        tier = np.where(easy, HARDER_BETTER, np.where(able, IN_PLACE + 10, IN_PLACE + one.apart)) + near
    else:
        tier = IN_PLACE + near + one.apart + np.where(new, weight, 0.0)
    just = ONLY_JUST - np.clip(one.left, 0, 99) / 100 + (10 if one.kind is OptionKind.HARDER else 0)
    score: Array = np.where(enough, tier, np.where(one.left >= 0, just, NEVER))
    off_limits = new & (one.above | (one.first_down & (one.kind is not None) & (not newcomers_led)))
    return np.where(one.may & ~off_limits, score, NEVER)
