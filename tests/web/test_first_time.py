"""The machine code is there before a coach asks for it, and is made once."""

from everyrung.body.engine_version import answer_digest
from everyrung.effort.three_compartment import do_reps
from everyrung.store import cache
from everyrung.web import first_time
from everyrung.web.first_time import make_ready


def test_it_is_made_once_on_a_machine_for_each_engine(monkeypatch, tmp_path) -> None:
    kept = cache.Cache(tmp_path / "results.sqlite")
    monkeypatch.setattr(first_time, "default_cache", lambda: kept)
    assert make_ready()
    assert do_reps.signatures  # numba's own list of what it has made code for
    assert not make_ready()
    monkeypatch.setattr(first_time, "answer_digest", lambda: answer_digest() + " of another version")
    assert make_ready()
