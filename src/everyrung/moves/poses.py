"""The pose of a rung: the layers that its form calls for, one over the other, and the steps of an extra; and the levers
that a pose answers to.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import cache, reduce
from operator import attrgetter
from typing import Any

from everyrung.moves.levers import usual_carry
from everyrung.moves.pose_file import WORDS, shared_rules
from everyrung.terms.enums import Extra, Hold, LoadNeed, Mode, Press, Reach, Rotation, Sidedness, Support, Surface
from everyrung.terms.move import Form
from everyrung.terms.pose import (
    ENTRIES,
    SIDE_TAGS,
    Case,
    Ground,
    Layer,
    Length,
    Line,
    Offset,
    PoseText,
    Refusal,
    Span,
    Tether,
    Touch,
    When,
    has_words,
)

# What a pose has to show where a form differs from the move's own, and the lever that changes it.
SHAPE = {
    "support": "base", "surface": "surface", "hold": "base", "reach": "reach",
    "press": "press", "rotation": "rotation", "extra": "extra", "carry": "carry",
}  # fmt: skip
NOTHING = {Hold.NONE, Reach.NONE, Press.NONE, Rotation.NONE, Extra.NONE, Surface.FLOOR}
ALIKE = {Support.TWO_FEET, Support.WIDE, Support.NARROW, Support.TOES}  # one can be taken in another's place
GROUNDS = {
    Surface.BALL_WALL: (Ground.BALL_AT_WALL,),
    Surface.BALL_HEELS: (Ground.BALL_UNDER,),
    Surface.BALL_FOOT: (Ground.BALL_UNDER,),
    Surface.BALL_HANDS: (Ground.BALL_UNDER,),
    Surface.BALL_BELLY: (Ground.BALL_UNDER,),
    Surface.BALL_SEAT: (Ground.BALL_UNDER,),
    Surface.STEP: (Ground.STEP,),
    Surface.TABLE: (Ground.STEP,),  # a firm edge: only a chair has a back
}
asked_of = attrgetter("move", "range_share", *WORDS)  # all of a form that its layers go by
TURNS = ("trunk_turn", "trunk_bend")  # towards the working side


def pose_layer(text: PoseText, form: Form) -> Layer:
    """Shared rules for stance and surface, the move's own layer, shared rules for hands and trunk, the move's cases;
    and the steps of an extra."""
    below = tuple(place for place, case in enumerate(shared_rules().below) if case.holds(form))
    layer = _below(below).under(text.layer)
    for case in _over(text):
        layer = layer.under(case.layer) if case.holds(form) else layer
    layer = layer.without_removals()
    steps = [case.layer for case in text.steps if case.holds(form)]
    return replace(layer, steps=steps_from(layer, form.range_share, steps)) if steps else layer


@cache
def _below(places: tuple[int, ...]) -> Layer:
    """Those of the shared rules for stance and surface, one over the other: few ways serve all moves."""
    rules = shared_rules().below
    return reduce(Layer.under, (rules[place].layer for place in places), Layer())


def _over(text: PoseText) -> tuple[Case, ...]:
    return (*shared_rules().above, *text.cases)


def refusal(text: PoseText, base: Form, form: Form) -> Refusal | None:
    """The rule by which this form has no pose, if there is one; a move's own form is never refused."""
    rules = (*text.refusals, *shared_rules().refusals)
    return next((one for one in rules if has_words(one.words, form) and _differ(one, base, form)), None)


def _differ(rule: Refusal, base: Form, form: Form) -> bool:
    return any(getattr(form, name) != getattr(base, name) for name in rule.words)


def silent_levers(text: PoseText, base: Form, form: Form, pose: Callable[[Form], Layer]) -> Iterator[tuple[str, str]]:
    """The levers, each with its value, between a move's own form and this one that the pose knows nothing of; `pose`
    gives the layer of a form.

    A pose answers to a word when a case for it holds and changes something, to a load when it hangs somewhere, to a
    range when something moves with the depth, and to a side when the two sides do not do the same.
    """
    form = in_hand(form)
    layer = pose(form)
    for name, lever in SHAPE.items():
        value = getattr(form, name)
        if value in (None, getattr(base, name)) or (name == "carry" and value is usual_carry(form)[0]):
            continue  # as it was; or a load that hangs somewhere is carried as the move has it
        without = replace(form, **{name: getattr(base, name)})
        if not _has_case(text, base, form, name) or pose(without) == layer:
            yield lever, str(value)
    if form.surface is not base.surface and not _grounds(layer) <= set(GROUNDS.get(form.surface, ())):
        yield "surface", str(form.surface)  # what the move itself works on is still there
    if form.load.pieces and not (layer.hangs and _is_held(text, base, form)):
        yield "load", f"a {form.load}" if form.load is LoadNeed.MEDICINE_BALL else f"{form.load} load"
    if form.load.is_band and not (layer.stretched or layer.tethered):
        yield "load", f"a {form.load}"
    if form.range_share != base.range_share and (form.range_share > text.deepest or not _moves(layer)):
        yield "range", f"{form.range_share:.0%} depth"
    if form.sides is not base.sides and form.sides is not Sidedness.BOTH and not _one_sided(layer):
        yield "unilateral", str(form.sides)
    if form.mode is Mode.REPS and form.rotation is not base.rotation and not _moves(layer):
        yield "rotation", str(form.rotation)


def in_hand(form: Form) -> Form:
    """The form with its load carried as usual, where nothing is said."""
    loose = form.load.pieces > 0 and form.carry is None
    return replace(form, carry=usual_carry(form)[0]) if loose else form


