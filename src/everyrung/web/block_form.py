"""What is wanted of a block of weeks, between the fields of a form and the head of its file."""

import json
import re
import tomllib
from collections.abc import Iterator, Mapping
from datetime import date, time
from typing import Any

from everyrung.terms.block_brief import MOST_EVENINGS
from everyrung.terms.errors import Invalid
from everyrung.web.brief_form import FOCUS, PATTERNS, PERSON

Form = Mapping[str, str]
WORDS = ("title", "brief", "zone", "place", "link")
MOST_LETTERS = 600  # of a field; chosen, as of a brief's own words
SOME = re.compile(r"[,;\s]+")


def head_of(form: Form) -> str:
    """The head of a block's file that a form asks for. Raises Invalid for what no file could say."""
    lines = [f"{name} = {_quote(form.get(name, ''))}" for name in WORDS if form.get(name, "").strip()]
    lines.append(f"first = {_day('first', form.get('first', ''))}")
    lines.append(f"weeks = {_number('weeks', form.get('weeks', ''))}")
    for name in ("closed", "missed"):
        days = sorted(set(_days(name, form.get(name, ""))))
        lines += [f"{name} = [{', '.join(days)}]"] if days else []
    aims = [json.dumps(str(each)) for each in PATTERNS if form.get(f"{FOCUS}{each}")]
    lines += [f"aims = [{', '.join(aims)}]"] if aims else []
    lines += ["balance = true"] if form.get("balance") else []
    for at in range(MOST_EVENINGS):
        if form.get(f"day-{at}", "").strip():
            lines += ["", "[[weekly]]", f"day = {_quote(form[f'day-{at}'])}"]
            lines.append(f"starts = {_quote(form.get(f'starts-{at}', ''))}")
            otherwise = form.get(f"brief-{at}", "")
            lines += [f"brief = {_quote(otherwise)}"] if otherwise.strip() else []
    return "\n".join(lines) + "\n"


def people_in(form: Form) -> tuple[int, ...]:
    """The numbers of those who are ticked."""
    numbers = [name.removeprefix(PERSON) for name in form if name.startswith(PERSON)]
    return tuple(int(each) for each in numbers if each.isdecimal() and len(each) < 9)


def form_of(head: str) -> dict[str, str]:
    """The fields of a form that say what a file's head does."""
    values = tomllib.loads(head)
    form = {name: str(values.get(name, "")) for name in (*WORDS, "first", "weeks")}
    form |= {name: ", ".join(map(str, values.get(name, ()))) for name in ("closed", "missed")}
    form |= {f"{FOCUS}{each}": "on" for each in values.get("aims", ())}
    form |= {"balance": "on"} if values.get("balance") else {}
    for at, each in enumerate(values.get("weekly", ())):
        form |= dict(_evening(at, each))
    return form


def _evening(at: int, values: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    yield f"day-{at}", str(values.get("day", ""))
    starts = values.get("starts", "")
    yield f"starts-{at}", f"{starts:%H:%M}" if isinstance(starts, time) else str(starts)
    yield f"brief-{at}", str(values.get("brief", ""))


def _quote(text: str) -> str:
    """A TOML string: JSON's is one, but for the sign DEL."""
    return json.dumps(text.strip()[:MOST_LETTERS].replace("\x7f", " "), ensure_ascii=False)


def _day(name: str, text: str) -> str:
    try:
        return date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        raise Invalid(name, "a day such as 2027-01-11", text or "nothing") from None


def _days(name: str, text: str) -> Iterator[str]:
    return (_day(name, each) for each in SOME.split(text.strip()) if each)


def _number(name: str, text: str) -> str:
    if not text.strip().isdecimal() or len(text.strip()) > 6:
        raise Invalid(name, "a whole number", text or "nothing")
    return str(int(text))
