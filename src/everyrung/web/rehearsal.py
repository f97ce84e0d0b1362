"""What the Rehearse screen shows of a forecast: row by row who finishes, how hard it gets, and what gives out first."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from everyrung.checks.cells import every_cell
from everyrung.effort.words import effort_range, kind_words
from everyrung.results.analysis import Analysis
from everyrung.terms.enums import BlockKind, OptionKind
from everyrung.terms.forecast import LEAST_MOVED, CellForecast, Forecast, Rating, RungForecast, Share, Spread
from everyrung.terms.plan import Ref
from everyrung.terms.session import Cell
from everyrung.web.grid import cell_id

KINDS = (OptionKind.HARDER, None, OptionKind.EASIER, OptionKind.NO_KIT)
MOST_STOPS = 3  # parts on one figure; chosen, because more patches than that are not told apart
NOT_ALONE = 0.02  # a change of a share that is worth showing; chosen, as twice the error of 2,000 people


@dataclass(frozen=True, slots=True, kw_only=True)
class RungBar:
    """One rung of a set: who could finish it, who is advised to it; `was` before a change, where it differs.

    `odd` says so when it is not what its kind promises.
    """

    kind: str
    name: str
    finishing: Share
    advised: Share
    was: Share | None
    odd: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SetRow:
    """One set; `stops` are the first two things that give out at the led rung."""

    ref: Ref
    id: str
    move: str
    round: str
    rungs: tuple[RungBar, ...]
    some_rung: Share
    was: Share | None
    skipping: Share
    effort: str
    rating: Rating | None
    stops: tuple[tuple[str, Share], ...]
    shifts: tuple[str, ...]


def rows(run: Analysis, forecast: Forecast, before: Forecast | None) -> tuple[SetRow, ...]:
    """Every set of the forecast, in order."""
    cells = {cell.ref: cell for cell in every_cell(run.session)}
    was = {cell.ref: cell for cell in before.cells} if before else {}
    return tuple(_row(cells[each.ref], each, was.get(each.ref)) for each in forecast.cells if each.ref in cells)


def _row(cell: Cell, forecast: CellForecast, before: CellForecast | None) -> SetRow:
    return SetRow(
        ref=forecast.ref,
        id=cell_id(forecast.ref),
        move=cell.move.name,
        round=forecast.ref.round,
        rungs=tuple(_bars(forecast, before)),
        some_rung=forecast.some_rung,
        was=_differing(before.some_rung if before else None, forecast.some_rung),
        skipping=forecast.skipping,
        effort=effort_range(forecast.left),
        rating=forecast.rating,
        stops=forecast.led_rung.limiting[:2] if forecast.led_rung else (),
        shifts=tuple(_sensitivity_words(forecast.moved)),
    )


def _bars(forecast: CellForecast, before: CellForecast | None) -> Iterator[RungBar]:
    for kind in KINDS:
        rung, old = _rung(forecast, kind), _rung(before, kind)
        if rung:
            yield RungBar(
                kind=kind_words(kind),
                name=rung.name,
                finishing=rung.finishing,
                advised=rung.advised,
                was=_differing(old.finishing if old else None, rung.finishing),
                odd=_odd(kind, rung, forecast.led_rung),
            )


def _odd(kind: OptionKind | None, rung: RungForecast, led_rung: RungForecast | None) -> str:
    """A harder rung that more people finish than the led one, or an easier one that fewer do."""
    more = rung.finishing.part - led_rung.finishing.part if led_rung else 0.0
    if kind is OptionKind.HARDER and more >= NOT_ALONE:
        return "more finish it than the led rung"
    if kind is OptionKind.EASIER and more <= -NOT_ALONE:
        return "fewer finish it than the led rung"
    return ""


def _rung(forecast: CellForecast | None, kind: OptionKind | None) -> RungForecast | None:
    return next((each for each in forecast.rungs if each.kind is kind), None) if forecast else None


def _differing(before: Share | None, now: Share) -> Share | None:
    return before if before and abs(before.part - now.part) >= NOT_ALONE else None


# What each assumption is for people, in a coach's words.
_IF = {
    "recovery slow": "If people recover slowly",
    "recovery quick": "If people recover quickly",
    "strength scatter half": "If people are more alike in strength",
    "strength scatter half as much again": "If people differ more in strength",
    "strength 10 % less": "If everyone is a tenth weaker",
    "strength 10 % more": "If everyone is a tenth stronger",
    "tempo 15 % slower": "If the tempo is 15 % slower",
    "tempo 15 % quicker": "If the tempo is 15 % quicker",
}


def _sensitivity_words(shifts: Mapping[str, tuple[float, float]]) -> Iterator[str]:
    for name, (_, led_points) in shifts.items():
        if abs(led_points) >= LEAST_MOVED:
            change = f"{abs(led_points):.0f} {'more' if led_points > 0 else 'fewer'} in 100 finish it as led"
            yield f"{_IF[name]}: {change}"


def gives_out(run: Analysis, forecast: Forecast) -> tuple[tuple[str, Share], ...]:
    """What stops people first at the led rungs of the main part, the most frequent first: over all its sets, as if each
    had people of its own. The ends of the bands are means as well, for what is off is off in every set.
    """
    main = {block.name for block in run.session.of_kind(BlockKind.MAIN)}
    led_rungs = [each.led_rung for each in forecast.cells if each.ref.block in main and each.led_rung]
    every: dict[str, list[Share]] = {}
    for one in led_rungs:
        for name, share in one.limiting:
            every.setdefault(name, []).append(share)
    totals = {name: _over_all(shares, len(led_rungs), forecast.people) for name, shares in every.items()}
    return tuple(sorted(totals.items(), key=lambda each: -each[1].part))


def _over_all(shares: list[Share], sets: int, people: int) -> Share:
    """The mean over these sets; where it is not among the shares it is nobody's."""
    lows, highs = ([end for each in shares if (end := getattr(each, name)) is not None] for name in ("low", "high"))
    return Share(
        count=sum(each.count for each in shares),
        of=people * sets,
        low=sum(lows) / sets if lows else None,
        high=sum(highs) / sets if highs else None,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class StopsOnFigure:
    """A set's led rung on the moving figure, with the parts that give out first, as the figure's script takes them;
    `words` tell them to who does not see it.
    """

    ref: Ref
    title: str
    figure: str
    stops: tuple[dict[str, object], ...]
    shares: tuple[tuple[str, Share], ...]
    words: str


def on_figures(run: Analysis, forecast: Forecast, figure: Callable[[Cell], str]) -> tuple[StopsOnFigure, ...]:
    """The sets of the main part at whose led rung anybody is stopped; `figure` gives the name of a cell's motion."""
    main = {cell.ref: cell for cell in run.session.cells_of(BlockKind.MAIN)}
    each = ((main[one.ref], one.led_rung) for one in forecast.cells if one.ref in main and one.led_rung)
    return tuple(_on_figure(cell, rung, figure(cell)) for cell, rung in each if rung.limiting)


def _on_figure(cell: Cell, rung: RungForecast, figure: str) -> StopsOnFigure:
    shares = rung.limiting[:MOST_STOPS]
    return StopsOnFigure(
        ref=cell.ref,
        title=f"{rung.name}, {cell.ref.round}",
        figure=figure,
        stops=tuple(
            {"name": name, "part": round(share.part, 3), "side": rung.limiting_side.get(name)} for name, share in shares
        ),
        shares=shares,
        words="; ".join(f"{place}, {name}: {share.plain}" for place, (name, share) in enumerate(shares, 1)),
    )


def effort_band(run: Analysis, forecast: Forecast) -> dict[str, list[object]]:
    """Along the clock: minutes, and the repetitions left to the tenth, the middle and the ninetieth of a hundred.

    A set holds from its first repetition to its last; then there is nothing until the next.
    """
    spreads = {each.ref: each.left for each in forecast.cells}
    chart: dict[str, list[object]] = {"minutes": [], "p10": [], "p50": [], "p90": [], "sets": []}

    def put(at_ms: int, left: Spread | None, name: str) -> None:
        values = (left.p10, left.p50, left.p90) if left else (None, None, None)
        row = (round(at_ms / 60_000, 3), *values, name)
        for key, value in zip(chart, row, strict=True):
            chart[key].append(value)

    for ref, at_ms, end_ms in _work_times(run):
        name = f"{ref.cell}, {ref.round}"
        put(at_ms, spreads.get(ref), name)
        put(end_ms - 1, spreads.get(ref), name)
        put(end_ms, None, name)
    return chart


def _work_times(run: Analysis) -> Iterator[tuple[Ref, int, int]]:
    """From the first to the last repetition of each cell."""
    times: dict[Ref, tuple[int, int]] = {}
    for span in run.timeline.spans:
        if span.cell and span.bout:
            begin, _ = times.get(span.cell.ref, (span.at_ms, 0))
            times[span.cell.ref] = (begin, span.end_ms)
    yield from ((ref, at_ms, end_ms) for ref, (at_ms, end_ms) in times.items())
