"""The judge of a leader's script: what is out of order, not said, said too often, too late, or not true.

`python docs/accuracy/script_judge.py` prints the table of docs/script.md for the examples; names of plan files after it
judge those. It reads the words as a listener would, and the plan for what is true; nothing that wrote the words.
"""

import re
import sys
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from pathlib import Path

from everyrung.cues.cell_timing import CellTiming, cell_timings
from everyrung.results.analysis import Analysis
from everyrung.terms.enums import BlockKind, CueKind, KitItem, OptionKind, Position, Side, SpanKind, Support
from everyrung.terms.plan import Ref
from everyrung.terms.session import Cell
from everyrung.terms.timeline import CueTrack, SaidCue, Span
from everyrung.timing.transitions import held_kit

ROOT = Path(__file__).parents[2]
WINDOW = 3  # sets in a row in which words should not come again
HARD = 0.5  # of all that the leader could do
OFF_MS = 450  # by which a count may be off; a third of a second, and the grid
_GET = r"(?:the|a|one|two|both) (?!easier|harder|shorter)"
KIT = re.compile(
    rf"\b(?:(?:take|fetch|reach for|pick up) {_GET}|step into the mini|(?:go|come|over) to the"
    r"|(?:away from|leave) the wall"
    r"|(?:weights?|kettlebell|medicine ball) down"
    r"|(?:ball|band|chair|sliders) away|put one dumbbell)",
    re.IGNORECASE,
)
HANDS = re.compile(r"\b(left|right) hand\b", re.IGNORECASE)
SWAP = re.compile(r"\b(?:swap hands|change hands|weight across)\b", re.IGNORECASE)
WAYS = {
    "down": re.compile(r"\bdown (?:on|to)\b", re.IGNORECASE),
    "up": re.compile(r"\b(?:stand up|up to standing|up, and sit)\b", re.IGNORECASE),
    "over": re.compile(r"\b(?:turn over|sit up|sit back|lie back|(?:up|down) onto)\b", re.IGNORECASE),
    "seat": re.compile(r"\bsit (?:down|on)\b", re.IGNORECASE),
}
FETCH = re.compile(rf"\b(?:(?:take|fetch) {_GET}|(?:go|come|over) to the)", re.IGNORECASE)
COUNT_IN = re.compile(r"^(?:(?:five|four|three|two|one)(?:, )?)+\.$", re.IGNORECASE)
LEFT = re.compile(r"^(?:last|just|final|only)? ?(three|ten)\b", re.IGNORECASE)
DOSE = re.compile(r"^(?:make it )?(\d+)(?: repetitions| of these| times|\b)", re.IGNORECASE)
SECONDS = re.compile(r"\b(\d+) seconds\b")
TAKE = re.compile(
    r"\b(?:take|fetch|reach for|pick up|(?:go|come|over) to|into) (?:the |a |one |two |both |second )*(\w+)",
    re.IGNORECASE,
)


@dataclass(frozen=True, kw_only=True)
class Case:
    """One track of a session: `efforts` are the leader's, 0 to 1, by cell."""

    run: Analysis
    track: CueTrack
    efforts: Mapping[Ref, float]

    @cached_property
    def visits(self) -> tuple[CellTiming, ...]:
        return cell_timings(self.run.timeline, self.run.session.clock)

    @cached_property
    def by_set(self) -> dict[Ref, list[SaidCue]]:
        found: dict[Ref, list[SaidCue]] = {}
        for cue in self.track.said:
            if cue.ref is not None:
                found.setdefault(cue.ref, []).append(cue)
        return found

    def before(self, visit: CellTiming) -> list[SaidCue]:
        """What is said about a set before its work."""
        return [cue for cue in self.by_set.get(visit.cell.ref, []) if cue.at_ms < visit.work[0].at_ms]

    def during(self, span: Span) -> list[SaidCue]:
        return [cue for cue in self.track.said if span.at_ms <= cue.at_ms < span.end_ms]


Fault = tuple[bool, str]  # whether it is one, and which
Check = Callable[[Case], Iterator[Fault]]


