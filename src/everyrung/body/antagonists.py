"""Muscles that work against a joint's moment: a share of what the agonists do.

The least effort alone has every antagonist at rest. People stiffen their joints: hamstrings work a little in a wall
squat. So, when it is settled what supports bear and what joints must do, each muscle that works against a joint's
moment takes at least a share of that joint's part of strength, and the others make up for it. Net moments stay as they
are; strength was measured against such antagonists, too.

A second share, of what rolls or slides, was tried and left out: checks come out alike with all of its values, and what
can't be pushed sideways asks more of the trunk without it.
"""

from dataclasses import replace

import numpy as np

from everyrung.body.coordinates import ROOT_FREEDOMS, Array
from everyrung.body.static_optimization import Answer, Problem, solve

SHARE = 0.1  # of the joint's part of strength; chosen by the rule of docs/accuracy/co_contraction.py, a test holds it
ARM = 0.25  # of a muscle's greatest moment; chosen, because with less it hardly turns that joint


def floors(pull: Array, parts: Array, share: float) -> Array:
    """The least activation of each muscle (axis: muscle): `share` of the greatest part of strength among the joints
    that it works against. `pull` (axes: muscle, freedom; N m); `parts`: of its strength, above zero where the moment
    turns the coordinate up (axis: coordinate).

    >>> pull = np.zeros((2, 7))
    >>> pull[:, 6] = 50.0, -20.0
    >>> floors(pull, np.array([0.4]), 0.1).round(9).tolist()
    [0.0, 0.04]
    """
    arms = pull[:, ROOT_FREEDOMS:]
    strong = np.abs(arms) >= ARM * np.abs(arms).max(axis=1, keepdims=True, initial=1e-9)
    against = strong & (arms * np.sign(parts) < 0)
    least: Array = share * np.where(against, np.abs(parts), 0.0).max(axis=1, initial=0.0)
    return np.minimum(least, 1.0)


def co_contracted(problem: Problem, answer: Answer, parts: Array) -> Array:
    """The activations (axis: muscle) with antagonists at their floors, supports and the ends of joints as in `answer`;
    `parts` as for `floors`. Raises NoSolution when the search does not converge.
    """
    muscles = len(problem.pull)
    least, most = problem.least.copy(), problem.most.copy()
    least[:muscles] = floors(problem.pull, parts, SHARE)
    for place in (slice(muscles, muscles + problem.tissues), slice(problem.first_ray, None)):
        least[place] = most[place] = answer.x[place]
    return solve(replace(problem, least=least, most=most)).x[:muscles]
