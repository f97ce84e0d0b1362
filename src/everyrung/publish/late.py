"""Coming late to a session live online: where it is by the clock, what one needs, the first minute, who asks first."""

import json
from base64 import b64encode
from dataclasses import asdict
from datetime import datetime, timedelta
from hashlib import sha256
from importlib.resources import files
from pathlib import Path
from typing import Any

from markupsafe import Markup

from everyrung.publish.pages import page
from everyrung.publish.sheet.content import STOP_SIGNS
from everyrung.publish.typeset import pdf
from everyrung.results.analysis import Analysis
from everyrung.runsheet.live import live_entry
from everyrung.store.files import replace_bytes
from everyrung.terms.errors import Invalid
from everyrung.terms.units import clock_text

Values = dict[str, Any]


def late_values(run: Analysis, starts: datetime | None) -> Values:
    """All that stands on the card; times of the day where it is known when it `starts`, else minutes from the start.

    Raises Invalid where nobody takes part live.
    """
    live = live_entry(run.session, run.timeline)
    if live is None:
        raise Invalid("who.live", "a session that people follow live online", "none")

    def when(ms: int) -> str:
        return (starts + timedelta(milliseconds=ms)).strftime("%H:%M") if starts else clock_text(ms)

    values = asdict(live)
    for part in values["parts"]:
        part["time"] = when(part["at_ms"])
        part["moves"] = list(dict.fromkeys(move for _, move in part["sets"]))
    return {
        **values,
        "title": run.session.title,
        "starts": starts.strftime("%H:%M") if starts else "",
        "total_ms": run.timeline.total_ms,
        "end": when(run.timeline.total_ms),
        "stop_signs": STOP_SIGNS[:2],
    }


def late_html(values: Values) -> str:
    """The page for a telephone; it needs nothing besides itself, and keeps nothing."""
    script = (files("everyrung.publish") / "templates" / "late.js").read_text(encoding="utf-8")
    digest = b64encode(sha256(script.encode()).digest()).decode()
    data_values = {name: values[name] for name in ("parts", "total_ms")}
    data = Markup(json.dumps(data_values).replace("<", "\\u003c"))  # data, and no tag can begin in it
    return page("late.html", late=values, data=data, script=Markup(script), script_digest=f"sha256-{digest}")


def write_late(run: Analysis, folder: Path, starts: datetime | None = None) -> tuple[Path, Path, Path]:
    """late.html, late.pdf, and link.pdf for the leader, in a folder. Raises Invalid as above, OSError where they can't
    be written.
    """
    values = late_values(run, starts)
    html, paper, leader = folder / "late.html", folder / "late.pdf", folder / "link.pdf"
    replace_bytes(html, late_html(values).encode())
    replace_bytes(paper, pdf("late.typ", "late", {**values, "is_leaders": False}))
    replace_bytes(leader, pdf("late.typ", "late", {**values, "is_leaders": True}))
    return html, paper, leader
