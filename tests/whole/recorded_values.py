"""What functions of effort and cues say over a grid of values, as lines: boundaries, roundings and words."""

from collections.abc import Callable, Iterable, Iterator
from itertools import product
from types import SimpleNamespace
from typing import Any

import numpy as np
from made_demands import made_offers
from made_people import BALLS, HERE, PEOPLE
from record_lines import outline
from recorded import FORECAST, Parts, plan_of

from everyrung.cues.candidates import CueCandidate, CueRotation
from everyrung.cues.kit_words import kit_change_words
from everyrung.cues.mirroring import leader_side
from everyrung.cues.phrases import Phrases
from everyrung.cues.schedule import schedule_cues
from everyrung.cues.speech import number_words, speech_ms, speech_text, syllables, words
from everyrung.effort import balls, heart, uncertainty
from everyrung.effort import people_strength as people
from everyrung.effort import words as said
from everyrung.effort.audience import audience
from everyrung.effort.cell_stats import percentiles
from everyrung.effort.choices import schedule
from everyrung.effort.known_people import known_person
from everyrung.effort.mix import mix_names, read_mix
from everyrung.effort.perform_set import weights
from everyrung.effort.person_fit import answer_sd, fit_person
from everyrung.effort.rates import joint_of, rates
from everyrung.effort.recommend import is_leap, question
from everyrung.effort.select_rung import Piece, most_of_body_mass
from everyrung.effort.simulate import simulation_plan
from everyrung.effort.uncertainty import draws
from everyrung.moves.library import standard_library
from everyrung.people.answers import Answer
from everyrung.terms.enums import CueKind, KitItem, OptionKind, Side, View
from everyrung.terms.forecast import Spread
from everyrung.terms.person import Estimate, Experience, Sex
from everyrung.terms.plan import Ref
from everyrung.terms.timeline import KitInUse
from everyrung.terms.units import Mass, MassUnit

TEXTS = (
    "3x10 with 10 lb, 20-30 s rest & 1 kg/hand", "Heels down.", "Every careful one: breathe out as you rise",
    "Lower slowly, hundreds of little circles", "Ease the shoulders; you're idle, quiet ideas", "", "A 2.5 kg ball",
)  # fmt: skip


def over(name: str, function: Callable[..., Any], *axes: Iterable[Any]) -> Iterator[str]:
    """The function at every combination of these values."""
    for values in product(*axes):
        shown = ", ".join(f"{one:g}" if isinstance(one, float) else str(one) for one in values)
        yield from outline(f"{name}({shown})", function(*values))


def effort_lines() -> Iterator[str]:
    yield from over("effort", said.effort, (-0.5, 0.0, 0.9, 3.0, 4.0, 4.1, 10.0, 10.1))
    yield from over("left", said.left_words, (0.5, 1.0, 4.0, 4.9, 5.0, 7.4, 7.6, 10.0, 11.0, 38.0), ("reps", "s"))
    for spread in (Spread(p10=3, p50=5, p90=12), Spread(p10=12, p50=13, p90=20), None):
        yield from outline("range", said.effort_range(spread))
    yield from over(
        "estimate", lambda f, sd: said.estimate_words(Estimate(factor=f, log_sd=sd)), (0.8, 1.1), (0.1, 0.4)
    )
    yield from over("kind", said.kind_words, (None, *OptionKind))
    yield from over("age", lambda male, age: people.age_factors(np.array([male]), np.array([age])).round(4).tolist(),
                    (False, True), (20.0, 39.0, 40.0, 41.0, 60.0, 75.0, 90.0))  # fmt: skip
    yield from over("training", people.training_factor, Experience)
    yield from outline("field", dict(zip(people.motions(), people.field_factors().tolist(), strict=True)))
    yield from over("count range", uncertainty.count_range, (5.0, 12.0))
    yield from over("at least", lambda count: float(uncertainty.at_least(np.array(count))), (5.0, 12.0))
    yield from over("part", uncertainty.part_between, (0.2, 0.62), ("knee_extension_left", "shoulder_flexion_right"))
    yield from over("muscle", uncertainty.effort_between, (0.2, 0.62, 0.95))
    yield from over("row sd", uncertainty.row_log_sd, people.motions())
    yield from over("joint", lambda motion: joint_of(motion) or "-", people.motions())
    usual = rates(("knee_extension_left", "grip_left", "elbow_flexion_right"))
    for field in ("hold_fatigue", "rep_fatigue", "rep_strike", "recovery"):
        yield from outline(field, getattr(usual, field).tolist())
    yield from outline("rest", (usual.rest.share.tolist(), usual.rest.rate.tolist()))
    yield from over("leap", is_leap, (0.0, 4.5, 10.0), (4.5, 6.0, 9.1, 12.0, 15.0, 20.0))
    yield from over("answer", answer_sd, (0.0, 5.0, 6.0, 7.0, 8.0, 10.0, 10.5, 14.0))
    for counts in ((0, 0), (1, 0, 2, 7), (10, 80, 9, 1), (3,)):
        yield from outline(f"percentiles{counts}", percentiles(np.array(counts)) or "-")
    for size in ((1.50, 45.0), (1.63, 70.0), (1.60, 103.0), (1.87, 95.0), (1.87, 57.0), (2.05, 170.0)):
        for male in (False, True):
            yield from outline(f"parts of bodies {size} {male}",
                               weights(np.array([male]), *(np.array([each]) for each in size))[0].tolist())  # fmt: skip
    library = standard_library()
    for address in ("squat/base", "calf-raise/one-foot", "ball-turn/one", "wide-squat/press", "push-up/feet-raised"):
        yield from outline(f"cap of {address}", most_of_body_mass(library.rung(*address.split("/")).form))


