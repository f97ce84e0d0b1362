"""Every rung of the library is a pose that all reference bodies can be put into; at least one of them can hold it."""

from collections.abc import Sequence

import pytest

from everyrung.body.mechanics import Failure, Job, demands
from everyrung.body.reference_grid import reference_grid
from everyrung.checks.move_check import misses
from everyrung.moves.library import standard_library
from everyrung.store.cache import default_cache
from everyrung.terms.person import BodySize

LIBRARY = standard_library()
MENDED = ("side-step/low-pause", "seat-stretch/chair", "seat-stretch/chair-lean")  # none of the twelve once held them


def unheld(address: str, sizes: Sequence[BodySize]) -> list[str]:
    """The bodies, in words, that a rung's pose was not found for; and the rung itself when no body holds it."""
    move, key = address.split("/")
    form = LIBRARY.rung(move, key).form
    jobs = [Job(form=form, layer=LIBRARY.pose(form), size=size) for size in sizes]
    failed, held = [], 0
    for at, answer in demands(jobs, default_cache()):
        missed = [answer.why] if isinstance(answer, Failure) else misses(answer)
        failed += [f"{address} on {sizes[at]}: {missed}"] if missed else []
        held += not isinstance(answer, Failure) and answer.feasible
    return failed if held else [*failed, f"{address}: no body holds it"]


@pytest.mark.parametrize("address", MENDED)
def test_a_rung_that_no_body_held_is_held_by_a_light_and_a_heavy_one(address: str) -> None:
    for size in (reference_grid()[2], reference_grid()[9]):
        assert unheld(address, [size]) == []


@pytest.mark.slow
@pytest.mark.parametrize("move", LIBRARY.keys)
def test_every_rung_is_posed_on_all_twelve_bodies_and_held_by_one(move: str) -> None:
    addresses = [f"{move}/{rung.key}" for rung in LIBRARY.move(move).versions]
    assert [line for address in addresses for line in unheld(address, reference_grid())] == []
