"""Forms that proposals are likely to lead beside the library's own versions: versions with levers on top.

Whoever has their demands ahead, as the shipped table, need not put them on bodies while somebody waits for a proposal.
"""

from collections.abc import Iterator
from dataclasses import replace

from everyrung.moves.library import Library
from everyrung.proposals.choose import best_few
from everyrung.proposals.columns import RungsWithLevers, columns
from everyrung.proposals.fit_doses import fit
from everyrung.terms.enums import BandGrade, KitItem, Level
from everyrung.terms.move import Form
from everyrung.terms.plan import Stock
from everyrung.terms.session_brief import SessionBrief
from everyrung.terms.units import Mass, MassUnit

ROUNDS = (2, 3, 4)  # those that are tried where a brief leaves them open
PIECES_KG = (4.0, 5.0, 6.0, 8.0, 10.0, 12.0)  # chosen, because each next one is within the rise of a round


def likely_forms(library: Library) -> tuple[Form, ...]:
    """The forms of the columns that are worth most, doses fit to people, whatever the level, the rounds and the kit.

    A band is in the form in each grade, as a plan says it; other loads are not in it.
    """
    rungs = RungsWithLevers(library=library)
    forms: dict[Form, None] = {}
    for brief in _briefs():
        for rounds in ROUNDS:
            every = fit(columns(brief, rungs, rounds), brief)
            for at in best_few(every, brief.style, lambda _: True):
                forms.update(dict.fromkeys(each.variant.form for each in every[at].versions))
    return tuple(dict.fromkeys(form for each in forms for form in _in_each_grade(each)))


def _briefs() -> Iterator[SessionBrief]:
    """At each level: with no kit, with each item alone, and with all of it; in one weight, or in several."""
    kits: set[tuple[Stock, ...]] = {()}
    for masses_kg in (PIECES_KG[:1], PIECES_KG):
        by_item = [tuple(_stock(item, masses_kg)) for item in KitItem if item.counts_as_kit]
        kits |= {*by_item, tuple(stock for stocks in by_item for stock in stocks)}
    yield from (SessionBrief(level=level, kit=kit) for level in Level for kit in sorted(kits, key=str))


def _stock(item: KitItem, masses_kg: tuple[float, ...]) -> Iterator[Stock]:
    if item.has_mass:
        yield from (Stock(item=item, each=2, mass=Mass(amount=kg, unit=MassUnit.KG)) for kg in masses_kg)
    elif item.has_grade:
        yield from (Stock(item=item, each=1, grade=grade) for grade in BandGrade if grade.item is item)
    elif item is KitItem.BALL:
        yield Stock(item=item, each=1, diameter_cm=65.0, rated_kg=250.0)
    else:
        yield Stock(item=item, each=1)


def _in_each_grade(form: Form) -> Iterator[Form]:
    if form.load.is_band and not form.band:
        yield from (replace(form, band=grade) for grade in BandGrade if grade.need is form.load)
    else:
        yield form
