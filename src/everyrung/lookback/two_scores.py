"""The score of the plan and, under it on the same scale, that of what was: shifts, sets left out or led again, strays,
sides owed, standstills, and a thin line a person for the heart.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from everyrung.lookback.heart_on_plan import HeartOutcome
from everyrung.lookback.heart_strip import STRIP, draw_heart
from everyrung.lookback.outcome import Change
from everyrung.lookback.plan_sets import PlanSet
from everyrung.lookback.real_times import RealSet, RealTimes
from everyrung.lookback.show import Show
from everyrung.lookback.show_strokes import show_stretches
from everyrung.results.analysis import Analysis
from everyrung.score.lanes import Debt, Score, Stretch, score_lanes
from everyrung.score.layout import HALF, SMALL, Lines, Paper, System
from everyrung.score.marks import INK, PAPER, cut, group, line, num, tag, text, text_width, textures, words
from everyrung.score.sides_lane import depth, draw_sides
from everyrung.terms.enums import Side, SpanKind
from everyrung.terms.units import clock_text

FONTS = "'Hanken Grotesk', 'Helvetica Neue', Arial, sans-serif"
NAMES_Y, PLAN_Y, REAL_Y, LABELS_Y, HEARTS_Y = 31.0, 66.0, 150.0, 190.0, 200.0  # from a system's top
GAP = 16.0  # between systems
TICK_MS, MINUTE_MS = 15_000, 60_000
JUMP_MS = 20_000  # chosen: half a minute less of room than the set before is seen to be a shift
KEY = (
    "Above: the plan. Below: as it was led. The participants' left stands above each line, their right below it.",
    "A thin line leads from a set's place in the plan to where it was led; a heavy one: here time was lost or won.",
    "Crossed out: not done. Dashed: a side owed. Open box: from when it was named to the next one. Double box: not in "
    "the plan. ?: unsure. Two uprights: it stood still.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoScores:
    """What is drawn, and how: `real` None where nothing is known of what was."""

    analysis: Analysis
    sets: Sequence[PlanSet]
    show: Show | None
    real: RealTimes | None
    hearts: Sequence[HeartOutcome]
    names: Sequence[str]  # whose hearts

    @property
    def total_ms(self) -> int:
        return max(self.analysis.timeline.total_ms, self.real.total_ms if self.real else 0, 1)

    @property
    def summary(self) -> str:
        """What the picture shows, in words."""
        plan = f"Above, the plan of {_clock(self.analysis.timeline.total_ms)}"
        if self.real is None:
            return f"{plan}; of how it went nothing is known yet."
        count = len(self.sets) - len(self.real.missing)
        real = f"below it how it went, {_clock(self.real.total_ms)} by {self.real.by}"
        return f"{plan}; {real}: {count} of {len(self.sets)} sets were done."


def two_scores_svg(scores: TwoScores, paper: Paper, number: int = 0, systems_a_page: int = 0) -> str:
    """One SVG: all of it, or with `systems_a_page` its page `number`, counted from 0."""
    systems = _systems(scores.total_ms, paper)
    if systems_a_page:
        systems = systems[number * systems_a_page : (number + 1) * systems_a_page]
    name = f"both-{paper.name}-{number}"
    high = HEARTS_Y + STRIP * len(scores.hearts) + GAP
    plan, real = _plan_score(scores), _real_score(scores)
    parts = [_system(scores, plan, real, system, place * high, name) for place, system in enumerate(systems)]
    key, key_high = _key(paper, len(systems) * high)
    margin, height = paper.margin, len(systems) * high + key_high
    corner = {"x": -margin, "y": -margin, "width": paper.width + 2 * margin, "height": height + 2 * margin}
    inner = [
        tag("title", words(scores.summary)),
        textures(name),
        tag("rect", class_="paper", fill=PAPER, **corner),
        *parts,
        key,
    ]
    box = " ".join(num(value) for value in corner.values())
    return tag(
        "svg", "".join(inner), xmlns="http://www.w3.org/2000/svg", viewBox=box, class_=f"score {paper.name}",
        role="img", color=INK, fill="currentColor", font_family=FONTS,
    )  # fmt: skip


def page_count(scores: TwoScores, paper: Paper, systems_a_page: int) -> int:
    """How many pages it takes."""
    return -(-len(_systems(scores.total_ms, paper)) // systems_a_page)


def _systems(total_ms: int, paper: Paper) -> tuple[System, ...]:
    """Even lines, for the two have no bar lines in common."""
    count = max(1, round(total_ms / paper.line_ms))
    each_ms = -(-total_ms // count)
    return tuple(
        System(
            number=place + 1,
            at_ms=place * each_ms,
            end_ms=min(total_ms, (place + 1) * each_ms),
            paper=paper,
            units_per_ms=paper.inner / each_ms,
        )
        for place in range(count)
    )


def _plan_score(scores: TwoScores) -> Score:
    """Without the work of sets that were not done, which is drawn crossed out."""
    score = score_lanes(scores.analysis.session, scores.analysis.timeline)
    missing = {(scores.sets[place].ref, scores.sets[place].work_at_ms) for place in _missing(scores)}
    rows = [each for each in score.stretches if (_ref(each), each.span.at_ms) not in missing]
    return replace(score, stretches=tuple(rows))


def _ref(stretch: Stretch) -> str:
    return str(stretch.span.cell.ref) if stretch.span.cell and stretch.span.kind is SpanKind.WORK else ""


def _missing(scores: TwoScores) -> tuple[int, ...]:
    return scores.real.missing if scores.real else ()


def _real_score(scores: TwoScores) -> Score:
    """The same lanes with the work as it was, tooth by tooth where the stage wrote it down."""
    score = score_lanes(scores.analysis.session, scores.analysis.timeline)
    show = scores.show
    if show is None:
        return replace(score, stretches=(), debts=())
    debts = tuple(_debts(show))
    return replace(score, stretches=tuple(show_stretches(show, scores.analysis)), debts=debts)


def _debts(show: Show) -> Iterator[Debt]:
    """At the side that was done last, on the other side of the line."""
    for debt in show.debts:
        others = [row for row in show.rows if row.plan.ref == debt.ref and row.bouts]
        for row in others[:1]:
            bout, plan = row.bouts[-1], debt.bout
            amount = str(plan.reps) if plan.reps else _clock(plan.duration_ms)
            yield Debt(
                at_ms=bout.wall_ms - show.start_ms,
                end_ms=bout.wall_end_ms - show.start_ms,
                side=debt.bout.side,
                amount=amount,
                cell=debt.cell,
            )


def _system(scores: TwoScores, plan: Score, real: Score, system: System, top: float, name: str) -> str:
    at = Lines(top=top + PLAN_Y - 100)  # whose line between the sides lies 100 below its top
    below = Lines(top=top + REAL_Y - 100)
    parts = [
        _ruler(system, top, (plan.total_ms, scores.real.total_ms if scores.real else 0)),
        _names(plan, system, top),
        draw_sides(plan, system, at, name),
        *_cross_out(scores, system, top + PLAN_Y),
    ]
    if scores.real:
        rows = [each for each in scores.real.sets if system.shows(each.at_ms, each.end_ms)]
        boxes = [_box(scores, each, system, top + REAL_Y) for each in rows if scores.show is None or not each.is_exact]
        parts += [*_links(scores, system, top), draw_sides(real, system, below, name), *boxes]
        parts += _labels(scores, system, top)
    for place, (heart, whose) in enumerate(zip(scores.hearts, scores.names, strict=True)):
        parts.append(draw_heart(heart, whose, system, top + HEARTS_Y + place * STRIP, scores.hearts))
    return group(parts, class_="system")


def _ruler(system: System, top: float, ends_ms: tuple[int, int]) -> str:
    """A tick every quarter of a minute, a number every minute, and the lines that the sides stand on."""
    paper, right = system.paper, system.x(system.end_ms)
    y, ticks, numbers = top + 15, [], []
    for at_ms in range(-(-system.at_ms // TICK_MS) * TICK_MS, system.end_ms + 1, TICK_MS):
        x, is_whole = system.x(at_ms), at_ms % MINUTE_MS == 0
        ticks.append(f"M{num(x)} {num(y)}v{-5 if is_whole else -2.5}")
        if is_whole and paper.left + 3 < x < paper.width - 16:
            numbers.append(text(x + 2.5, y - 3.5, str(at_ms // MINUTE_MS), SMALL))
    heights = (top + PLAN_Y, top + REAL_Y)
    ends = [
        line(system.x(end_ms), y_at - HALF, system.x(end_ms), y_at + HALF, stroke="currentColor", stroke_width="2.6")
        for end_ms, y_at in zip(ends_ms, (top + PLAN_Y, top + REAL_Y), strict=True)
        if system.at_ms < end_ms <= system.end_ms
    ]
    lanes = [line(paper.left, at, right, at, stroke="currentColor", stroke_width="1") for at in heights]
    sides = [(word, top + y + at) for y in (PLAN_Y, REAL_Y) for word, at in (("Left", -17), ("Right", 24))]
    names = [("Plan", top + PLAN_Y + 3), ("Led", top + REAL_Y + 3), *sides]
    return group(
        [
            line(paper.left, y, right, y, stroke="currentColor", stroke_width="0.8"),
            tag("path", d="".join(ticks) or "M0 0", stroke="currentColor", stroke_width="0.6", fill="none"),
            *numbers,
            *lanes,
            *ends,
            *(text(paper.left - 6, y_at, word, SMALL, text_anchor="end") for word, y_at in names),
            text(2.0, y - 3, _clock(system.at_ms), 10.5, font_weight="600"),
        ],
        class_="frame",
    )


def _names(plan: Score, system: System, top: float) -> str:
    """The number of each set, with its name where there is room."""
    parts = []
    for frame in plan.cells:
        if system.at_ms <= frame.at_ms < system.end_ms:
            x, room = system.x(frame.at_ms), system.x(frame.end_ms) - system.x(frame.at_ms) - 3
            label = cut(f"{frame.number} {frame.cell.rung.name}", room, SMALL)
            parts.append(text(x + 1, top + NAMES_Y, label if len(label) > 4 else str(frame.number), SMALL))
    return group(parts)


def _span_box(at_ms: int, end_ms: int, side: Side, grade: int, system: System, centre: float) -> dict[str, float]:
    height, x = depth(grade), system.x(at_ms)
    tops = {Side.LEFT: centre - height, Side.RIGHT: centre, Side.BOTH: centre - height}
    return {
        "x": x,
        "width": max(1.0, system.x(end_ms) - x),
        "y": tops[side],
        "height": 2 * height if side is Side.BOTH else height,
    }


def _cross_out(scores: TwoScores, system: System, centre: float) -> Iterator[str]:
    """Sets of the plan that were not done: an empty outline, crossed out."""
    for place in _missing(scores):
        each = scores.sets[place]
        end_ms = each.work_at_ms + each.bout.duration_ms
        if not system.shows(each.work_at_ms, end_ms):
            continue
        box = _span_box(each.work_at_ms, end_ms, each.bout.side, each.cell.rung.grade, system, centre)
        x, y, right, bottom = box["x"], box["y"], box["x"] + box["width"], box["y"] + box["height"]
        cross = f"M{num(x)} {num(y)}L{num(right)} {num(bottom)}M{num(x)} {num(bottom)}L{num(right)} {num(y)}"
        parts = [
            tag("title", words(f"{each.name}: not done")),
            tag("rect", fill="none", stroke="currentColor", stroke_width="0.8", **box),
            tag("path", d=cross, stroke="currentColor", stroke_width="0.8", fill="none"),
        ]
        yield group(parts, class_="not-done")


def _box(scores: TwoScores, each: RealSet, system: System, centre: float) -> str:
    """A set of which is known when it was named, or when its work began and no more; one that is not in the plan has
    two outlines.
    """
    grade = scores.sets[each.place].cell.rung.grade if each.place is not None else 3
    box = _span_box(each.at_ms, each.end_ms, each.side, grade, system, centre)
    label = f"{each.name}, {_clock(each.at_ms)}{'' if each.is_sure else ', unsure'}"
    parts = [
        tag("title", words(label)),
        tag("rect", fill="currentColor", fill_opacity="0.08", stroke="currentColor", stroke_width="0.8", **box),
    ]
    if each.change is Change.STRAY:
        outer = {"x": box["x"] - 2, "y": box["y"] - 2, "width": box["width"] + 4, "height": box["height"] + 4}
        parts.append(tag("rect", fill="none", stroke="currentColor", stroke_width="0.8", **outer))
    if not each.is_sure:
        parts.append(text(box["x"] + box["width"] / 2, centre - 1, "?", 11, text_anchor="middle", font_weight="700"))
    return group(parts, class_="heard")


def _links(scores: TwoScores, system: System, top: float) -> Iterator[str]:
    """From each set's work in the plan to where it began; heavy where the shift is another than the set's before."""
    assert scores.real is not None
    firsts: dict[int, RealSet] = {}
    for each in scores.real.sets:
        if each.place is not None:
            firsts.setdefault(each.place, each)
    before_ms = 0
    for place in sorted(firsts):
        each, plan = firsts[place], scores.sets[place]
        plan_ms = plan.work_at_ms if each.is_exact else plan.at_ms
        shift_ms = each.at_ms - plan_ms
        weight = "1.8" if abs(shift_ms - before_ms) > JUMP_MS else "0.5"
        before_ms = shift_ms
        if any(system.at_ms <= at_ms < system.end_ms for at_ms in (plan_ms, each.at_ms)):
            ends = (system.x(plan_ms), top + PLAN_Y + HALF, system.x(each.at_ms), top + REAL_Y - HALF)
            yield line(*ends, stroke="currentColor", stroke_width=weight, class_="shift")


def _labels(scores: TwoScores, system: System, top: float) -> Iterator[str]:
    """What was otherwise, in words under it, where there is room; and where it stood still."""
    assert scores.real is not None
    notes = [(each.at_ms, f"{each.name}: {each.change}") for each in scores.real.sets if each.change is Change.STRAY]
    notes += [
        (each.at_ms, str(each.change))
        for each in scores.real.sets
        if each.change in (Change.AGAIN, Change.SWAPPED, Change.PART)
    ]
    for pause in scores.show.pauses if scores.show else ():
        at_ms = pause.wall_ms - scores.show.start_ms if scores.show else 0
        notes.append((at_ms, f"stood {_clock(pause.length_ms)}"))
        if system.shows(at_ms, at_ms + pause.length_ms):
            x, end, y = system.x(at_ms), system.x(at_ms + pause.length_ms), top + REAL_Y
            uprights = f"M{num(x)} {num(y - 12)}v24M{num(max(end, x + 3))} {num(y - 12)}v24"
            yield tag("path", d=uprights, stroke="currentColor", stroke_width="2.2", fill="none", class_="standstill")
    right = 0.0
    for at_ms, label in sorted(notes):
        x = system.x(at_ms)
        if system.at_ms <= at_ms < system.end_ms and x >= right:
            label = cut(label, system.paper.width - x, SMALL)
            yield text(x, top + LABELS_Y, label, SMALL)
            right = x + text_width(label, SMALL) + 4


def _key(paper: Paper, top: float) -> tuple[str, float]:
    """How to read it, in lines as long as the paper is wide."""
    rows: list[str] = []
    for sentence in KEY:
        row = ""
        for word in sentence.split():
            if row and text_width(f"{row} {word}", SMALL) > paper.width - 4:
                rows.append(row)
                row = word
            else:
                row = f"{row} {word}".strip()
        rows.append(row)
    parts = [text(2.0, top + 10 + 13 * at, row, SMALL) for at, row in enumerate(rows)]
    return group(parts, class_="key"), 13.0 * len(rows) + 6


def _clock(length_ms: int) -> str:
    return clock_text(round(length_ms, -3))