def question_lines() -> Iterator[str]:
    """What the set just done has to have been like, by what was held in it and how far the next load is."""
    mass = Mass(amount=4.0, unit=MassUnit.KG)
    for pieces, reps, to_kg in product((0, 1, 2), (8, 0), (4.0, 4.4, 9.0)):
        bouts = (SimpleNamespace(reps=reps),)
        step: Any = SimpleNamespace(
            candidates=[SimpleNamespace(offer=0, load_kg=4.0), SimpleNamespace(offer=0, load_kg=to_kg)],
            attempts=[SimpleNamespace(piece=Piece(mass=mass) if pieces else None)],
            offers=[SimpleNamespace(pieces=pieces, bouts=bouts)],
        )
        yield f"{pieces} pieces, {reps} reps, to {to_kg} kg: {question(step, 0, 1)}"


def heart_lines() -> Iterator[str]:
    yield from over("greatest", heart.greatest, (25.0, 60.0))
    yield from over("reserve", heart.reserve_part, (110.0,), (60.0,), (180.0,))
    yield from over("capacity", heart.capacity_met, (18.0, 40.0, 85.0), Sex)
    yield from over("predicted", heart.predict_heart_rate, (25.0, 60.0), Sex, (0.5, 2.0, 5.0), (3.0, 12.0))
    yield from over("banister", heart.banister, (30.0,), (110.0,), (60.0,), (180.0,), Sex)
    yield from outline("edwards", heart.edwards((5, 4, 3, 2, 1)))
    yield from outline(
        "band", heart.band_of_rates([(30.0, Sex.MALE, 3.0), (55.0, Sex.FEMALE, 4.0), (70.0, Sex.MALE, 2.5)])
    )
    yield from outline("nobody", heart.band_of_rates([]))
    yield from over("card", heart.heart_words, (30, 71), (False, True))


def ball_lines() -> Iterator[str]:
    advice = [(p, s, m, h) for p in balls.Purpose for s in (1.45, 1.55, 1.61, 1.66, 1.73, 1.80, 1.89, 2.0)
              for m, h in ((None, 0.0), (89.0, 5.0), (91.0, 0.0))]  # fmt: skip
    for purpose, stature_m, mass_kg, held_kg in advice:
        found = balls.ball_advice(purpose, stature_m, mass_kg, held_kg)
        yield f"{stature_m} {mass_kg} {held_kg}: {found}"
        if stature_m == 1.66:
            yield from (f"  {balls.own_ball(found, own)}" for own in BALLS)


