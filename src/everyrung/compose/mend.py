"""What can be done about a finding with one press: candidates by its rule, each tried, and those that hold."""

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from itertools import chain

from everyrung.checks.registry import rules
from everyrung.checks.rule import AUDIENCE, BODIES
from everyrung.compose import kit, led_rungs, missing_parts, music, options, prepare, sides, slot, waves
from everyrung.compose.case import Case, Remedy
from everyrung.compose.trial import Again, Refusal, WorkingRemedy, try_remedy
from everyrung.moves.library import Library
from everyrung.pipeline import Options, run_plan

SHOWN = 3  # that change the session, and one that accepts; chosen, because more are no longer read
MOST_TRIALS = 12  # for one finding; chosen, because each takes a tenth of a second even without bodies
_MAKERS: dict[str, Callable[[Case], Iterator[Remedy]]] = {
    "slot-overrun": slot.overrun,
    "slot-underfilled": slot.underrun,
    "mid-phrase": music.mid_phrase,
    "warm-up-floor": missing_parts.floor,
    "warm-up-gap": prepare.warm_up_gap,
    "rest-short": prepare.rest_short,
    "cool-down-floor": missing_parts.floor,
    "reserve-missing": missing_parts.reserve,
    "stop-signs-unsaid": missing_parts.unsaid,
    "screening-unsaid": missing_parts.unsaid,
    "stretch-short": missing_parts.stretch_short,
    "pattern-balance": missing_parts.pattern_balance,
    "floor-changes": slot.floor_changes,
    "cut-order-missing": sides.cut_order,
    "cut-floor": sides.out_of_cut_order,
    "cut-sides": sides.out_of_cut_order,
    "sides-unequal": sides.both_sides,
    "side-by-round": sides.both_sides,
    "side-owed": sides.both_sides,
    "sides-differ": sides.sides_alike,
    "kit-change-in-cell": sides.sides_alike,
    "pair-unequal": led_rungs.pair_unequal,
    "kit-missing": kit.kit_missing,
    "kit-short": lambda case: chain(waves.in_waves(case), led_rungs.other_rungs(case)),
    "option-kit": kit.option_kit,
    "option-missing": lambda case: chain(options.option_missing(case), led_rungs.lower_rungs(case)),
    "option-order": options.option_of_what,
    "option-limit": options.option_of_what,
    "no-kit-needs-kit": options.no_kit_needs_kit,
    "newcomer-rung": options.newcomer_rung,
    "caution-unanswered": options.without_caution,
    "limit-without-path": options.without_caution,
    "floor-late": options.off_the_floor,
    "few-finish": options.lower_options,
    "entry-test": options.entry_test,
    "words-shown": options.leave_unsaid,
    "look-head-down": options.leave_unsaid,
    "words-urging": options.leave_unsaid,
    "side-not-theirs": options.leave_unsaid,
    "countdown-rises": options.leave_unsaid,
    "count-differs": options.leave_unsaid,
    "two-levers": led_rungs.fewer_changes,
    "round-same": led_rungs.a_step_up,
    "lever-down": led_rungs.back_up,
    "newcomer-knee-bends": led_rungs.newcomer_knee_bends,
    "newcomers-sore": led_rungs.fewer_rounds,
    "level-label": led_rungs.level_label,
    "round-not-harder": led_rungs.a_step_up,
    "round-within-error": led_rungs.a_step_up,
    "round-jumps": led_rungs.a_step_back,
    "rung-not-held": led_rungs.other_rungs,
    "self-check-missed": led_rungs.other_rungs,
    "pose-misfit": led_rungs.other_rungs,
    "not-posed": led_rungs.other_rungs,
    "rung-for-nobody": led_rungs.rung_for_nobody,
    "same-muscle": led_rungs.lower_rungs,
}
# Rules without a remedy: limit-rung only informs; held-breath and focus-differs ask for another move file; what is made
# heavier enough is the coach's to choose.


@dataclass(slots=True, kw_only=True)
class Account:
    """What trials came to: how many candidates held, and how many were refused for which reason."""

    working: int = 0
    refusals: Counter[Refusal] = field(default_factory=Counter)

    def note(self, verdict: WorkingRemedy | Refusal) -> None:
        """One trial more."""
        if isinstance(verdict, WorkingRemedy):
            self.working += 1
        else:
            self.refusals[verdict] += 1


def remedies(
    text: str, case: Case, again: Again, *, trials: int = MOST_TRIALS, account: Account | None = None
) -> tuple[Remedy, ...]:
    """The remedies that hold, those that change the session first; at most SHOWN and one that only accepts.

    `text` is the plan that the case's run was made from, `again` runs a changed one with the same parts asked.
    """
    working: list[tuple[int, Remedy]] = []
    families: set[str] = set()
    texts: set[str] = set()
    count = 0
    for remedy in candidates(case):
        enough = count >= trials or sum(not each.silent for _, each in working) >= SHOWN
        if remedy.family in families or (enough and not remedy.silent):
            continue
        count += 1
        verdict = try_remedy(text, case, remedy, again)
        if account:
            account.note(verdict)
        if isinstance(verdict, WorkingRemedy) and verdict.text not in texts:
            texts.add(verdict.text)
            families |= {remedy.family} - {""}
            working.append((verdict.milder, remedy))
    by_rank = sorted(working, key=lambda each: (each[1].silent, each[0] > 0))
    return tuple(remedy for _, remedy in by_rank)


def candidates(case: Case) -> Iterator[Remedy]:
    """All that might mend a finding, the first to be tried first; none where no change of a plan does."""
    make = _MAKERS.get(case.finding.rule)
    return make(case) if make else iter(())


def again(rule: str, library: Library, options: Options) -> Again:
    """Runs plans with those parts of `options` from which the rule's findings come."""
    parts = needs(rule)
    bare = replace(options, bodies=bool(parts), audience=options.audience if parts == "people" else None)
    return lambda plan: run_plan(plan, library=library, options=bare)


def needs(rule: str) -> str:
    """'' for a rule of time and checks, else what its findings come from: 'bodies' or 'people'."""
    if rule in {each.id for each in rules(BODIES)}:
        return "bodies"
    return "people" if rule in {each.id for each in rules(AUDIENCE)} else ""
