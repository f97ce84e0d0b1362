"""Who takes what instead: first-timers, and whoever has to avoid something."""

from dataclasses import replace

from everyrung.checks.rules.cautions import caution_unanswered, limit_rung
from everyrung.runsheet.words import joined, place_words
from everyrung.terms.enums import BlockKind, Caution, Severity
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline


def limit_lines(session: Session, timeline: Timeline) -> tuple[str, ...]:
    """One line for each caution that someone present has to avoid and that the session holds."""
    lines = (_limit(session, timeline, caution) for caution in session.who.limits)
    return tuple(line for line in lines if line)


def _limit(session: Session, timeline: Timeline, caution: Caution) -> str:
    """The rungs that the checks name, asked for this caution alone; where there is none, the move is left out."""
    alone = replace(session, who=replace(session.who, limits=(caution,)))
    ways = [found.remedy.removeprefix("Offer instead: ").rstrip(".") for found in limit_rung(alone, timeline)]
    none = [
        f"{place_words(found.places)}: no rung, rest"
        for found in caution_unanswered(alone, timeline)
        if found.severity is Severity.ERROR
    ]
    return f"Avoiding {caution}: {'; '.join([*ways, *none])}." if ways or none else ""


def newcomer_line(session: Session) -> str:
    """'First-timers: rounds One and Two.'; blocks are named where their rounds differ."""
    if not session.who.newcomers:
        return ""
    names = {
        block.name: [each.name for each in block.rounds[: session.newcomer_rounds]]
        for block in session.of_kind(BlockKind.MAIN)
        if len(block.rounds) > session.newcomer_rounds
    }
    told = {block: _rounds(rounds) for block, rounds in names.items()}
    if not told:
        return "First-timers: all of it, the easier rung first."
    if len(set(told.values())) == 1:
        return f"First-timers: {next(iter(told.values()))}."
    return f"First-timers: {'; '.join(f'{block} {rounds}' for block, rounds in told.items())}."


def _rounds(names: list[str]) -> str:
    if not names:
        return "no round"
    return f"round{'s' if len(names) > 1 else ''} {joined(names)}"