def kit_late(case: Case) -> Iterator[Fault]:
    """Kit named after the position that needs it."""
    for visit in case.visits:
        positions = {_any_side(cue.text) for cue in visit.cell.rung.cues if cue.kind is CueKind.SET_UP}
        said = case.before(visit)
        kit = [cue.at_ms for cue in said if _is_kit(cue) and _any_side(cue.text) not in positions]
        places = [cue.at_ms for cue in said if _any_side(cue.text) in positions]
        if kit:
            yield bool(places) and min(places) < max(kit), str(visit.cell.ref)


def _is_kit(cue: SaidCue) -> bool:
    """A caution says what to do with kit when something is wrong, or at the end; it is no kit move."""
    return cue.kind is not CueKind.SAFETY and KIT.search(cue.text) is not None


def _any_side(text: str) -> str:
    return re.sub(r"\b(?:working|left|right)\b", "…", text)


def hand_missing(case: Case) -> Iterator[Fault]:
    """A load in one hand of which nobody hears the hand, or the change of hands."""
    for visit in case.visits:
        hands = [bout.load_side for bout in visit.cell.bouts]
        if hands[0] not in (Side.LEFT, Side.RIGHT):
            continue
        named = [each.lower() for cue in case.before(visit) for each in HANDS.findall(cue.text)]
        yield str(hands[0]) not in named, f"{visit.cell.ref}: hand"
        if len(hands) > 1 and hands[1] is not hands[0]:
            said = (cue for cue in case.track.said if visit.work[0].at_ms <= cue.at_ms < visit.work[1].at_ms)
            yield not any(SWAP.search(cue.text) for cue in said), f"{visit.cell.ref}: swap"


def place_missing(case: Case) -> Iterator[Fault]:
    """Getting down, up, over or onto a seat that nobody is told; and what is fetched by people who lie or sit there."""
    before, knees = Position.STANDING, False
    for visit in case.visits:
        after, said = visit.cell.rung.form.position, case.before(visit)
        was_on_knees, knees = knees, _is_on_knees(visit.cell)
        fetched = [cue.at_ms for cue in said if cue.kind is CueKind.KIT and FETCH.search(cue.text)]
        rises = before.on_floor and bool(fetched)
        for way in ("up", "down") if rises and after.on_floor else (_way(before, after),):
            if way and not (was_on_knees and knees):
                yield not any(WAYS[way].search(cue.text) for cue in said), f"{visit.cell.ref}: {way}"
        if rises:
            up = [cue.at_ms for cue in said if WAYS["up"].search(cue.text)]
            yield not up or min(up) > min(fetched), f"{visit.cell.ref}: fetched from the floor"
        before = after


def _is_on_knees(cell: Cell) -> bool:
    """A push-up from the knees is on hands and knees, by whatever name."""
    form = cell.rung.form
    return form.position is Position.HANDS_AND_KNEES or form.support is Support.HANDS_AND_KNEES


def _way(before: Position, after: Position) -> str:
    if after.on_floor:
        return "" if before is after else "over" if before.on_floor else "down"
    if after is Position.SEATED:
        return "" if before is Position.SEATED else "up" if before.on_floor else "seat"
    return "up" if before.on_floor or before is Position.SEATED else ""


def version_missing(case: Case) -> Iterator[Fault]:
    """The version for home or for limits that differs from what is led and is not said in this round."""
    for visit in case.visits:
        if visit.block_kind is not BlockKind.MAIN:
            continue
        for place, option in enumerate(visit.cell.options, start=1):
            if option.kind is OptionKind.HARDER or option.rung.name == visit.cell.rung.name:
                continue
            named = any(
                option.rung.name in cue.text or (str(cue.kind) == "version" and place in cue.rungs)
                for cue in case.before(visit)
            )
            yield not named, f"{visit.cell.ref}: {option.kind}"


def breath_late(case: Case) -> Iterator[Fault]:
    """Breathing that is spoken of in the last third of a set."""
    for visit in case.visits:
        for span in visit.work:
            for cue in case.during(span):
                if cue.kind is CueKind.BREATHING:
                    yield cue.at_ms > span.at_ms + 2 * span.duration_ms / 3, f"{visit.cell.ref}: {cue.text}"


# What has to be said in every round, however soon the next one comes.
EVERY_ROUND = ("kit", "place", "side", "version", "change", "set-up", "safety")


