"""What is computed for a session: how far it is, is told from the first body to the last."""

from everyrung.effort import choices
from everyrung.moves.library import standard_library

PLAN = """
title = "One set"
slot_minutes = 10
[who]
in_room = 1
[[block]]
kind = "main"
  [[block.move]]
  move = "squat"
  dose = "8 reps"
"""


def test_progress_counts_every_body_from_the_first_to_the_last(made, made_demand, monkeypatch) -> None:
    session, _ = made(PLAN, lambda _cell, _offer, _kg: {"knee_extension_left": 0.5})
    monkeypatch.setattr(
        choices,
        "demands",
        lambda jobs, _cache: ((at, made_demand({"knee_extension_left": 0.5}, job.size)) for at, job in enumerate(jobs)),
    )
    monkeypatch.setattr(choices, "known_arrays", lambda _jobs: None)  # as if no table came with the program
    heard: list[tuple[int, int]] = []
    found = choices.session_offers(session, standard_library(), None, lambda done, of: heard.append((done, of)))
    of = sum(bodies.arrays.power_w.size for bodies in found.bodies.values())
    assert of > 0
    assert heard == [(at, of) for at in range(1, of + 1)]
