"""A whole session's energy against the Compendium: the demo on the reference bodies.

Sources: Compendium 2011 and 2024 (dossier 6.1): 02056 body-weight resistance 3.0 MET, 02054 resistance, multiple
exercises 3.5 MET. The demo is such a session with a third of its time spent on talk and changes.
"""

from pathlib import Path

import pytest

from everyrung.body.energy import compendium_met
from everyrung.pipeline import Options, run

DEMO = Path(__file__).parents[2] / "examples" / "boathouse-30.toml"


@pytest.mark.slow
def test_the_demo_costs_what_comparable_sessions_cost() -> None:
    done = run(DEMO, options=Options(bodies=True))
    assert len(done.energies) == 12
    for body, energy in done.energies.items():
        assert energy.met.holds(compendium_met("02056", "2024")), f"{body}: {energy}"
        assert energy.met.holds(compendium_met("02054", "2011")), f"{body}: {energy}"
        assert not energy.met.holds(compendium_met("02040", "2024")), "a vigorous circuit costs far more"
