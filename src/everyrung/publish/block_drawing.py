"""A block of weeks drawn as a score: weeks on one axis; lanes for patterns, for what is asked, and for who came."""

from collections.abc import Iterator
from dataclasses import dataclass

from everyrung.blocks.block_view import BlockView, EveningView, PersonEvening
from everyrung.score.marks import cut, group, line, num, tag, text, words
from everyrung.terms.block_brief import EveningKind

WIDE, EDGE, NAME = 720.0, 8.0, 96.0  # of the picture, its edge and the names of lanes, in px; chosen, as A4 landscape
LANE, TALL, SMALL, SIZE = 17.0, 58.0, 8.5, 10.0
SET = 3.0  # px of a stroke for each set
MOST_SETS = 8
PERSON = 36.0
NARROW = (
    36.0  # between evenings, in px, below which days and answers are written short; chosen, as 'Mon 11.1.' is so wide
)


@dataclass(slots=True, kw_only=True)
class _Page:
    """The drawing while it grows: `y` is where the next lane begins."""

    view: BlockView
    y: float = EDGE
    parts: list[str]

    def x(self, evening: EveningView) -> float:
        """The middle of an evening: evenings of a week stand side by side within it."""
        week = [each for each in self.view.evenings if each.week == evening.week]
        wide = (WIDE - NAME - 2 * EDGE) / self.view.weeks
        return NAME + EDGE + wide * (evening.week - 1 + (week.index(evening) + 0.5) / len(week))

    @property
    def narrow(self) -> bool:
        """Whether evenings stand so close that words beside them are short."""
        return (WIDE - NAME - 2 * EDGE) / len(self.view.evenings) < NARROW

    def week_x(self, week: int) -> float:
        """Where a week begins."""
        return NAME + EDGE + (WIDE - NAME - 2 * EDGE) / self.view.weeks * (week - 1)

    def name(self, lane: str, tall: float) -> None:
        """A lane's name, and the line that it stands on."""
        self.parts.append(text(EDGE, self.y + tall - 4, cut(lane, NAME - 4, SIZE), SIZE))
        floor = line(NAME + EDGE, self.y + tall, WIDE - EDGE, self.y + tall, stroke="currentColor", opacity="0.35")
        self.parts.append(floor)


def block_svg(view: BlockView) -> str:
    """The picture, in the ink of the page it stands on; `view_words` says the same."""
    page = _Page(view=view, parts=[])
    _weeks(page)
    for pattern in view.patterns:
        page.name(str(pattern), LANE)
        for each in view.evenings:
            page.parts += _strokes(page.x(each), page.y + LANE, each.sets.get(pattern, 0))
        page.y += LANE
    page.y += 6
    _demand(page)
    _changes(page)
    if any(each.heads is not None for each in view.evenings):
        _heads(page)
    for name, evenings in view.people.items():
        _person(page, name, evenings)
    height = page.y + EDGE
    bars = [
        line(page.week_x(week), EDGE + 14, page.week_x(week), height - EDGE, stroke="currentColor", opacity="0.35")
        for week in range(1, view.weeks + 1)
    ]
    title = tag("title", words(f"{view.title}: {view.weeks} weeks"))
    return tag(
        "svg", title + group(bars, stroke_width="0.6") + group(page.parts), xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {num(WIDE)} {num(height)}", role="img", fill="currentColor",
        font_family="'Hanken Grotesk', sans-serif",
    )  # fmt: skip


def _weeks(page: _Page) -> None:
    """The head: the number of each week, and its evenings' days."""
    for week in range(1, page.view.weeks + 1):
        page.parts.append(text(page.week_x(week) + 3, page.y + 10, f"Week {week}", SIZE, font_weight="600"))
    for each in page.view.evenings:
        day = f"{each.on.day}.{each.on.month}."
        day = day if page.narrow else f"{each.on:%a} {day}"
        page.parts.append(text(page.x(each), page.y + 24, day, SMALL, text_anchor="middle"))
    page.y += 32


def _strokes(x: float, floor: float, count: int) -> Iterator[str]:
    """A stroke for each set, side by side, as tallies are kept."""
    count = min(count, MOST_SETS)
    for at in range(count):
        left = x + (at - (count - 1) / 2) * SET
        yield line(left, floor - 3, left, floor - LANE + 5, stroke="currentColor", stroke_width="1.6")


def _demand(page: _Page) -> None:
    """What each evening asks of the middle person, over one floor; of an easier one and of a test a ring."""
    page.name("what it asks", TALL)
    most = max(each.demand for each in page.view.evenings) or 1.0
    floor = page.y + TALL
    for each in page.view.evenings:
        x, top = page.x(each), floor - (TALL - 16) * each.demand / most
        builds = each.kind in (EveningKind.BUILD, EveningKind.BY_HAND)
        page.parts.append(line(x, floor, x, top, stroke="currentColor", stroke_width="0.8"))
        shape = tag("circle", cx=x, cy=top, r=3.0, fill="currentColor" if builds else "none", stroke="currentColor")
        page.parts.append(shape)
        page.parts.append(text(x, top - 6, f"{each.demand:.1f}", SMALL, text_anchor="middle"))
    page.y += TALL + 6


def _changes(page: _Page) -> None:
    """A letter for what is new on each evening; the list below the picture has it in words."""
    page.name("what is new", LANE)
    for number, each in enumerate(page.view.evenings, 1):
        page.parts.append(text(page.x(each), page.y + LANE - 4, str(number), SIZE, text_anchor="middle"))
    page.y += LANE


def _heads(page: _Page) -> None:
    page.name("who came", LANE)
    for each in page.view.evenings:
        if each.heads is not None:
            page.parts.append(text(page.x(each), page.y + LANE - 4, str(each.heads), SIZE, text_anchor="middle"))
    page.y += LANE


def _person(page: _Page, name: str, evenings: tuple[PersonEvening, ...]) -> None:
    """A quiet line of the heaviest that somebody held, evening by evening, with how many were left below it."""
    page.name(name, PERSON)
    views = {each.on: each for each in page.view.evenings}
    most = max((each.kg for each in evenings), default=0.0)
    floor = page.y + PERSON - 13
    points = [(page.x(views[each.on]), floor - 10 * (each.kg / most if most else 0.0)) for each in evenings]
    path = "M" + "L".join(f"{num(x)} {num(y)}" for x, y in points)
    page.parts.append(tag("path", d=path, fill="none", stroke="currentColor", stroke_width="1"))
    for (x, y), each in zip(points, evenings, strict=True):
        page.parts.append(tag("circle", cx=x, cy=y, r=1.8))
        if each.left is not None:
            left = f"{each.left:g}" if page.narrow else f"{each.left:g} left"
            page.parts.append(text(x, page.y + PERSON - 3, left, SMALL, text_anchor="middle"))
        if each is evenings[0] or each is evenings[-1]:
            load = f"{each.kg:g} kg" if each.kg else "no load"
            anchor = "end" if x > WIDE - 60 else "start"
            page.parts.append(text(x + (4 if anchor == "start" else -4), y - 3, load, SMALL, text_anchor=anchor))
    page.y += PERSON
