"""What stands around the main part: the announcement, a warm-up that prepares it, a cool-down, and a reserve."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from everyrung.checks.rules.announcement import SCREENING_LINE, STOP_LINE
from everyrung.checks.rules.cautions import FIRST_GRADE
from everyrung.checks.rules.training import ON_HANDS, STRETCH_MS, prepares
from everyrung.cues.speech import number_words
from everyrung.moves.library import Library
from everyrung.proposals.columns import Column
from everyrung.terms.enums import BlockKind, Caution, Mode, MoveKind, Pattern, Sidedness
from everyrung.terms.errors import Where
from everyrung.terms.move import Move, Rung
from everyrung.terms.plan import BlockText, CellText
from everyrung.terms.session_brief import SessionBrief, Style
from everyrung.terms.units import Dose, Per
from everyrung.timing.cut_order import floor_ms

HERE = Where(file="proposal", line=0, field="proposal")
WARM_UP_MS = 40_000  # a move; chosen, because a joint is warm after some twenty easy movements
CHANGE_MS = 10_000  # into a move, which counts in too; chosen, because by the clock it takes 13 to 20 s
BREATH_MS = 60_000  # at the end; chosen, because one needs about a minute to become calm
FEWEST_WARM_UP = 5  # moves; chosen: the pulse, and each large joint once


def warm_up(brief: SessionBrief, library: Library, main: Sequence[Column]) -> BlockText:
    """Moves that prepare each pattern of the main part, the pulse first, the largest movements last."""
    pool = _pool(brief, library, MoveKind.WARM_UP)
    patterns = list(dict.fromkeys(column.move.pattern for column in main))
    selection: list[tuple[Move, Rung]] = [each for each in pool if "whole body" in each[0].focus][:1]
    for pattern in patterns:
        if not any(prepares(move, pattern) for move, _ in selection):
            selection += [each for each in pool if each not in selection and prepares(each[0], pattern)][:1]
    selection += [each for each in pool if each not in selection][: max(0, FEWEST_WARM_UP - len(selection))]
    if any(Caution.WRIST_LOAD in version.variant.cautions for column in main for version in column.versions):
        selection += _on_hands(brief, library)
    least_ms = floor_ms(brief.minutes * 60_000)
    each_ms = max(WARM_UP_MS, (-(-least_ms // max(1, len(selection))) - CHANGE_MS + 999) // 1000 * 1000)
    sequence = sorted(selection, key=lambda each: ("whole body" not in each[0].focus, each[1].grade))
    return _block(BlockKind.WARM_UP, [(move, rung, _time(rung, each_ms)) for move, rung in sequence])


def _on_hands(brief: SessionBrief, library: Library) -> list[tuple[Move, Rung]]:
    """An easy version that wrists bear weight in, for a main part on the hands: against a wall where there is one."""
    moves = [library.move(key) for key in library.keys]
    rungs = [(move, rung) for move in moves if move.kind is MoveKind.STRENGTH for rung in move.ladder]
    but_for_wrists = replace(brief, limits=tuple(set(brief.limits) - {Caution.WRIST_LOAD}))
    return [each for each in rungs if each[1].form.support in ON_HANDS and _for_everyone(but_for_wrists, each[1])][:1]


def cool_down(brief: SessionBrief, library: Library, main: Sequence[Column]) -> BlockText:
    """A stretch for what worked most, a minute a muscle, and a breath at the end."""
    pool = _pool(brief, library, MoveKind.COOL_DOWN)
    muscles = {word for column in main for word in column.move.focus}
    near = sorted(pool, key=lambda each: -len(muscles & set(each[0].focus)))
    breath = [each for each in near if each[0].pattern is not Pattern.STRETCH or "ribs" in each[0].focus][:1]
    missing_ms = floor_ms(brief.minutes * 60_000) - (BREATH_MS + CHANGE_MS) * len(breath)
    selection: list[tuple[Move, Rung, Dose]] = []
    left = [each for each in near if each not in breath]
    while left and missing_ms > 0:
        enough = [each for each in left if _stretch_ms(each[1]) >= missing_ms]
        move, rung = min(enough, key=lambda each: _stretch_ms(each[1])) if left[0] in enough else left[0]
        left.remove((move, rung))
        selection.append((move, rung, _time(rung, STRETCH_MS)))
        missing_ms -= _stretch_ms(rung)
    return _block(BlockKind.COOL_DOWN, [*selection, *((move, rung, _time(rung, BREATH_MS)) for move, rung in breath)])


def _stretch_ms(rung: Rung) -> int:
    """How long a stretch is, from one to the next: a minute a muscle."""
    return STRETCH_MS * (1 if rung.form.sides is Sidedness.BOTH else 2) + CHANGE_MS


def announcement(brief: SessionBrief, main: Sequence[Column], rounds: int) -> BlockText:
    """What is said before anyone moves: what comes, what is needed, who asks whom first, and when to stop."""
    kit = sorted({str(item) for column in main for item in column.kit if item.counts_as_kit})
    moves = f"{number_words(rounds).capitalize()} rounds of {number_words(len(main))} moves"
    say = [
        "Welcome, everyone in the room." if not brief.at_home else "Welcome, everyone in the room and at home.",
        f"{moves}: the moves stay, each round is a step harder.",
        f"You need: {', '.join(kit)}." if kit else "You need nothing but some floor and a bit of wall.",
        "Every move has a harder, an easier and a no-kit version: choose yours, and change it at any moment.",
        SCREENING_LINE,
        STOP_LINE,
        "An arm's length clear on every side, nothing to trip over.",
    ]
    if brief.style is Style.STATIONS:
        place = (
            "All sets are equally long: where kit is short, spread over the places and go on together at the signal."
        )
        say.insert(3, place)
    if brief.newcomers:
        say.insert(3, "First time here? Two rounds are plenty: rest in what comes after, or keep the easier version.")
    if any(Caution.HELD_BREATH in version.variant.cautions for column in main for version in column.versions):
        say.insert(-2, "Breathe out on the effort; never hold your breath.")
    return BlockText(where=HERE, kind=BlockKind.ANNOUNCEMENT, name="Announcement", say=tuple(say))


def _pool(brief: SessionBrief, library: Library, kind: MoveKind) -> list[tuple[Move, Rung]]:
    """Each move of a kind with the rung for everyone who comes: easy, without kit, off the floor, nothing to avoid."""
    pool = []
    for key in library.keys:
        move = library.move(key)
        if move.kind is kind and key not in brief.exclude:
            rungs = [rung for rung in move.ladder if _for_everyone(brief, rung)]
            standing = [rung for rung in rungs if rung.key != "seated"] or rungs
            if standing:
                pool.append((move, standing[-1]))
    return pool


def _for_everyone(brief: SessionBrief, rung: Rung) -> bool:
    away = {*brief.limits, Caution.FALL_RISK, Caution.HELD_BREATH}
    floor = rung.form.position.on_floor
    return rung.grade <= FIRST_GRADE and not rung.needs_kit and not floor and not set(rung.cautions) & away


def _time(rung: Rung, lasting_ms: int) -> Dose:
    """A dose by time; a one-sided one has it on each side where it is held, and shares it where it moves."""
    if rung.form.sides is not Sidedness.ONE_SIDE:
        return Dose(duration_ms=lasting_ms)
    if rung.form.mode is Mode.HOLD:
        return Dose(duration_ms=lasting_ms, per=Per.SIDE)
    return Dose(duration_ms=-(-lasting_ms // 2 // 1000) * 1000, per=Per.SIDE)


def _block(kind: BlockKind, sets: Iterable[tuple[Move, Rung, Dose]]) -> BlockText:
    texts = {move.key: CellText(where=HERE, move=move.key, rung=rung.key, dose=dose) for move, rung, dose in sets}
    return BlockText(where=HERE, kind=kind, name=str(kind).capitalize(), columns=texts)
