"""What an output is: one part of what is published, with its files, what it needs, and the function that writes it."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path

from everyrung.publish.calendar import Series
from everyrung.results.analysis import Analysis
from everyrung.store.files import replace_text
from everyrung.terms.errors import require
from everyrung.terms.timeline import Track

Files = Iterator[tuple[Path, str]]  # each with what it is
NAMES = {Track.FIRST: "first-time", Track.AGAIN: "again"}  # within the names of files
LAST = 100  # the place of an output that names none: after those that are quick to make


class Need(StrEnum):
    """What an output cannot do without; where it is not there, the output is left out."""

    BODIES = "bodies"
    CUES = "cues"
    VOICE = "a voice"
    PEOPLE = "people"
    SERIES = "a series"
    LIVE = "people live online"


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What is to be published, and where: the session with all that was computed for it, and a folder.

    `series`: the weekly class, where it is one; `numbers`: of the people on the coach's list, by name; `progress` is
    called with how many steps are done, of how many, and may raise to stop; `notes` takes what the coach is to know.
    """

    run: Analysis
    folder: Path
    series: Series | None = None
    numbers: Mapping[str, int] = field(default_factory=dict)
    progress: Callable[[int, int], None] = lambda _count, _total: None
    notes: list[str] = field(default_factory=list)

    def has(self, need: Need) -> bool:
        """Whether it is there."""
        run = self.run
        there = {
            Need.BODIES: run.mechanics is not None,
            Need.CUES: bool(run.cues),
            Need.VOICE: run.voice is not None and bool(run.cues),
            Need.PEOPLE: bool(run.advice),
            Need.SERIES: self.series is not None,
            Need.LIVE: run.session.who.live,
        }
        return there[need]

    def text(self, name: str, text: str) -> Path:
        """Writes a text file into the folder, and returns its path. Raises Invalid for a name that leads out of it."""
        require(".." not in Path(name).parts and not Path(name).is_absolute(), "file", "one within the folder", name)
        replace_text(self.folder / name, text)
        return self.folder / name


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Output:
    """One part of what is published. `name` and `words` say to the coach what it is; `files` are its files' names, as
    patterns of `fnmatch`; `on_request` are the words of its choice: with them it is written only when it is asked for.
    `place`: which is written first. `beside`: it may be written in a process beside the others, where the order holds
    the run and the folder alone. `write` writes the files and yields each with what it is.
    """

    name: str
    files: tuple[str, ...]
    words: str
    write: Callable[[Order], Files]
    needs: tuple[Need, ...] = ()
    on_request: str = ""
    place: int = LAST
    beside: bool = False

    def __post_init__(self) -> None:
        require(bool(self.name) and self.name.isprintable(), "name", "some words", self.name)
        require(bool(self.files) and bool(self.words), "files and words", "some of each", self.name)


def output(
    name: str,
    files: tuple[str, ...],
    words: str,
    *,
    needs: tuple[Need, ...] = (),
    on_request: str = "",
    place: int = LAST,
    beside: bool = False,
) -> Callable[[Callable[[Order], Files]], Output]:
    """Makes an output of the function that writes it; the values are `Output`'s."""
    return lambda write: Output(
        name=name, files=files, words=words, write=write, needs=needs, on_request=on_request, place=place,
        beside=beside,
    )  # fmt: skip
