"""The moving figures of a player's page, packed: each rung's repetition, as the studio draws it."""

import json
from base64 import b64encode
from collections.abc import Mapping
from typing import Any
from zlib import compress

from everyrung.moves.library import Library, standard_library
from everyrung.publish.player.content import rungs
from everyrung.publish.stage import moving_figure
from everyrung.results.analysis import Analysis
from everyrung.runsheet.build import figure_key
from everyrung.store.cache import Cache

DIGITS = 3  # of metres; chosen, because a figure on a phone is 100 px high, and twice as much packed is not seen
Motions = Mapping[str, Mapping[str, Any]]


def motions(run: Analysis, cache: Cache | None, library: Library | None = None) -> Motions:
    """All rungs of a session in motion, by the keys of its run sheet; none for a rung that has no pose."""
    moves = library or standard_library()
    result: dict[str, Mapping[str, Any]] = {}
    for rung, load in rungs(run.session):
        key = figure_key(rung, load)
        if key not in result and (frames := moving_figure(rung, load, moves, cache)):
            result[key] = frames
    return result


def pack(by_key: Motions) -> str:
    """As text: JSON, deflated (RFC 1950), in base64; the browser's own means unpack it. '' for none."""
    if not by_key:
        return ""
    text = json.dumps({key: _round_values(motion) for key, motion in by_key.items()}, separators=(",", ":"))
    return b64encode(compress(text.encode(), 9)).decode()


def _round_values(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, DIGITS)
    if isinstance(value, Mapping):
        return {name: _round_values(each) for name, each in value.items()}
    return [_round_values(each) for each in value] if isinstance(value, list | tuple) else value
