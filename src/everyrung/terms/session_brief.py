"""A coach's brief: what she wants of a session before there is a plan."""

from enum import StrEnum

from everyrung.terms.brief import Brief
from everyrung.terms.enums import Caution, Level, Pattern
from everyrung.terms.errors import Invalid, require
from everyrung.terms.frozen import dataclass
from everyrung.terms.plan import Stock, Who

LEAST_MINUTES, MOST_MINUTES = 10, 120  # chosen: in less no warm-up is left, in more nobody is led without a break
MOST_ROUNDS = 5  # chosen, because each round is to be a measured step harder, and no ladder has more steps for all
MOST_PEOPLE = 10_000  # chosen, because more are no class


class Style(StrEnum):
    """How the moves of the main part follow each other."""

    ROUNDS = "rounds"
    PAIRS = "pairs of moves"
    STRAIGHT = "straight sets"

    @property
    def moves_together(self) -> int:
        """How many moves take turns before the next are begun; 0 is all of them."""
        return {Style.ROUNDS: 0, Style.PAIRS: 2, Style.STRAIGHT: 1}[self]


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class SessionBrief(Brief):
    """What is wanted, and for whom; everything has a default.

    `focus` are patterns to train, none means all; `include` and `exclude` are moves, `lately` those led a short while
    ago. `rounds` 0 leaves their number open. `floor` False keeps everyone off the floor.
    """

    minutes: int = 30
    focus: tuple[Pattern, ...] = ()
    kit: tuple[Stock, ...] = ()
    in_room: int = 8
    at_home: int = 0
    newcomers: bool = False
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
        require(self.in_room + self.at_home > 0, "in_room", "at least one person in the room or at home", 0)
        both = sorted(set(self.include) & set(self.exclude))
        if both:
            raise Invalid(
                "exclude", "moves that are not wanted as well", ", ".join(both), remedy="Wish for one of the two."
            )

    @property
    def who(self) -> Who:
        """Those who come, as a plan says it."""
        return Who(in_room=self.in_room, at_home=self.at_home, newcomers=self.newcomers, limits=self.limits)


def _within(field: str, value: int, least: int, most: int, expected: str) -> None:
    """Raises Invalid, with the nearest that would do, for a number out of bounds."""
    if not least <= value <= most:
        raise Invalid(field, expected, value, nearest=str(min(most, max(least, value))))
