"""What a coach wants of a block of weeks, and what an evening of it is."""

from datetime import date, time
from enum import StrEnum

from everyrung.terms.brief import Brief
from everyrung.terms.enums import Pattern
from everyrung.terms.errors import Invalid, require
from everyrung.terms.frozen import dataclass
from everyrung.terms.session_brief import SessionBrief

FEWEST_WEEKS, MOST_WEEKS = 4, 12  # chosen: in fewer nothing can be built up, more are two blocks
MOST_EVENINGS = 4  # a week; chosen, because no class meets more often


class Weekday(StrEnum):
    """The days of a week, in their order."""

    MONDAY = "Monday"
    TUESDAY = "Tuesday"
    WEDNESDAY = "Wednesday"
    THURSDAY = "Thursday"
    FRIDAY = "Friday"
    SATURDAY = "Saturday"
    SUNDAY = "Sunday"

    @property
    def number(self) -> int:
        """0 for Monday, as `date.weekday` counts."""
        return list(Weekday).index(self)


class EveningKind(StrEnum):
    """What an evening is for."""

    BUILD = "build"
    EASIER = "easier"
    TEST = "test"
    BY_HAND = "by hand"


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class WeeklyEvening(Brief):
    """An evening that comes every week: its day, the time on the wall, and what is wanted of it."""

    day: Weekday
    starts: time
    session: SessionBrief

    @property
    def ends_minute(self) -> int:
        """When it ends, in minutes of the day."""
        return self.starts.hour * 60 + self.starts.minute + self.session.minutes


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class BlockBrief(Brief):
    """A block of `weeks` from the day `first` on. `days_off` are days without a class, known beforehand; `misses`
    those that fell out. `aims` are the patterns that every week has to have, none means the whole body. `balance`:
    people of 65 or more come, so balance is practised every evening.
    """

    title: str
    first: date
    weeks: int
    weekly: tuple[WeeklyEvening, ...]
    days_off: tuple[date, ...] = ()
    misses: tuple[date, ...] = ()
    aims: tuple[Pattern, ...] = ()
    balance: bool = False
    zone: str = ""
    place: str = ""
    link: str = ""
    people: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        require(bool(self.title.strip()), "title", "what the block is called", self.title)
        if not FEWEST_WEEKS <= self.weeks <= MOST_WEEKS:
            near = str(min(MOST_WEEKS, max(FEWEST_WEEKS, self.weeks)))
            raise Invalid("weeks", f"{FEWEST_WEEKS} to {MOST_WEEKS} weeks", self.weeks, nearest=near)
        count = len(self.weekly)
        require(1 <= count <= MOST_EVENINGS, "evenings", f"1 to {MOST_EVENINGS} evenings a week", count)
        require(len({each.day for each in self.weekly}) == count, "evenings", "one evening a day", "two on one day")
        both = sorted(set(self.days_off) & set(self.misses))
        if both:
            raise Invalid("missed", "days that are not closed as well", both[0].isoformat(), remedy="Keep it in one.")


def day_words(on: date) -> str:
    """'Monday 11 January'."""
    return f"{on:%A} {on.day} {on:%B}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Evening:
    """One evening of a block: its day, its week from 1, which of the week's evenings it is, and what it is for."""

    on: date
    week: int
    weekly: int
    kind: EveningKind = EveningKind.BUILD