def repeated(case: Case) -> Iterator[Fault]:
    """The same words within three sets; not the count-in, which has to be the same, nor what a move needs in every
    round where its rounds are as short.
    """
    place = {visit.cell.ref: number for number, visit in enumerate(case.visits)}
    last: dict[str, SaidCue] = {}
    for cue in case.track.said:
        if cue.ref is None or COUNT_IN.match(cue.text):
            continue
        words = cue.text.casefold()
        before = last.get(words)
        near = before is not None and before.ref is not None and place[cue.ref] - place[before.ref] < WINDOW
        yield near and not _again(before, cue), f"{cue.ref}: {cue.text}"
        last[words] = cue


def _again(before: SaidCue | None, cue: SaidCue) -> bool:
    """Whether it is what one move needs in each of two rounds."""
    if before is None or before.ref is None or cue.ref is None or before.ref.round == cue.ref.round:
        return False
    same = (before.ref.block, before.ref.cell) == (cue.ref.block, cue.ref.cell)
    return same and str(cue.kind) in EVERY_ROUND


def talk_long(case: Case) -> Iterator[Fault]:
    """Stretches of work, and the session without the coach's own announcements, that are more than half words."""
    spans = [span for visit in case.visits for span in visit.work]
    for span in spans:
        spoken = sum(min(cue.end_ms, span.end_ms) - cue.at_ms for cue in case.during(span))
        yield spoken > span.duration_ms / 2, f"{span.cell.ref if span.cell else ''}: {spoken / span.duration_ms:.0%}"
    yield talk_share(case) > 0.5, f"the session: {talk_share(case):.0%}"


def talk_share(case: Case) -> float:
    """The part of the session's time in which something is said; announcements left out of both."""
    announced = sum(each.duration_ms for each in case.run.timeline.spans if each.kind is SpanKind.ANNOUNCE)
    spoken = sum(cue.end_ms - cue.at_ms for cue in case.track.said if cue.ref is not None)
    return spoken / (case.run.timeline.total_ms - announced)


def encouragement_off(case: Case) -> Iterator[Fault]:
    """Hard sets of the main part without a good word, or with more than two a set (or one a side)."""
    for visit in case.visits:
        if visit.block_kind is BlockKind.MAIN and case.efforts.get(visit.cell.ref, 0.0) >= HARD:
            count = sum(cue.kind is CueKind.ENCOURAGEMENT for cue in case.by_set[visit.cell.ref])
            yield not 1 <= count <= 2, f"{visit.cell.ref}: {count}"


def untrue(case: Case) -> Iterator[Fault]:
    """Counts, sides and kit that are not the plan's."""
    for before, visit in pairwise((None, *case.visits)):
        assert visit is not None
        for cue in case.by_set.get(visit.cell.ref, []):
            for wrong in (
                _wrong_count(cue, visit), _wrong_dose(cue, visit), _wrong_hand(cue, visit),
                _wrong_kit(cue, visit, before.cell if before else None),
            ):  # fmt: skip
                if wrong is not None:
                    yield wrong, f"{cue.ref}: {cue.text}"


def _wrong_count(cue: SaidCue, visit: CellTiming) -> bool | None:
    """'Last three.' when three are left, 'Ten seconds.' when it is ten; None where nothing is counted."""
    found = LEFT.match(cue.text)
    span = next((each for each in visit.work if each.at_ms <= cue.at_ms < each.end_ms), None)
    if cue.kind is not CueKind.COUNT or COUNT_IN.match(cue.text) or not found or span is None or span.bout is None:
        return None
    if found[1].casefold() == "ten":
        return abs(span.end_ms - 10_000 - cue.at_ms) > OFF_MS
    bout = span.bout
    return abs(span.at_ms + (bout.reps - 3) * bout.rep_ms - cue.at_ms) > OFF_MS


def _wrong_dose(cue: SaidCue, visit: CellTiming) -> bool | None:
    if cue.at_ms >= visit.work[0].at_ms:
        return None
    bout, seconds = visit.cell.bouts[0], SECONDS.search(cue.text)
    if cue.kind is CueKind.SET_UP and seconds:
        return abs(int(seconds[1]) * 1000 - bout.duration_ms) > 500
    if cue.kind is CueKind.SET_UP and (dose := DOSE.match(cue.text)):
        return int(dose[1]) != bout.reps
    if str(cue.kind) == "break" and seconds:
        return abs(visit.work[0].at_ms - cue.end_ms - int(seconds[1]) * 1000) > 5000
    return None


