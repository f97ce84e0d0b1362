"""What the player's page knows, as plain values: the one source of its script's data and of its text to read.

Every time is in ms on the session's clock. Sides and hands are the participant's.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class RungLine:
    """One rung of a set. `kinds` are 'as led', 'harder', 'easier', 'no kit': all that it serves as.

    `needs` is kit that not everyone has, pieces by item; `kit` all of it in words. `looks` are what to check oneself
    by; `sides` are those of its bouts, in order; `figure` is 0 where there is no picture.
    """

    kinds: tuple[str, ...]
    name: str
    dose: str
    load: str
    kit: str
    needs: dict[str, int]
    test: str
    looks: tuple[str, ...]
    sides: tuple[str, ...]
    ball: str
    figure: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SetLine:
    """One set: where it stands, when it begins, and where repeating it begins, which is before its count-in.

    `beyond` says that first-timers are not led through its round. The rung that is led stands first.
    """

    number: int
    block: str
    round: str
    move: str
    at_ms: int
    again_ms: int
    beyond: bool
    rungs: tuple[RungLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkLine:
    """The work of one span. `reps` is 0 in a hold; `timed` when the clock ends it and not the count.

    `phases` are one repetition's, each with its length in ms; none in a hold.
    """

    bout: int
    reps: int
    rep_ms: int
    timed: bool
    side: str
    alternating: bool
    phases: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SpanLine:
    """One stretch of the clock; `set` is the place of its set in the list of sets, -1 for an announcement."""

    at_ms: int
    end_ms: int
    kind: str
    set: int
    text: str
    work: WorkLine | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BallRow:
    """Up to this stature, cm: the diameters, and the whole advice with its test."""

    to_cm: int
    sizes: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ToneLine:
    """How one kind of beep sounds."""

    pitch_hz: int
    duration_ms: int
    amplitude: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Player:
    """The whole page. `said` is by track: from when, to when, and the place in `words`, where each saying stands once.

    `beeps` are onsets and kinds, `balls` by what the ball is for, `kit` the most pieces that a rung needs.
    """

    title: str
    total_ms: int
    sets: tuple[SetLine, ...]
    spans: tuple[SpanLine, ...]
    beeps: tuple[tuple[int, str], ...]
    tones: dict[str, ToneLine]
    words: tuple[str, ...]
    said: dict[str, tuple[tuple[int, int, int], ...]]
    balls: dict[str, tuple[BallRow, ...]]
    ball_care: str
    kit: dict[str, int]
    stature_cm: tuple[int, int]