def people_lines() -> Iterator[str]:
    """Some people of every mix, what is taken for those who are known, the model's draws, and what answers teach."""
    for name in mix_names():
        drawn = next(audience(read_mix(name), 4, 5, 0.5))
        for field in ("male", "age", "stature_m", "mass_kg", "level", "endurance", "kit", "medicine"):
            yield from outline(f"{name} {field}", getattr(drawn, field).tolist())
        yield from outline(f"{name} strength", drawn.strength[:2, :4].tolist())
        yield from outline(f"{name} limits", drawn.limits.sum(axis=1).tolist())
    for one in PEOPLE:
        yield from outline(one.name, known_person(one))
    for draw in draws(4):
        yield from outline("draw", (draw.recovery, draw.endurance, draw.pace, *draw.strength[:6].tolist()))
    session, timeline = plan_of(FORECAST)
    along = simulation_plan(session, schedule(session, timeline), made_offers(session))
    squat, press = Ref(block="Main", round="One", cell="squat"), Ref(block="Second", round="Second", cell="press")
    known_of = {"where": HERE, "person": "Ole", "load": None}
    answers = [
        Answer(ref=squat, kind=None, reps=9, left=6.0, **known_of),
        Answer(ref=press, kind=OptionKind.EASIER, reps=6, left=2.0, **known_of),
    ]
    for one in PEOPLE:
        yield from outline(f"{one.name} learned", fit_person(along, one, answers))


def cue_lines() -> Iterator[str]:
    for text in TEXTS:
        slow, quick = (speech_ms(text, rate) for rate in (120, 160))
        yield f"{text!r}: {speech_text(text)!r}; {words(text)} words, {slow} ms, {quick} ms"
        yield "  " + " ".join(f"{word}:{syllables(word)}" for word in text.split())
    yield from over("number", number_words, (0, 7, 19, 20, 21, 90, 99, 100, 101, 342, 999))
    yield from over("led", leader_side, Side, View)
    held = {
        "pair": KitInUse(item=KitItem.DUMBBELLS, label="2 x 10 lb"),
        "two": KitInUse(item=KitItem.DUMBBELLS, label="10 lb + 6 kg"),
        "one": KitInUse(item=KitItem.DUMBBELLS, label="6 kg"),
        "ball": KitInUse(item=KitItem.BALL, label="ball"),
        "wall": KitInUse(item=KitItem.WALL, label="wall"),
        "chair": KitInUse(item=KitItem.CHAIR, label="chair"),
    }
    hands = ((), ("pair",), ("one",), ("two", "wall"), ("pair", "ball"), ("chair", "wall"), ("ball", "wall"))
    for before, after in product(hands, hands):
        found = kit_change_words(tuple(held[one] for one in before), tuple(held[one] for one in after))
        yield f"{before} to {after}: {found}"
    phrases = Phrases()
    turns = CueRotation(phrases)
    for number in range(7):
        phrases.start_set()
        heard = turns.next(("a", "b", "c"), number % 2)
        phrases.note(heard[0])
        yield f"turn {number}: {heard} {turns.take_new(('a', 'd'))}"
    yield from placed_lines()


def placed_lines() -> Iterator[str]:
    """Wishes that compete for one stretch, placed."""

    def wish(text: str, from_ms: int, until_ms: int, best_ms: int, worth: int, **more: Any) -> CueCandidate:
        when = {"from_ms": from_ms, "until_ms": until_ms, "best_ms": best_ms, "worth": worth}
        return CueCandidate(kind=CueKind.SET_UP, text=text, ref=None, length_ms=1500, **when, **more)

    wishes = [
        wish("a", 0, 5000, 0, 50),
        wish("b", 0, 4000, 2000, 40),
        wish("c", 1000, 5000, 3000, 30),
        wish("late", 5400, 9000, 8000, 20),
        wish("far", 12000, 13000, 12100, 9),
        wish("no room", 100, 1500, 100, 99),
        wish("first", 20000, 26000, 24000, 5, sequence=1, place=0),
        wish("second", 20000, 26000, 20000, 9, sequence=1, place=1),
    ]
    found = schedule_cues(wishes, {}, 1)
    yield from (f"{one.candidate.text} at {one.at_ms}" for one in found.cues)
    yield from (f"{one.text} left" for one in found.left)


def values() -> Parts:
    yield "values/effort", (*effort_lines(), *question_lines(), *heart_lines(), *ball_lines())
    yield "values/cues", cue_lines()


def people_values() -> Parts:
    yield "values/people", people_lines()