def _wrong_hand(cue: SaidCue, visit: CellTiming) -> bool | None:
    found = re.search(r"weight in the (left|right) hand", cue.text)
    if found is None:
        return None
    later = cue.at_ms >= visit.work[0].at_ms
    return found[1] != str(visit.cell.bouts[-1 if later else 0].load_side)


def _wrong_kit(cue: SaidCue, visit: CellTiming, before: Cell | None) -> bool | None:
    """What is to be taken is used in this set, and is not in use already."""
    found = TAKE.findall(cue.text) if KIT.search(cue.text) and cue.at_ms < visit.work[0].at_ms else []
    named = [{item for item in KitItem if item.value.split()[-1].startswith(word.rstrip("s"))} for word in found]
    named = [items for items in named if items]
    if not named:
        return None
    now = held_kit(visit.cell, visit.cell.bouts[0])
    stays = {held.item for held in now if before and held in held_kit(before, before.bouts[-1])}
    return any(not items & {held.item for held in now} or items & stays for items in named)


def goodbye_missing(case: Case) -> Iterator[Fault]:
    """An end without thanks, where the plan has no last words of its own."""
    if case.run.session.blocks[-1].kind is BlockKind.ANNOUNCEMENT:
        return
    yield not any("thank" in cue.text.casefold() for cue in case.track.said[-8:]), "the end"


# What is counted, the most of it that passes as a part of all, and the check.
CHECKS: dict[str, tuple[float, Check]] = {
    "kit after the position that needs it": (0.0, kit_late),
    "hand or change of hands unsaid": (0.0, hand_missing),
    "down, up, over or seat unsaid": (0.0, place_missing),
    "version for home or limits unsaid in a round": (0.0, version_missing),
    "breath in the last third": (0.0, breath_late),
    "words again within three sets": (0.05, repeated),
    "more than half words": (0.0, talk_long),
    "hard set without or with too much encouragement": (0.0, encouragement_off),
    "untrue": (0.0, untrue),
    "no goodbye": (0.0, goodbye_missing),
}


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """What one check found: how many looked at, and which of them are faults."""

    of: int
    faults: tuple[str, ...]
    most: float

    @property
    def passes(self) -> bool:
        return len(self.faults) <= self.most * self.of


def judge(case: Case) -> dict[str, Verdict]:
    """Every check of one track."""
    result = {}
    for name, (most, check) in CHECKS.items():
        found = list(check(case))
        result[name] = Verdict(of=len(found), faults=tuple(what for bad, what in found if bad), most=most)
    return result


def cases(path: Path) -> list[Case]:
    """Both tracks of a plan file."""
    from everyrung import analyze
    from everyrung.effort.choices import session_offers
    from everyrung.effort.known_people import leader_efforts
    from everyrung.moves.library import standard_library
    from everyrung.store.cache import default_cache

    run = analyze(path, cues=True, cache=True)
    offers = session_offers(run.session, standard_library(), default_cache(), None, led_alone=True)
    efforts = leader_efforts(run.session, run.timeline, offers)
    return [Case(run=run, track=track, efforts=efforts) for track in run.cues]


def table(paths: list[Path]) -> Iterator[str]:
    """A row for each check: how many of how many, over both tracks of each plan."""
    names = [path.stem for path in paths]
    verdicts = {path.stem: [judge(case) for case in cases(path)] for path in paths}
    yield f"| what is counted | {' | '.join(names)} |"
    yield f"|---|{'---|' * len(names)}"
    for check in CHECKS:
        counts = [_count([each[check] for each in verdicts[name]]) for name in names]
        yield f"| {check} | {' | '.join(counts)} |"


def _count(found: list[Verdict]) -> str:
    return f"{sum(len(each.faults) for each in found)} of {sum(each.of for each in found)}"


def examples() -> list[Path]:
    return [path for path in sorted((ROOT / "examples").glob("*.toml")) if path.stem != "faulty"]


if __name__ == "__main__":
    plans = [Path(each) for each in sys.argv[1:] if not each.startswith("-")] or examples()
    print("\n".join(table(plans)))
    if "--faults" in sys.argv:
        for plan in plans:
            for one in cases(plan):
                for check, verdict in judge(one).items():
                    print(*(f"{plan.stem}, {one.track.track}, {check}: {what}" for what in verdict.faults), sep="\n")
