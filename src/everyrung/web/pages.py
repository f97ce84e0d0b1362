"""Pages of the studio from its templates: every word of a plan escaped, no script and no style in a page."""

import json
from collections.abc import Mapping
from functools import cache
from typing import Any

from jinja2 import Environment
from starlette.requests import Request
from starlette.responses import HTMLResponse

from everyrung import __version__
from everyrung.parsing.body_size import written_mass, written_stature
from everyrung.publish.pages import environment
from everyrung.score.layout import NARROW, WIDE, Paper
from everyrung.store.sessions import Revision
from everyrung.terms.errors import Faults
from everyrung.terms.seconds import moment_text, whole_ms
from everyrung.terms.sentences import upper_first
from everyrung.web.difference import stock_words
from everyrung.web.help import link_pages
from everyrung.web.parts import Parts, render_part, svg_part
from everyrung.web.security import token
from everyrung.web.static_files import asset
from everyrung.web.studio import studio_of

THEMES = ("light", "dark")


@cache
def templates() -> Environment:
    """Ours, with what they may use."""
    jinja = environment("everyrung.web")
    jinja.filters["clock"] = moment_text
    jinja.filters["whole_ms"] = whole_ms
    jinja.filters["stature"], jinja.filters["body_mass"] = written_stature, written_mass
    jinja.filters["stock_words"] = stock_words
    jinja.filters["json"] = lambda value: json.dumps(value, ensure_ascii=False)
    jinja.filters["capitalize_first"] = upper_first
    jinja.filters["link_pages"] = link_pages
    jinja.globals["asset"] = asset
    jinja.globals["part"], jinja.globals["svg_part"] = render_part, svg_part
    jinja.globals["version"] = __version__
    return jinja


def page(request: Request, template: str, status: int = 200, **content: Any) -> HTMLResponse:
    """A page, or a piece of one, as an answer."""
    parts = Parts()
    return HTMLResponse(parts.whole(_markup(request, template, parts, content)), status_code=status)


def news(
    request: Request, template: str, instead: str, holds: Mapping[str, str], status: int = 200, **content: Any
) -> HTMLResponse:
    """What differs of a template's parts from those that the page holds, each for its own place; the part `instead`
    for the place that the request itself is to change.
    """
    parts = Parts()
    markup, has_news = parts.news(_markup(request, template, parts, content), holds, instead)
    return HTMLResponse(markup, status_code=status, headers=None if has_news else {"HX-Reswap": "none"})


def _markup(request: Request, template: str, parts: Parts, content: Mapping[str, Any]) -> str:
    frame = {
        "said": "" if is_part(request) else request.session.pop("said", ""),
        "token": token(request),
        "theme": theme(request),
        "path": request.url.path,
        "guarded": studio_of(request).settings.needs_passphrase,
        "parts": parts,
    }
    return templates().get_template(template).render(**frame, **content)


def unreadable(request: Request, head: Revision, faults: Faults) -> HTMLResponse:
    """A session's text with what keeps it from being read as a plan."""
    return page(request, "text.html", head=head, faults=[str(each) for each in faults.faults], text=head.text)


def say(request: Request, words: str) -> None:
    """A sentence for the next page that this browser is shown."""
    request.session["said"] = words[:300]


def paper(request: Request) -> Paper:
    """What this browser's screen has room for: its script says so."""
    return NARROW if request.cookies.get("paper") == NARROW.name else WIDE


def theme(request: Request) -> str:
    """'light' or 'dark' where the coach chose; '' follows the machine."""
    choice = request.cookies.get("theme", "")
    return choice if choice in THEMES else ""


def is_part(request: Request) -> bool:
    """Whether a script asks for a part of a page."""
    return request.headers.get("hx-request") == "true"
