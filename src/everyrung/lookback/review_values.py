"""What a review says, as plain values: a screen, a page and print show these, and need no plan and no solver."""

from dataclasses import dataclass

from everyrung.terms.edit import Several


@dataclass(frozen=True, slots=True, kw_only=True)
class NextEdit:
    """One change of the plan, in words; `text` is the whole plan after it, None where it does not hold, and `why` says
    what stands in the way then. `after` says what else is different with it.
    """

    words: str
    edit: Several
    text: str | None
    why: str = ""
    after: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Telling:
    """One thing to know: `at` of the session and `in_recording`, '' where it is of the whole; the words said there."""

    at: str
    in_recording: str
    text: str
    words: str
    is_sure: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SumLine:
    """How long a kind of time took against the plan, in words; `off` with its sign, '' where it is as planned."""

    kind: str
    real: str
    plan: str
    off: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TalkLine:
    """What was said in a round: words a minute, the share of its time, the longest silence."""

    name: str
    rate: str
    share: str
    silence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HeartView:
    """One person's heart rate: what is to be thought of it, and for each round its name, how much is covered, mean
    and most a minute, and what lies between readings.
    """

    name: str
    sentences: tuple[str, ...]
    rows: tuple[tuple[str, str, str, str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SetLine:
    """A set of the plan, when it was planned and led, and what was otherwise."""

    name: str
    plan: str
    real: str
    change: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewView:
    """Everything that is shown. `wide` and `narrow` are the two scores for a screen, `pages` for print; `tellings` the
    gravest first, of which `first_count` are shown at once.
    """

    title: str
    began: str
    by: str
    summary: str
    wide: str
    narrow: str
    pages: tuple[str, ...]
    tellings: tuple[Telling, ...]
    sets: tuple[SetLine, ...]
    parts: tuple[SumLine, ...]
    kinds: tuple[SumLine, ...]
    talk: tuple[TalkLine, ...]
    hearts: tuple[HeartView, ...]
    sentences: tuple[str, ...]
    clock: tuple[str, ...]
    edits: tuple[NextEdit, ...]
    problems: tuple[str, ...]
    notes: str
    first_count: int
