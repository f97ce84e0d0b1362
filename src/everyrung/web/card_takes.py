"""What each card said to take, kept beside it: the answers after class begin from there, and it goes with the card."""

import json
from collections.abc import Collection, Mapping
from dataclasses import asdict, dataclass
from datetime import date
from pathlib import Path

from everyrung.store.files import FOR_THE_COACH_ALONE, replace_text
from everyrung.store.owners import Owner, Owners
from everyrung.terms.forecast import PersonAdvice

ENDING = "-takes.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class CardTake:
    """A move's key and the name of its version, the load in words, and how many repetitions; 0 for a hold."""

    move: str
    rung: str
    load: str
    reps: int


def keep_takes(owners: Owners, path: Path, owner: Owner, advice: PersonAdvice, session: str, on: date) -> None:
    """Writes down what the card of an evening says. Raises OSError."""
    takes = {
        str(each.ref): asdict(
            CardTake(move=each.take.form.move, rung=each.take.rung, load=each.take.load, reps=each.take.reps)
        )
        for each in advice.cells
        if each.take
    }
    owners.note([path], owner)
    values = {"session": session, "on": on.isoformat(), "takes": takes}
    replace_text(path, json.dumps(values, ensure_ascii=False) + "\n", mode=FOR_THE_COACH_ALONE)


def takes_on(files: Collection[Path], session: str, on: date) -> Mapping[str, CardTake]:
    """By set, what the card of somebody said for an evening, the one made last; nothing where there was none, or where
    what was kept can't be read. `files` are all that were made with them.
    """
    by_time: list[tuple[float, Mapping[str, CardTake]]] = []
    for path in files:
        if path.name.endswith(ENDING):
            try:
                values = json.loads(path.read_text(encoding="utf-8"))
                if (values["session"], values["on"]) == (session, on.isoformat()):
                    takes = {ref: CardTake(**each) for ref, each in values["takes"].items()}
                    by_time.append((path.stat().st_mtime, takes))
            except (OSError, ValueError, KeyError, TypeError):
                continue  # gone, or not ours: the list begins with what was done last
    return max(by_time, key=lambda each: each[0], default=(0.0, {}))[1]
