"""A stage as files: the run sheet and its pictures, so that nothing has to be computed while it is led."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from everyrung.moves.library import Library
from everyrung.publish.audio.sound import TONES
from everyrung.publish.figure.frames import rung_frames
from everyrung.publish.figure.rung import rung_svg
from everyrung.publish.sheet.content import STOP_SIGNS
from everyrung.results.analysis import Analysis
from everyrung.runsheet.build import figure_key, run_sheet
from everyrung.runsheet.read_write import to_json
from everyrung.store.cache import Cache
from everyrung.store.files import replace_text
from everyrung.terms.enums import Side
from everyrung.terms.errors import Invalid
from everyrung.terms.move import Rung
from everyrung.terms.units import Load

RUN_SHEET, LOOKS = "run-sheet.json", "looks.json"
HEIGHT_MM = 60.0  # chosen, because the ladder's figures are seen from afar
Values = dict[str, Any]


def write_stage(run: Analysis, folder: Path, library: Library, cache: Cache | None) -> None:
    """Writes to `folder` run-sheet.json; looks.json, what only a screen needs; still-<key>.svg and
    motion-<key>.json for each figure. The run sheet last, so that all is there when it is.
    The analysis needs its drawings, cues and branches. Raises OSError.
    """
    stills, motions = {}, {}
    for rung, load in _others(run):
        if (key := figure_key(rung, load)) not in stills and (drawing := run.drawings.get(rung.form)):
            stills[key] = mirror_side(drawing.seen)
            replace_text(folder / f"still-{key}.svg", rung_svg(rung, drawing, height_mm=HEIGHT_MM))
    for rung, load in _led_rungs(run):
        if (key := figure_key(rung, load)) not in motions and (frames := moving_figure(rung, load, library, cache)):
            motions[key] = mirror_side(frames["view"])
            replace_text(folder / f"motion-{key}.json", _plain(frames))
    looks = {
        "tones": tone_values(),
        "stop": list(STOP_SIGNS),
        "motions": motions,
        "stills": stills,
    }  # fmt: skip
    replace_text(folder / LOOKS, _plain(looks))
    replace_text(folder / RUN_SHEET, to_json(run_sheet(run)))


def tone_values() -> dict[str, list[float]]:
    """Pitch in Hz, length in s and amplitude of each kind of beep, for a page that sounds them itself."""
    return {str(kind): [tone.pitch_hz, tone.duration_ms / 1000, tone.amplitude] for kind, tone in TONES.items()}


def mirror_side(view: str) -> str:
    """For which side of the people a picture is turned left for right: all are solved with the right limb working.

    Beside the figure people turn as it does, face to face they follow as in a mirror: as on film.
    """
    return str(Side.LEFT if view == "side" else Side.RIGHT)


def _led_rungs(run: Analysis) -> Iterator[tuple[Rung, Load | None]]:
    return ((cell.rung, cell.bouts[0].load) for cell in run.session.cells)


def _others(run: Analysis) -> Iterator[tuple[Rung, Load | None]]:
    return ((option.rung, option.load) for cell in run.session.cells for option in cell.options)


def moving_figure(rung: Rung, load: Load | None, library: Library, cache: Cache | None) -> Values | None:
    """The rung in motion, as the studio's figures have it; None where it has no pose."""
    try:
        return rung_frames(rung, library, cache, load=load)
    except Invalid:
        return None


def _plain(values: Values) -> str:
    return json.dumps(values, separators=(",", ":"), ensure_ascii=False)
