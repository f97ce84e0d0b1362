"""The player as one HTML file that a phone opens without network: fonts, figures, script and data are in it."""

import json
from base64 import b64encode
from dataclasses import asdict
from hashlib import sha256
from importlib.resources import files
from pathlib import Path

from markupsafe import Markup

from everyrung.effort.balls import NEVER
from everyrung.publish.pages import font_faces, page
from everyrung.publish.player.bundle import bundle
from everyrung.publish.player.content import Extras, extras, public_sheet
from everyrung.publish.player.motions import Motions, pack
from everyrung.publish.player.slim import symbol
from everyrung.publish.player.twin import passages
from everyrung.publish.sheet.blocks import Figures
from everyrung.publish.sheet.content import STOP_SIGNS
from everyrung.results.analysis import Analysis
from everyrung.runsheet.read_write import to_json
from everyrung.runsheet.terms import RunSheet
from everyrung.store.files import replace_text
from everyrung.terms.units import clock_text

STYLES = ("tokens.css", "player.css")
SCRIPT = "player/main.js"


def write_player(run: Analysis, path: Path, moving: Motions | None = None) -> None:
    """Writes the page to `path`, whole or not at all. Raises OSError when it cannot be written."""
    replace_text(path, player_html(run, moving))


def player_html(run: Analysis, moving: Motions | None = None) -> str:
    """The page of a run; made with `Options(drawings=True, cues=True)` it has figures and captions. Figures move where
    `moving` has them.

    Its policy lets only this script and this style in, by their digests, and nothing be fetched or sent.
    """
    figures = Figures(run.drawings)
    sheet, more = public_sheet(run), extras(run, figures)
    style = "\n".join([font_faces(), *map(_template, STYLES)])
    script = bundle(SCRIPT)
    return page(
        "player.html",
        sheet=sheet,
        extras=more,
        ball_care=NEVER,
        length=clock_text(sheet.variants[0].total_ms),
        passages=passages(sheet),
        stop_signs=STOP_SIGNS,
        pictures=Markup("".join(symbol(line.svg, line.number) for line in figures.lines)),  # drawn by publish/figure
        style=Markup(style),  # our own text, as is the script
        script=Markup(script),
        data=Markup(_data(sheet, more)),
        motions=pack(moving or {}),
        style_digest=Markup(_digest(style)),
        script_digest=Markup(_digest(script)),
    )


def _template(name: str) -> str:
    return (files("everyrung.publish") / "templates" / name).read_text(encoding="utf-8")


def _digest(text: str) -> str:
    """As a policy names a script: W3C Content Security Policy Level 3, 2.3.1."""
    return f"sha256-{b64encode(sha256(text.encode()).digest()).decode()}"


def _data(sheet: RunSheet, more: Extras) -> str:
    """JSON that no browser takes for markup, whatever a plan has in it."""
    plain = json.dumps(asdict(more), ensure_ascii=False, separators=(",", ":"))
    both = f'{{"sheet":{to_json(sheet)},"extras":{plain}}}'
    return both.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")
