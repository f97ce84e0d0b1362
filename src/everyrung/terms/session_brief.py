"""A coach's brief: what she wants of a session before there is a plan."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from enum import StrEnum
from typing import Self

from everyrung.terms.brief import Brief
from everyrung.terms.enums import Caution, KitItem, Level, Pattern
from everyrung.terms.errors import Invalid, require
from everyrung.terms.frozen import dataclass
from everyrung.terms.person import Experience, Own, Person
from everyrung.terms.plan import Stock, Who

LEAST_MINUTES, MOST_MINUTES = 10, 120  # chosen: in less no warm-up is left, in more nobody is led without a break
MOST_ROUNDS = 5  # chosen, because each round is to be a measured step harder, and no ladder has more steps for all
MOST_PEOPLE = 10_000  # chosen, because more are no class


class Style(StrEnum):
    """How the moves of the main part follow each other."""

    ROUNDS = "rounds"
    PAIRS = "pairs of moves"
    STRAIGHT = "straight sets"
    STATIONS = "stations"

    @property
    def moves_together(self) -> int:
        """How many moves take turns before the next are begun; 0 is all of them."""
        return {Style.PAIRS: 2, Style.STRAIGHT: 1}.get(self, 0)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class SessionBrief(Brief):
    """What is wanted, and for whom; everything has a default.

    `focus` are patterns to train, none means all; `include` and `exclude` are moves, `lately` those led a short while
    ago. `rounds` 0 leaves their number open. `floor` False keeps everyone off the floor. `live`: those at home take
    part live online; `lip_readers`: somebody reads the leader's lips.
    """

    minutes: int = 30
    focus: tuple[Pattern, ...] = ()
    kit: tuple[Stock, ...] = ()
    in_room: int = 8
    at_home: int = 0
    newcomers: bool = False
    live: bool = False
    lip_readers: bool = False
    limits: tuple[Caution, ...] = ()
    level: Level = Level.MODERATE
    style: Style = Style.ROUNDS
    rounds: int = 0
    floor: bool = True
    include: tuple[str, ...] = ()
    exclude: tuple[str, ...] = ()
    lately: tuple[str, ...] = ()
    title: str = ""

    def __post_init__(self) -> None:
        _within("minutes", self.minutes, LEAST_MINUTES, MOST_MINUTES, f"{LEAST_MINUTES} to {MOST_MINUTES} minutes")
        _within("rounds", self.rounds, 0, MOST_ROUNDS, f"1 to {MOST_ROUNDS} rounds, or 0 to leave it open")
        _within("in_room", self.in_room, 0, MOST_PEOPLE, f"0 to {MOST_PEOPLE:,} people")
        _within("at_home", self.at_home, 0, MOST_PEOPLE, f"0 to {MOST_PEOPLE:,} people")
        if self.in_room + self.at_home == 0:
            raise Invalid("in_room", "at least one person in the room or at home", 0, nearest="1")
        require(self.at_home > 0 or not self.live, "live", "people at home, or no live", "live with 0 at home")
        both = sorted(set(self.include) & set(self.exclude))
        if both:
            raise Invalid(
                "exclude", "no move that must be in it as well", ", ".join(both), remedy="Wish for one of the two."
            )

    def for_people(self, people: Sequence[Person], *, at_home: bool) -> Self:
        """The same for people who are known, among those who come: what one of them has to avoid, and whether one is
        new. `at_home`: the kit that each of them has there is used as well.
        """
        if not people:
            return self
        limits = (*self.limits, *(limit for each in people for limit in each.health.limits))
        return replace(
            self,
            in_room=self.in_room if at_home else max(self.in_room, len(people)),
            at_home=max(self.at_home, len(people)) if at_home else self.at_home,
            newcomers=self.newcomers or any(each.level is Experience.NEW for each in people),
            limits=tuple(dict.fromkeys(limits)),
            kit=(*self.kit, *_kit_of_all(people)) if at_home else self.kit,
        )

    @property
    def items(self) -> tuple[KitItem, ...]:
        """The kit that is to be used, each thing once."""
        return tuple(sorted({stock.item for stock in self.kit if stock.item.counts_as_kit}))

    @property
    def who(self) -> Who:
        """Those who come, as a plan says it."""
        return Who(
            in_room=self.in_room,
            at_home=self.at_home,
            newcomers=self.newcomers,
            limits=self.limits,
            live=self.live,
            lip_readers=self.lip_readers,
        )


def _kit_of_all(people: Sequence[Person]) -> Iterator[Stock]:
    """What every one of them has, but balls, whose size is a person's own: as many pieces as whoever has fewest."""
    for own in people[0].kit:
        pieces = [max((each.pieces for each in other.kit if _same_thing(each, own)), default=0) for other in people]
        if min(pieces) and own.item is not KitItem.BALL and not own.word:
            yield Stock(item=own.item, each=min(pieces), mass=own.mass, grade=own.grade, height_cm=own.height_cm)


def _same_thing(one: Own, other: Own) -> bool:
    return replace(one, pieces=other.pieces) == other


def _within(field: str, value: int, least: int, most: int, expected: str) -> None:
    """Raises Invalid, with the nearest that would do, for a number out of bounds."""
    if not least <= value <= most:
        raise Invalid(field, expected, value, nearest=str(min(most, max(least, value))))
