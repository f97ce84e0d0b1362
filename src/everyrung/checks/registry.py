"""All the rules, and the one way to run them."""

from collections.abc import Callable, Iterator, Sequence

from everyrung.checks import (
    audience,
    balance,
    bodies,
    cautions,
    changes,
    cues,
    cuts,
    duration,
    kit,
    loads,
    newcomers,
    options,
    progression,
    sides,
)
from everyrung.terms.demand import Mechanics
from everyrung.terms.enums import Severity
from everyrung.terms.finding import Finding
from everyrung.terms.forecast import Forecast
from everyrung.terms.session import Session
from everyrung.terms.timeline import CueTrack, Timeline

Rule = Callable[[Session, Timeline], Iterator[Finding]]
BodyRule = Callable[[Session, Mechanics], Iterator[Finding]]
AudienceRule = Callable[[Session, Forecast], Iterator[Finding]]
CueRule = Callable[[Session, Sequence[CueTrack]], Iterator[Finding]]
RULES: tuple[Rule, ...] = (
    duration.slot_overrun,
    duration.slot_underfilled,
    duration.warm_up_floor,
    duration.cool_down_floor,
    sides.sides_unequal,
    sides.side_by_round,
    sides.sides_differ,
    sides.side_owed,
    loads.pair_unequal,
    kit.kit_missing,
    kit.kit_short,
    changes.kit_change_in_cell,
    changes.floor_changes,
    options.option_missing,
    options.entry_test,
    options.no_kit_needs_kit,
    options.option_order,
    options.option_kit,
    options.option_limit,
    progression.two_levers,
    progression.round_same,
    progression.lever_down,
    balance.pattern_balance,
    newcomers.newcomer_knee_bends,
    newcomers.newcomer_rung,
    cautions.caution_unanswered,
    cautions.limit_rung,
    cautions.held_breath,
    cuts.cut_order_missing,
    cuts.cut_floor,
    cuts.cut_sides,
    balance.level_label,
    balance.reserve_missing,
    cues.words_shown,
    cues.words_urging,
    cues.side_not_theirs,
    cues.countdown_rises,
    cues.count_differs,
)

BODY_RULES: tuple[BodyRule, ...] = (
    bodies.round_not_harder,
    bodies.round_within_error,
    bodies.round_jumps,
    bodies.rung_not_held,
    bodies.self_check_missed,
    bodies.focus_differs,
    bodies.pose_misfit,
    bodies.not_posed,
)

AUDIENCE_RULES: tuple[AudienceRule, ...] = (
    audience.few_finish,
    audience.rung_for_nobody,
    audience.load_not_earned,
    audience.newcomers_sore,
    audience.same_muscle,
    audience.limit_without_path,
)

CUE_RULES: tuple[CueRule, ...] = (cues.cue_unsaid,)


def check(
    session: Session,
    timeline: Timeline,
    mechanics: Mechanics | None = None,
    forecast: Forecast | None = None,
    tracks: Sequence[CueTrack] = (),
) -> tuple[Finding, ...]:
    """Every finding of every rule, errors first, then in the order of the file; those of the bodies, of the audience
    and of the cues where there are any.
    """
    found = [finding for rule in RULES for finding in rule(session, timeline)]
    if mechanics:
        found += [finding for body_rule in BODY_RULES for finding in body_rule(session, mechanics)]
    if forecast:
        found += [finding for heard in AUDIENCE_RULES for finding in heard(session, forecast)]
    if tracks:
        found += [finding for said in CUE_RULES for finding in said(session, tracks)]
    order = list(Severity)
    return tuple(sorted(found, key=lambda each: (order.index(each.severity), each.where.line, each.rule)))


def rule_id(rule: Rule | BodyRule | AudienceRule | CueRule) -> str:
    """The id that a rule's findings carry: its function's name with dashes."""
    return getattr(rule, "__name__", "").replace("_", "-")