def _has_case(text: PoseText, base: Form, form: Form, name: str) -> bool:
    """Whether a case of the pose holds for this very word; to nothing held, reached or turned no case is needed."""
    value = getattr(form, name)
    cases = (*text.cases, *text.steps)
    if text.may_share(name):
        cases = (*shared_rules().above, *cases)
        alike = name != "support" or {value, base.support} <= ALIKE
        cases = (*shared_rules().below, *cases) if alike else cases
    return value in NOTHING or any(value in case.words.get(name, ()) and case.holds(form) for case in cases)


def _is_held(text: PoseText, base: Form, form: Form) -> bool:
    """Whether the hands know how to hold the load: a medicine ball is too thick for what is made for a handle."""
    if base.load is form.load:
        return True
    handle = text.may_share("carry") or _has_case(text, base, form, "carry")
    return (handle and form.load is not LoadNeed.MEDICINE_BALL) or _has_case(text, base, form, "load")


def _grounds(layer: Layer) -> set[Ground]:
    """What the pose stands or leans on that only a surface brings."""
    only = {ground for grounds in GROUNDS.values() for ground in grounds}
    return {touch.on for touch in layer.touch.values() if touch} & only


def _moves(layer: Layer) -> bool:
    """Whether anything that doesn't give way differs between rest and full depth."""
    values = (value for name in ENTRIES if name not in ("loose", "open") for value in getattr(layer, name).values())
    return any(span.rest != span.full for value in values for span in _spans(value))


def _spans(value: Any) -> Iterator[Span]:
    match value:
        case Span():
            yield value
        case Length():
            yield value.span
        case Line():
            yield from (value.pitch, value.out)
        case Tether():
            yield from (value.line.pitch, value.line.out, value.stretch)
        case Offset():
            yield from (each.span for each in (value.forward, value.up, value.out) if each)
        case Touch():
            yield from (each for each in (value.share, value.height and value.height.span) if each)


def _one_sided(layer: Layer) -> bool:
    """Whether the two sides of the body are asked for different things."""
    keys = [key for one in (layer, *layer.steps) for name in ENTRIES for key in getattr(one, name)]
    turns = [span for name, span in layer.angles.items() if name in TURNS and span and (span.rest or span.full)]
    return bool(turns) or any(tag in f"{key} " for key in keys if not _square(key) for tag in ("_working ", "_other "))


def _square(key: str) -> bool:
    """'heel_other to heel_working' says how far apart two like points are, and no more of one side than the other."""
    start, _, end = key.partition(" to ")
    return bool(end) and start.removesuffix("_other") == end.removesuffix("_working")


def steps_from(layer: Layer, range_share: float, steps: Sequence[Layer]) -> tuple[Layer, ...]:
    """The layers of the steps after the full depth of `layer`; their rest is where the step before ends."""
    if not steps:
        return ()
    here, ways = _end_layer(layer, range_share), []
    for step in steps:
        way = _blend_in(here, step).without_removals()
        ways.append(way)
        here = _end_layer(way, 1.0)
    return tuple(ways)


def _end_layer(layer: Layer, depth: float) -> Layer:
    """A layer that stays as it is at full depth: nothing in it moves, and what is only touched at rest is left."""
    entries: dict[str, Any] = {
        name: {key: _still(value, depth) for key, value in getattr(layer, name).items() if not _left(value)}
        for name in ENTRIES
    }
    return replace(layer, self_checks=(), **entries)


def _left(value: Any) -> bool:
    return isinstance(value, Touch) and value.when is When.REST


def _still(value: Any, depth: float) -> Any:
    match value:
        case Span():
            return Span(rest=value.at(depth), full=value.at(depth))
        case Length():
            return replace(value, span=_still(value.span, depth))
        case Line():
            return Line(pitch=_still(value.pitch, depth), out=_still(value.out, depth))
        case Tether():
            return Tether(line=_still(value.line, depth), stretch=_still(value.stretch, depth))
        case Offset():
            return Offset(**{name: _still(getattr(value, name), depth) for name in ("forward", "up", "out")})
        case Touch():
            still = {name: _still(getattr(value, name), depth) for name in ("height", "share")}
            return replace(value, when=When.ALWAYS, **still)
    return value


def _blend_in(here: Layer, step: Layer) -> Layer:
    """A step laid over where the body is: each single number that it names is come to from there, not jumped to."""
    fields: dict[str, Any] = {
        name: {key: _from(_now(getattr(here, name), key), value) for key, value in getattr(step, name).items()}
        for name in ENTRIES
    }
    return here.under(replace(step, **fields))


def _now(entries: Any, key: str) -> Any:
    """The entry that a step's own replaces: of the same name, or of both sides."""
    bare = next((key.removesuffix(tag) for tag in SIDE_TAGS if key.endswith(tag)), key)
    return entries.get(key, entries.get(bare))


def _from(now: Any, value: Any) -> Any:
    """A value that begins where the body is, where both say the same kind of thing and it is written as one number."""
    if now is None or type(now) is not type(value):
        return value
    match value:
        case Span():
            return Span(rest=now.full, full=value.full) if value.rest == value.full else value
        case Length():
            return replace(value, span=_from(now.span, value.span)) if now.in_metres == value.in_metres else value
        case Line():
            return Line(pitch=_from(now.pitch, value.pitch), out=_from(now.out, value.out))
        case Offset():
            names = ("forward", "up", "out")
            return Offset(**{name: _from(getattr(now, name), getattr(value, name)) for name in names})
    return value
