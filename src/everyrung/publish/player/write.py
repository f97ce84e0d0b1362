"""The player as one HTML file that a phone opens without network: fonts, figures, script and data are in it."""

import json
from base64 import b64encode
from dataclasses import asdict
from hashlib import sha256
from importlib.resources import files
from pathlib import Path

from markupsafe import Markup

from everyrung.publish.font import font_faces
from everyrung.publish.pages import page
from everyrung.publish.player.content import player_content
from everyrung.publish.player.slim import symbol
from everyrung.publish.player.terms import Player
from everyrung.publish.player.twin import passages
from everyrung.publish.sheet.content import STOP_SIGNS
from everyrung.publish.sheet.figures import Figures
from everyrung.results.analysis import Analysis
from everyrung.store.atomic import replace_text
from everyrung.terms.units import clock_text

STYLES = ("tokens.css", "player.css")
SCRIPTS = ("player-clock.js", "player-choose.js", "player-show.js", "player.js")  # the last one starts it all


def write_player(run: Analysis, path: Path) -> None:
    """Writes the page to `path`, whole or not at all. Raises OSError when it cannot be written."""
    replace_text(path, player_html(run))


def player_html(run: Analysis) -> str:
    """The page of a run; made with `Options(drawings=True, cues=True)` it has figures and captions.

    Its policy lets only this script and this style in, by their digests, and nothing be fetched or sent.
    """
    figures = Figures(run.drawings)
    player = player_content(run, figures)
    style = "\n".join([font_faces(), *map(_template, STYLES)])
    script = f'"use strict";\n(() => {{\n{"".join(map(_template, SCRIPTS))}}})();\n'
    return page(
        "player.html",
        player=player,
        length=clock_text(player.total_ms),
        passages=passages(player),
        stop_signs=STOP_SIGNS,
        pictures=Markup("".join(symbol(line.svg, line.number) for line in figures.lines)),  # drawn by publish/figure
        style=Markup(style),  # our own text, as is the script
        script=Markup(script),
        data=Markup(_data(player)),
        style_digest=Markup(_digest(style)),
        script_digest=Markup(_digest(script)),
    )


def _template(name: str) -> str:
    return (files("everyrung.publish") / "templates" / name).read_text(encoding="utf-8")


def _digest(text: str) -> str:
    """As a policy names a script: W3C Content Security Policy Level 3, 2.3.1."""
    return f"sha256-{b64encode(sha256(text.encode()).digest()).decode()}"


def _data(player: Player) -> str:
    """JSON that no browser takes for markup, whatever a plan has in it."""
    plain = json.dumps(asdict(player), ensure_ascii=False, separators=(",", ":"))
    return plain.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")
