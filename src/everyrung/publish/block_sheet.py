"""The sheet of a block: one page on screen and in print, and in plain words for parents, members or a channel."""

from collections.abc import Iterator
from typing import Any

from everyrung.blocks.block_view import BlockView, EveningView
from everyrung.publish.block_drawing import block_svg
from everyrung.publish.pages import page
from everyrung.publish.typeset import pdf
from everyrung.terms.block_brief import day_words
from everyrung.weeks.week_load import WeekLoad


def block_html(view: BlockView) -> str:
    """The page: it needs nothing else."""
    return page("block.html", **_content(view))


def block_pdf(view: BlockView) -> bytes:
    """The same on paper, tagged for screen readers."""
    return pdf("block.typ", "block", _content(view))


def block_words(view: BlockView) -> str:
    """The block in plain words, to be sent on."""
    lines = [f"{view.title}: {view.weeks} weeks{f', {view.place}' if view.place else ''}", ""]
    lines += [f"{number}. {each['day']}, {each['minutes']} min. {each['change']}" for number, each in _rows(view)]
    return "\n".join(lines) + "\n"


def _content(view: BlockView) -> dict[str, Any]:
    return {
        "title": view.title,
        "place": view.place,
        "svg": block_svg(view),
        "alt": alt_words(view),
        "rows": [{"number": number, **row} for number, row in _rows(view)],
        "loads": [*balance_lines(view), *(load_words(week, load) for week, load in view.loads.items())],
        "with_people": bool(view.people),
    }


def _rows(view: BlockView) -> Iterator[tuple[int, dict[str, str]]]:
    for number, each in enumerate(view.evenings, 1):
        minutes = str(-int(-each.minutes // 1))
        yield number, {"day": day_words(each.on), "minutes": minutes, "change": each.change}


def alt_words(view: BlockView) -> str:
    """What the picture shows, in words."""
    patterns = ", ".join(str(each) for each in view.patterns)
    first, most = view.evenings[0], max(view.evenings, key=_demand)
    return (
        f"{view.weeks} weeks side by side with {len(view.evenings)} evenings; sets of {patterns}; what is asked rises "
        f"from {first.demand:.1f} to {most.demand:.1f} sets' worth."
    )


def _demand(evening: EveningView) -> float:
    return evening.demand


def balance_lines(view: BlockView) -> Iterator[str]:
    """How many minutes of work on balance each week has; nothing for a block without any."""
    by_week = dict.fromkeys(range(1, view.weeks + 1), 0.0)
    for each in view.evenings:
        by_week[each.week] += each.balance_minutes
    if any(by_week.values()):
        minutes = ", ".join(f"{minutes:.0f}" for minutes in by_week.values())
        yield f"Balance, minutes of work week by week: {minutes}."


def load_words(week: int, load: WeekLoad) -> str:
    """A week's load in words; monotony and strain only where days differ."""
    words = f"Week {week}: load {load.total:.0f} (effort times minutes)"
    if load.monotony is None or load.strain is None:
        return f"{words}; all days alike, so monotony and strain are not defined."
    return f"{words}, monotony {load.monotony:.1f}, strain {load.strain:.0f}."
