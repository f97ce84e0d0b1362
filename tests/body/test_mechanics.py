"""Many rungs on many bodies: the cache and the second core change nothing but the time."""

from dataclasses import replace
from pathlib import Path

import pytest

from everyrung.body import mechanics
from everyrung.body.mechanics import Failure, Job, demand_of, demands, drawings, in_job_order
from everyrung.moves.library import standard_library
from everyrung.store.cache import Cache
from everyrung.terms.enums import BandGrade
from everyrung.terms.errors import Invalid
from everyrung.terms.person import BodySize, Sex
from everyrung.terms.pose import Span
from everyrung.terms.units import Load, Mass, MassUnit

SIZE = BodySize(sex=Sex.FEMALE, stature_m=1.65, mass_kg=62.0)


def job(rung: str, size: BodySize = SIZE, kg: float = 0.0) -> Job:
    library = standard_library()
    form = library.rung(*rung.split("/")).form
    load = Load(pieces=(Mass(amount=kg, unit=MassUnit.KG),)) if kg else None
    return Job(form=form, layer=library.pose(form), size=size, load=load)


def test_the_cache_gives_what_was_computed_and_deleting_it_changes_nothing(tmp_path: Path) -> None:
    cache, asked = Cache(tmp_path / "computed.sqlite"), [job("squat/base"), job("squat/goblet", kg=6)]
    first = in_job_order(demands(asked, cache))
    assert cache.get_many([each.key("demand") for each in asked]).keys() == {each.key("demand") for each in asked}
    kept = in_job_order(demands(asked, cache))
    (tmp_path / "computed.sqlite").unlink()
    again = in_job_order(demands(asked, cache))
    assert first == kept == again


def test_from_the_cache_nothing_is_computed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    cache = Cache(tmp_path / "computed.sqlite")
    first = in_job_order(demands([job("squat/base")], cache))

    def never(_given: Job) -> Failure:
        raise AssertionError("computed again")

    monkeypatch.setattr(mechanics, "demand_of", never)
    assert in_job_order(demands([job("squat/base")], cache)) == first


def test_the_key_changes_with_all_that_the_answer_hangs_on_and_with_nothing_else() -> None:
    one = job("squat/base")
    form, layer = one.form, one.layer
    others = [
        replace(one, size=replace(SIZE, mass_kg=63.0)),
        replace(one, load=Load(pieces=(Mass(amount=5, unit=MassUnit.KG),))),
        replace(one, form=replace(form, range_share=0.9)),
        replace(one, form=replace(form, tempo=replace(form.tempo, lower_ms=2500))),
        replace(one, form=replace(form, pulses=2)),
        replace(one, form=replace(form, band=BandGrade.HEAVY)),
        replace(one, layer=replace(layer, angles={**layer.angles, "trunk_turn": Span(rest=0, full=1)})),
    ]
    keys = [each.key("demand") for each in (one, *others)]
    assert len(set(keys)) == len(keys)
    assert one.key("demand") != one.key("drawing")
    assert job("squat/base").key("demand") == keys[0]
    assert replace(one, form=replace(form, phases=("a", "b", "c", "d"))).key("demand") == keys[0]


def test_what_did_not_settle_is_not_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    cache, one = Cache(tmp_path / "computed.sqlite"), job("squat/base")
    unsettled = replace(in_job_order(demands([one]))[0], has_converged=False)
    monkeypatch.setattr(mechanics, "demand_of", lambda _job: unsettled)
    assert in_job_order(demands([one], cache)) == [unsettled]
    assert cache.get_many([one.key("demand")]) == {}


def test_a_spoilt_entry_is_computed_again(tmp_path: Path) -> None:
    cache, one = Cache(tmp_path / "computed.sqlite"), job("squat/base")
    cache.put_many({one.key("demand"): '{"size": "nonsense"}'})
    assert in_job_order(demands([one], cache)) == in_job_order(demands([one]))


def test_two_cores_find_what_one_finds(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = [job(rung) for rung in ("squat/base", "split-squat/base", "bridge/base")]
    one = in_job_order(demands(asked))
    monkeypatch.setattr(mechanics, "WORTH_PROCESSES", 2)
    assert in_job_order(demands(asked)) == one


def test_a_job_asked_twice_is_answered_twice() -> None:
    assert len(in_job_order(drawings([job("squat/base"), job("squat/base")]))) == 2


def test_a_pose_that_names_what_no_body_has_fails_in_words() -> None:
    one = job("squat/base")
    spoilt = replace(one, layer=replace(one.layer, angles={"tail_wag": Span(rest=0, full=30)}))
    answer = demand_of(spoilt)
    assert isinstance(answer, Failure)
    assert "tail_wag" in answer.why
    with pytest.raises(Invalid, match="tail_wag"):
        in_job_order(demands([spoilt]))
