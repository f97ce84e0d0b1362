"""The level that a session is offered under: from what its rungs ask of bodies, and never milder than the plan says.

The texts that go with a session: what it is, what to bring; and the coach's own notes.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from everyrung.effort.balls import ball_table
from everyrung.moves.limit_words import limit_phrase
from everyrung.publish.chapters import chapters, chapters_text
from everyrung.publish.sheet.content import STOP_SIGNS
from everyrung.publish.sheet.kit import kit_lines, kit_notes
from everyrung.publish.sheet.terms import KitLine
from everyrung.results.analysis import Analysis
from everyrung.terms.enums import BlockKind, Caution, KitItem, Level
from everyrung.terms.session import Session
from everyrung.terms.units import clock_text

# Parts of the hardest joint's strength up to which a main set counts as gentle or moderate; chosen, because sets of
# ten at under two fifths leave most people plenty, and at three fifths few have more than a handful left.
GENTLE, MODERATE = 0.4, 0.6
FOR_WHOM = {
    Level.GENTLE: "anyone who can stand, sit and get about, even after a long break.",
    Level.MODERATE: "people who are active now and then and want to do more.",
    Level.HARD: "people who train each week.",
}
HARD_TENTH = 0.9  # the level is that of the hardest tenth of the sets; chosen, because a label is trusted at its worst


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelLabel:
    """`part` is the asked part of strength that decides (the median body), `by_strength` what follows from it."""

    level: Level
    by_coach: Level
    by_strength: Level
    part: float

    def __str__(self) -> str:
        why = f"the hardest tenth of the sets asks {self.part:.0%} of what an ordinary body's hardest joint can do"
        if self.level is not self.by_coach:
            return f"{str(self.level).capitalize()}, although the plan says {self.by_coach}: {why}."
        if self.level is self.by_strength:
            return f"{str(self.level).capitalize()}: {why}."
        return f"{str(self.level).capitalize()}, as the plan says; computed {self.by_strength}: {why}."


def level_label(run: Analysis) -> LevelLabel:
    """The label; needs the run's mechanics."""
    assert run.mechanics is not None
    main = {cell.ref for cell in run.session.cells_of(BlockKind.MAIN)}
    fractions = []
    for ref in main:
        parts = [one.hardest.fraction for _, one in run.mechanics.of(ref) if one.hardest]
        if parts:
            fractions.append(median(parts))
    part = sorted(fractions)[min(len(fractions) - 1, int(HARD_TENTH * len(fractions)))] if fractions else 0.0
    by_strength = Level.GENTLE if part <= GENTLE else Level.MODERATE if part <= MODERATE else Level.HARD
    by_coach = run.session.level
    levels = list(Level)
    return LevelLabel(
        level=max(by_coach, by_strength, key=levels.index), by_coach=by_coach, by_strength=by_strength, part=part
    )


def description(run: Analysis, label: LevelLabel) -> str:
    """What a channel says under the picture, all of it for everyone to read: what it is, for whom, with what, what to
    mind, when to stop; chapters move by move, and words to find it by.
    """
    session, marks = run.session, chapters(run.timeline)
    moves = dict.fromkeys(cell.move.name for cell in session.cells_of(BlockKind.MAIN))
    rounds = max((len(block.rounds) for block in session.of_kind(BlockKind.MAIN)), default=0)
    how_many = "1 round" if rounds == 1 else f"{rounds} rounds"
    parts = [
        session.title,
        f"{clock_text(run.timeline.total_ms)} with warm-up and cool-down. {how_many} of {', '.join(moves)}.",
        _whom(session, label),
        "\n".join(("What you need, for each person:", *_things(run))),
        *kit_notes(session),
        *_cautions(session),
        "\n".join(("When to stop, and when not to start:", *(f"- {sign}" for sign in STOP_SIGNS))),
    ]
    if marks:
        parts.append(f"Chapters:\n{chapters_text(marks).rstrip()}")
    parts.append(f"Tags: {', '.join(tags(session, label))}")
    return "\n\n".join(parts) + "\n"


def _whom(session: Session, label: LevelLabel) -> str:
    new = " First-timers take the easier versions." if session.who.newcomers else ""
    return (
        f"Who it is for: {FOR_WHOM[label.level]} Level: {label.level}.{new} Every set has an easier version, a harder "
        "one and one without kit; the question before each tells you which is yours."
    )


def _things(run: Analysis) -> list[str]:
    """Kit as a list with the sizes that the plan has, and which ball for whom."""
    things = [_kit_line(run, line) for line in kit_lines(run.session) if line.cells]
    balls = ball_table(run.session)
    chart = ["", "Your ball, its diameter in cm by how tall you are:", "", *balls] if balls else []
    return [*(things or ["- Nothing."]), *chart]


def _cautions(session: Session) -> list[str]:
    """What somebody may have to avoid, and the moves that ask for it as they are led."""
    moves: dict[Caution, dict[str, None]] = {}
    for cell in session.cells_of(BlockKind.MAIN):
        for caution in cell.rung.cautions:
            moves.setdefault(caution, {})[cell.move.name] = None
    lines = [f"- {limit_phrase(each).rstrip(',')}: {', '.join(moves[each])}" for each in Caution if each in moves]
    return ["\n".join(("Take another version where one of these is not for you:", *lines))] if lines else []


def tags(session: Session, label: LevelLabel) -> tuple[str, ...]:
    """Words by which it is found: length, level, what is moved, what is used."""
    cells = list(session.cells_of(BlockKind.MAIN))
    kit = {need.item for cell in cells for need in cell.rung.kit if need.item.counts_as_kit}
    words = [
        "strength", "follow along", f"{round(session.slot_ms / 60_000)} minutes", str(label.level),
        *(str(item) for item in KitItem if item in kit),
        *([] if kit else ["no equipment"]),
        *dict.fromkeys(str(cell.move.pattern) for cell in cells),
        *dict.fromkeys(cell.move.name.lower() for cell in cells),
    ]  # fmt: skip
    return tuple(dict.fromkeys(words))


def kit_list(run: Analysis) -> str:
    """What to bring, which load, which ball."""
    lines_in_use = [line for line in kit_lines(run.session) if line.cells]
    balls = ball_table(run.session)
    lines = [f"Kit for {run.session.title}, for each person:", "", *(_kit_line(run, line) for line in lines_in_use)]
    lines += ["", *kit_notes(run.session)]
    if balls:
        lines += ["", "Your ball, its diameter in cm by how tall you are", "", *balls]
    return "\n".join(lines) + "\n"


def _kit_line(run: Analysis, line: KitLine) -> str:
    """'- Ball: 1 (there: 55 cm, 65 cm)': of things that come in sizes, those that the plan lists."""
    sizes = [
        f"{stock.diameter_cm:g} cm"
        for stock in run.session.kit
        if stock.diameter_cm and stock.item.capitalize() == line.what
    ]
    return f"- {line.what}: {line.each}" + (f" (there: {', '.join(dict.fromkeys(sizes))})" if sizes else "")


def coach_notes(run: Analysis, notes: Sequence[str]) -> str:
    """What she is to know of what was made, apart from all that is for others."""
    lines = [f"For the coach of {run.session.title}; not for publishing.", "", *(f"- {note}" for note in notes)]
    return "\n".join(lines) + "\n"
