"""The coach's own cues, put before the library's."""

from collections.abc import Sequence
from dataclasses import replace

from everyrung.moves.move_file import MoveText, RungText
from everyrung.terms.lever import Swap
from everyrung.terms.move import Cue
from everyrung.terms.timeline import OwnCue


def with_own(text: MoveText, own: Sequence[OwnCue]) -> MoveText:
    """The move with her words at each rung that they are for.

    A rung that is another move's takes only what names it: words on this move would mislead there.
    """
    if not own:
        return text
    key = text.move.key
    return replace(text, rungs=tuple(_rung(rung, key, own) for rung in text.rungs))


def _rung(rung: RungText, move: str, own: Sequence[OwnCue]) -> RungText:
    by_swap = bool(rung.levers) and isinstance(rung.levers[0], Swap)
    matches = [one for one in own if _is_for(one, move, rung.key, by_swap=by_swap)]
    matches.sort(key=lambda one: (not one.rung, not one.move))  # what is for this very rung goes before what fits any
    hers = [Cue(kind=one.kind, text=one.text) for one in matches]
    return replace(rung, cues=(*hers, *rung.cues))


def _is_for(one: OwnCue, move: str, rung: str, *, by_swap: bool) -> bool:
    if one.rung:
        return (one.move, one.rung) == (move, rung)
    return not by_swap and one.move in ("", move)
