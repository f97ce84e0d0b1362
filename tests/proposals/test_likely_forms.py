"""What is computed ahead is what proposals lead: of briefs that it was not made from, nearly every version."""

import pytest

from everyrung.body.mechanics import Job
from everyrung.body.reference_grid import reference_grid
from everyrung.moves.library import standard_library
from everyrung.proposals.brief_text import read_brief
from everyrung.proposals.choose import best_few
from everyrung.proposals.columns import RungsWithLevers, Version, columns
from everyrung.proposals.fit_doses import fit
from everyrung.proposals.likely_forms import likely_forms
from everyrung.terms.enums import BandGrade, LoadNeed
from everyrung.terms.move import Form
from everyrung.terms.units import Load

LIBRARY = standard_library()
# Invented; none has the kit, the limits or the wishes of those that the forms are taken from.
SAYINGS = (
    "40 min, dumbbells 3 and 7 kg, one knee, no floor",
    "30 min hips and trunk, a light band each, chairs, two pregnant",
    "45 min hard, two 10 kg kettlebells each, no push-ups",
)


def shape(form: Form, load: Load | None) -> str:
    return Job(form=form, layer=LIBRARY.pose(form), size=reference_grid()[0], load=load).shape()


def best_versions(say: str) -> list[Version]:
    brief = read_brief(say, LIBRARY).brief
    every = fit(columns(brief, RungsWithLevers(library=LIBRARY), 3), brief)
    return [version for at in best_few(every, brief.style, lambda _: True) for version in every[at].versions]


@pytest.mark.slow  # some ten seconds: columns of each level, with each kit
def test_nearly_every_version_that_a_proposal_may_lead_is_among_them() -> None:
    known = {shape(form, form.amount) for form in likely_forms(LIBRARY)}
    for say in SAYINGS:
        asked = {shape(each.variant.form, each.load) for each in best_versions(say)}
        assert len(asked - known) <= 0.03 * len(asked), say


def test_a_band_is_led_in_a_grade_that_is_there() -> None:
    """Or it would be taken for the lightest, which nobody has: no move with a band came into any proposal."""
    loads = {
        each.load
        for each in best_versions("30 min pull, long heavy bands")
        if each.variant.form.load is LoadNeed.BAND and not each.variant.form.band
    }
    assert loads == {Load(band=BandGrade.HEAVY)}
