"""Between the reference bodies: how much of each one there is in a person, by sex, stature and build."""

import numpy as np

from everyrung.body.bodies import HEAVY_BMI, LIGHT_BMI, reference_grid
from everyrung.effort.audience import Flags
from everyrung.effort.three_compartment import Array
from everyrung.terms.person import Sex

LEAST_BMI, MOST_BMI = 17.0, 40.0  # chosen, because a straight line from 21 to 30 is not trusted any farther
BEYOND_M = 0.10  # past the shortest and the tallest reference body; chosen, for the same reason


def weights(male: Flags, stature_m: Array, mass_kg: Array) -> Array:
    """Parts of each reference body (axes: person, body), adding up to 1: linear in stature and in body-mass index."""
    grid = reference_grid()
    build = np.clip(mass_kg / stature_m**2, LEAST_BMI, MOST_BMI)
    heavy = (build - LIGHT_BMI) / (HEAVY_BMI - LIGHT_BMI)
    found = np.zeros((len(stature_m), len(grid)))
    for sex in Sex:
        statures = sorted({body.stature_m for body in grid if body.sex is sex})
        parts = _along(np.array(statures), stature_m)
        for place, body in enumerate(grid):
            if body.sex is sex:
                share = heavy if body.bmi > (LIGHT_BMI + HEAVY_BMI) / 2 else 1 - heavy
                found[:, place] = np.where(
                    male == (sex is Sex.MALE), parts[:, statures.index(body.stature_m)] * share, 0
                )
    return found


def _along(nodes: Array, at: Array) -> Array:
    """Parts of each node (axes: value, node) on the broken line through them, drawn on past its ends a little."""
    at = np.clip(at, nodes[0] - BEYOND_M, nodes[-1] + BEYOND_M)
    left = np.clip(np.searchsorted(nodes, at, side="right") - 1, 0, len(nodes) - 2)
    part = (at - nodes[left]) / (nodes[left + 1] - nodes[left])
    found = np.zeros((len(at), len(nodes)))
    rows = np.arange(len(at))
    found[rows, left], found[rows, left + 1] = 1 - part, part
    return found
