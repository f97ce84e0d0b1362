"""The door: a card for the minute before the class, and a page of ticks that shows each person's way through it.

Ticks are answers to questions about movements; no illness is written down, and the page keeps and sends nothing.
"""

import json
from base64 import b64encode
from collections.abc import Iterator
from dataclasses import asdict, dataclass, fields
from hashlib import sha256
from importlib.resources import files
from pathlib import Path
from typing import Any

from markupsafe import Markup

from everyrung.moves.library import Library
from everyrung.moves.limit_words import limit_phrase, questions
from everyrung.publish.pages import page
from everyrung.publish.sheet.content import STOP_SIGNS
from everyrung.publish.typeset import pdf
from everyrung.room.paths import Source, Step, choices, first_choices, path, seated_path, seated_step
from everyrung.store.files import replace_bytes
from everyrung.terms.enums import BlockKind, Caution, Position
from everyrung.terms.move import Rung
from everyrung.terms.room import HELP, Emergency
from everyrung.terms.session import Session

# What people say at a door, in the order of the card; the questions for each are those of tables/limit_words.csv.
SAID = (
    "Pregnant",
    "High blood pressure",
    "Thin bones",
    "Sore knee",
    "Bad shoulder",
    "Bad back",
    "Sore wrist",
    "A fall lately",
    "Cannot get to the floor",
)
# Three factors and who asks a professional first: Riebe 2015 (CN40; the bounds of each from memory).
SCREENING = (
    "Active now? Half an hour of it on three days a week, for three months.",
    "Heart, circulation, kidneys or diabetes: known, or signs such as chest pain, faintness, breathlessness at rest?",
    "How hard do you want it today: gentle, moderate or hard?",
)
ANSWERS = (
    "Signs: not today. See a doctor first.",
    "Known and not active: see a doctor first.",
    "Known and active: gentle or moderate today; see a doctor before anything hard.",
    "Neither: come in. Not active? Start gently.",
)
# Two sources differ (Mottola 2019: change position when unwell; older advice: not after the first third).
PREGNANT = (
    "What were you advised, and how many weeks is it? Bleeding or dizziness now: not today, call the midwife or "
    "doctor. Lying on the back: one guideline says turn over when you feel unwell, older advice says not after the "
    "first third. The version without it is there either way."
)
# When to stop, by what somebody said. Pregnant: ACOG's older list (CN34, seen quoted), and Mottola 2019 on the back
# (CN33). Thin bones: Giangregorio 2014, table 5 (CN30): what to leave out. The others: common practice, no source.
STOP_FOR = {
    "Pregnant": (
        "bleeding or fluid, breathless before any effort, dizziness, headache, chest pain, weak muscles, a painful or "
        "swollen calf, contractions, less movement of the baby: call the midwife or doctor. Unwell on the back: turn "
        "over."
    ),
    "High blood pressure": "headache, dizziness, a tight chest, trouble seeing: sit down, get help if it doesn't pass.",
    "Thin bones": (
        "sudden pain in the back: have a doctor look at it. Leave out bending or turning the trunk to its limit, and "
        "turning on planted feet."
    ),
    "Sore knee": "sharp pain, a knee that locks or gives way: leave that move.",
    "Bad shoulder": "pinching, or numbness down the arm: leave that move, or keep the arms lower.",
    "Bad back": (
        "pain or numbness down a leg: leave that move. Numb between the legs, or trouble with the bladder: see a "
        "doctor at once."
    ),
    "Sore wrist": "sharp pain or numb fingers: off the hands.",
    "A fall lately": "dizziness or a stagger: hold on, sit down; from then on a hand on the wall.",
}
FIRST_TIME = "I am here for the first time"
CONSENT = (
    "I am taking part by choice and can stop when I like. The leader may see what I avoid, today only; clearing the "
    "ticks takes that back."
)
MEDICINE = "Medicine that keeps the pulse low: go by how hard it feels, not by the pulse. No names, no doses."
KEEPS = "What you tick stays on this page until it is closed: nothing is kept, nothing is sent."


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """One question that can be ticked: the caution that it means, and its words."""

    caution: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Topic:
    """What somebody says, whom to ask when they are not sure, what to know, the questions that it opens, and when
    they stop.
    """

    name: str
    ask: str
    note: str
    ticks: tuple[Tick, ...]
    stop: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A cell on the page: its versions by order, each with its cautions and where it comes from; `first` are those of
    whoever is there for the first time, who `rests` in rounds that first-timers are not led through.
    """

    round: str
    move: str
    versions: tuple[dict[str, Any], ...]
    first: tuple[dict[str, Any], ...]
    rests: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Instead:
    """On paper: one caution, and the moves that change with what is done in their place."""

    caution: str
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """All that stands on the card and on the page."""

    title: str
    newcomers: str
    first_time: str
    screening: tuple[str, ...]
    answers: tuple[str, ...]
    topics: tuple[Topic, ...]
    medicine: str
    keeps: str
    consent: str
    ways: tuple[Way, ...]
    instead: tuple[Instead, ...]
    stop_signs: tuple[str, ...]
    emergency: tuple[tuple[str, str], ...]


STANDING = "standing"  # left out by whoever stays seated; no caution of a rung, but how it is done
SEAT = Topic(
    name="Seated",
    ask="",
    note="Places for seats are at the front sides: seen by the leader, nobody in front of them.",
    ticks=(Tick(caution=STANDING, words="I'll stay seated throughout"),),
)


def door(session: Session, library: Library, emergency: Emergency | None) -> Door:
    """The door of a session: `emergency` as the room file has it, else lines to fill in."""
    return Door(
        title=session.title,
        newcomers=_newcomers(session),
        first_time=FIRST_TIME,
        screening=SCREENING,
        answers=ANSWERS,
        topics=(*(_topic(name) for name in SAID), SEAT),
        medicine=MEDICINE,
        keeps=KEEPS,
        consent=CONSENT,
        ways=tuple(_ways(session, library)),
        instead=tuple(_instead(session, library)),
        stop_signs=STOP_SIGNS[:4],
        emergency=_emergency_rows(emergency or Emergency()),
    )


def _newcomers(session: Session) -> str:
    count = session.newcomer_rounds
    rounds = "as many rounds as feel easy" if not count else "one round" if count == 1 else f"{count} rounds"
    return (
        f"First time: the easier version, a hand on the wall, {rounds}, then rest or hold. Tell the leader your name."
    )


def _topic(name: str) -> Topic:
    about = questions(name)
    return Topic(
        name=name,
        ask=about[0].ask,
        note=PREGNANT if name == "Pregnant" else "",
        ticks=tuple(Tick(caution=str(one.limit), words=limit_phrase(one.limit).rstrip(",")) for one in about),
        stop=STOP_FOR.get(name, ""),
    )


def _ways(session: Session, library: Library) -> Iterator[Way]:
    for block in session.blocks:
        for at, each in enumerate(block.rounds):
            name = block.name if each.name in ("", block.name) else f"{block.name}, {each.name}"
            rests = block.kind is BlockKind.MAIN and 0 < (session.newcomer_rounds or 0) <= at
            for cell in each.cells:
                seat = seated_step(session, library, cell)
                last = [(seat.source, seat.rung)] if seat.source and seat.rung else []
                versions, first = (
                    tuple(_version(one, source, library) for source, one in (*ways_of(session, library, cell), *last))
                    for ways_of in (choices, first_choices)
                )
                yield Way(round=name, move=cell.move.name, versions=versions, first=first, rests=rests)


def _version(rung: Rung, source: Source, library: Library) -> dict[str, Any]:
    return {"name": _version_words(rung, source, library), "avoid": _avoided_by(rung), "source": str(source)}


def _avoided_by(rung: Rung) -> list[str]:
    """The cautions of a rung, and that one is not seated in it."""
    standing = [] if rung.form.position is Position.SEATED else [STANDING]
    return [*(str(caution) for caution in rung.cautions), *standing]


def _instead(session: Session, library: Library) -> Iterator[Instead]:
    """For each caution alone: the moves that change, each once."""
    for caution in Caution:
        steps = [step for step in path(session, library, (caution,)) if step.source is not Source.LED]
        words = tuple(dict.fromkeys(_step_words(step, library) for step in steps))
        if words:
            yield Instead(caution=str(caution), steps=words)
    seats = [step for step in seated_path(session, library) if step.source is not Source.LED]
    yield Instead(caution=STANDING, steps=tuple(dict.fromkeys(_step_words(step, library) for step in seats)))


def _step_words(step: Step, library: Library) -> str:
    if step.rung is None:
        return f"{step.cell.move.name}: nothing; march or rest"
    return f"{step.cell.move.name}: {_version_words(step.rung, step.source, library)}"


def _version_words(rung: Rung, source: Source | None, library: Library) -> str:
    """A rung's name, with its move's where that is another and not in it already."""
    move = library.move(rung.move).name
    return f"{move}: {rung.name}" if source is Source.OTHER_MOVE and move not in rung.name else rung.name


def _emergency_rows(emergency: Emergency) -> tuple[tuple[str, str], ...]:
    return tuple((HELP[each.name], getattr(emergency, each.name)) for each in fields(Emergency))


def door_html(content: Door) -> str:
    """The page of ticks; it needs nothing besides itself."""
    values = asdict(content)
    script = (files("everyrung.publish") / "templates" / "door.js").read_text(encoding="utf-8")
    digest = b64encode(sha256(script.encode()).digest()).decode()
    ways = Markup(json.dumps(values["ways"]).replace("<", "\\u003c"))  # data, and no tag can begin in it
    return page("door.html", door=values, ways_json=ways, script=Markup(script), script_digest=f"sha256-{digest}")


def door_pdf(content: Door) -> bytes:
    """The card for the coach, one page."""
    return pdf("door.typ", "door", asdict(content))


def write_door(content: Door, folder: Path) -> tuple[Path, Path]:
    """door.html and door.pdf in a folder. Raises OSError where it can't be written."""
    html, paper = folder / "door.html", folder / "door.pdf"
    replace_bytes(html, door_html(content).encode())
    replace_bytes(paper, door_pdf(content))
    return html, paper
