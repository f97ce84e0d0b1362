"""The evenings of a block: their days, which weeks are easier, and which evening is the test."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from itertools import combinations

from everyrung.terms.block_brief import BlockBrief, Evening, EveningKind
from everyrung.terms.errors import Invalid

FEWEST_APART, MOST_APART = 4, 6  # weeks from one easier week to the next: CN19, 5.6 +- 2.3 weeks (Bell 2024)
WEEK = timedelta(days=7)


def evenings_of(brief: BlockBrief, kinds: Mapping[date, EveningKind] | None = None) -> tuple[Evening, ...]:
    """Every evening that takes place, in the order of time; what those in `kinds` were for stays. Raises Invalid
    for a closed day that has no class, with the nearest that has one, and where no evening is left.
    """
    every = sorted(_every(brief), key=lambda each: each.on)
    days = [each.on for each in every]
    for name, some in (("closed", brief.days_off), ("missed", brief.misses)):
        for day in some:
            if day not in days:
                near = min(days, key=lambda other: abs((other - day).days))
                raise Invalid(name, "an evening of the block", day.isoformat(), nearest=near.isoformat())
    there = [each for each in every if each.on not in (*brief.days_off, *brief.misses)]
    if not there:
        raise Invalid("closed", "a block with an evening left", "every evening", remedy="Leave one of them open.")
    kinds_before = kinds or {}
    easier = easier_weeks(brief, there, {each.week: kinds_before[each.on] for each in there if each.on in kinds_before})
    evenings = [replace(each, kind=EveningKind.EASIER) if _eases(each, easier, there) else each for each in there]
    return tuple(replace(each, kind=kinds_before.get(each.on, each.kind)) for each in _with_test(evenings))


def _eases(evening: Evening, easier: Sequence[int], there: Sequence[Evening]) -> bool:
    """Whether an evening is easier: in such a week, where there was one of its weekday before."""
    led_before = any(each.weekly == evening.weekly and each.week < evening.week for each in there)
    return evening.week in easier and led_before


def _every(brief: BlockBrief) -> Iterator[Evening]:
    for week in range(brief.weeks):
        for place, each in enumerate(brief.weekly):
            days = (each.day.number - brief.first.weekday()) % 7
            yield Evening(on=brief.first + WEEK * week + timedelta(days=days), week=week + 1, weekly=place)


def easier_weeks(brief: BlockBrief, there: Sequence[Evening], before: Mapping[int, EveningKind]) -> tuple[int, ...]:
    """The weeks that are easier: each 4 to 6 after the last, at most 5 after the last of them. Of all such choices
    those in which the test takes no easier week's place, then those with most evenings closed in them, with the fewest
    easier weeks, the most even. Weeks `before` stay what they were, where that leaves a choice.
    """
    open_evenings = {week: sum(each.week == week for each in there) for week in range(1, brief.weeks + 1)}
    choices = [
        weeks
        for count in range(1, brief.weeks // FEWEST_APART + 1)
        for weeks in combinations(range(FEWEST_APART, brief.weeks + 1), count)
        if _well_apart(weeks, brief.weeks)
    ]

    def cost(weeks: tuple[int, ...]) -> tuple[float, ...]:
        empty = sum(len(brief.weekly) - open_evenings[week] for week in weeks)
        gaps = _gaps(weeks)
        by_test = sum([each for each in there if each.week == week] == [there[-1]] for week in weeks)
        return by_test, -empty, len(weeks), max(gaps) - min(gaps), -weeks[0]

    was = {week: kind is EveningKind.EASIER for week, kind in before.items() if kind is not EveningKind.BY_HAND}
    as_they_were = [weeks for weeks in choices if all((week in weeks) == easy for week, easy in was.items())]
    return min(as_they_were or choices, key=cost)


def _gaps(weeks: Sequence[int]) -> list[int]:
    return [after - before for before, after in zip((0, *weeks), weeks, strict=False)]


def _well_apart(weeks: Sequence[int], all_weeks: int) -> bool:
    near = all(FEWEST_APART <= gap <= MOST_APART for gap in _gaps(weeks))
    return near and all_weeks - weeks[-1] < MOST_APART


def _with_test(evenings: Sequence[Evening]) -> list[Evening]:
    """The last evening of all is the test: it repeats the first of its weekday, so that the two can be compared. Where
    that would be the same one, there is no test.
    """
    last = evenings[-1]
    twins = [each for each in evenings[:-1] if each.weekly == last.weekly and each.kind is EveningKind.BUILD]
    return [*evenings[:-1], replace(last, kind=EveningKind.TEST)] if twins else list(evenings)


def twin_of(test: Evening, evenings: Sequence[Evening]) -> Evening:
    """The evening that a test repeats: the first of the same weekday."""
    return next(each for each in evenings if each.weekly == test.weekly and each.kind is EveningKind.BUILD)


def parts_of(evenings: Sequence[Evening]) -> dict[int, int]:
    """To which part of the block each week belongs, from 0: parts end with an easier week, and moves change between
    them. Two weeks or fewer at the end are no part of their own: they stay with the part before.
    """
    weeks = max(each.week for each in evenings)
    easier = sorted({each.week for each in evenings if each.kind is EveningKind.EASIER})
    ends = [week for week in easier if weeks - week > SHORT_END]
    return {week: sum(end < week for end in ends) for week in range(1, weeks + 1)}


SHORT_END = 2  # weeks; chosen, because in so few a new move is learned and no more
