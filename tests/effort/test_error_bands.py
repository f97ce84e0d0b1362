"""The band beside every share: what it holds, what widens it, and what is marked as from memory."""

from dataclasses import replace

import numpy as np
import pytest

from everyrung.effort.people_strength import motions
from everyrung.effort.uncertainty import (
    EIGHTY,
    draws,
    effort_between,
    from_memory,
    part_between,
    parts,
    unsure_limiters,
    with_bands,
)
from everyrung.terms.forecast import Band, CellForecast, Energy, Forecast, RungForecast, Share, Spread
from everyrung.terms.plan import Ref

REF = Ref(block="Main", round="One", cell="squat")
SOME = Spread(p10=1, p50=2, p90=3)


def forecast(finishing: int, of: int = 400, gives_out: str = "calf") -> Forecast:
    """One cell with one rung that some finish; everything else is for show."""
    share = Share(count=finishing, of=of)
    rung = RungForecast(
        kind=None, name="Squat", unit="reps", asked=8, finishing=share, possible=SOME, most=100, left=SOME,
        limiting=((gives_out, share),), advised=share, loads=(),
        limiting_side={},
    )  # fmt: skip
    cell = CellForecast(
        ref=REF, rungs=(rung,), some_rung=share, skipping=Share(count=0, of=of), left=SOME, rating=None, moved={}
    )
    none = Energy(
        kcal=Band(middle_not_for_show=0, less=0.1, more=0.1, unit="kcal"),
        met=Band(middle_not_for_show=1, less=0.1, more=0.1, unit="MET"), reason="made up",
    )  # fmt: skip
    return Forecast(
        people=of, mix="made up", seed=1, cells=(cell,), whole=share, sore=Share(count=0, of=0), without_path={},
        broken={}, on_medicine=Share(count=3, of=of), older=Share(count=0, of=of), heart="", energy=none, failed={},
        rating=None, minutes=30.0,
    )  # fmt: skip


def test_a_share_s_band_is_where_four_of_five_draws_and_the_number_drawn_leave_it() -> None:
    others = tuple(forecast(40 + 32 * number, of=400) for number in range(11))  # 10 to 90 %, 8 points apart
    found = with_bands(forecast(200), forecast(200), others).whole
    error = EIGHTY * (0.5 * 0.5 / 400) ** 0.5
    assert found.part == 0.5
    assert (found.low, found.high) == pytest.approx((0.5 - np.hypot(0.32, error), 0.5 + np.hypot(0.32, error)))
    assert str(found) == "50% (18 to 82)"


def test_where_no_draw_changes_anything_only_the_number_drawn_is_left() -> None:
    found = with_bands(forecast(200), forecast(100, of=200), (forecast(100, of=200),) * 4).whole
    assert found.high - found.part == pytest.approx(EIGHTY * 0.025)
    assert found.part - found.low == pytest.approx(EIGHTY * 0.025)


def test_a_band_never_leaves_nought_to_a_hundred_and_holds_its_share() -> None:
    for count in (0, 4, 396, 400):
        found = with_bands(forecast(count), forecast(200), (forecast(0), forecast(400))).whole
        assert 0 <= found.low <= found.part <= found.high <= 1


def test_what_gives_out_in_no_draw_may_give_out_in_nobody() -> None:
    other = forecast(300, gives_out="grip")
    (_, share), *_ = with_bands(forecast(300), forecast(300), (other, other)).cells[0].rungs[0].limiting
    assert share.low == 0.0


def test_what_gives_out_in_every_draw_but_not_as_a_rule_may_give_out_in_more() -> None:
    other = forecast(300, gives_out="grip")
    (_, share), *_ = with_bands(other, forecast(300), (other, other)).cells[0].rungs[0].limiting
    assert share.high == 1.0  # three quarters, and three quarters more in every draw than in nobody
    assert share.part - share.low == pytest.approx(EIGHTY * share.error)


def test_every_share_that_the_model_has_a_part_in_has_a_band_and_the_medicine_s_none() -> None:
    found = with_bands(forecast(200), forecast(200), (forecast(100), forecast(300)))
    rung = found.cells[0].rungs[0]
    shares = [found.whole, found.sore, found.cells[0].some_rung, found.cells[0].skipping, rung.finishing, rung.advised]
    assert all(each.band for each in [*shares, *(share for _, share in rung.limiting)])
    assert found.on_medicine.band == ""
    assert parts(found) == parts(forecast(200))


def test_draws_come_in_pairs_on_both_sides_of_the_usual_and_both_sides_of_a_body_move_alike() -> None:
    every = draws()
    for one, other in zip(every[::2], every[1::2], strict=True):
        assert one.strength * other.strength == pytest.approx(np.ones(len(motions())))
        assert one.recovery * other.recovery == pytest.approx(1.0)
        assert one.endurance * other.endurance == pytest.approx(1.0)
        assert one.pace * other.pace == pytest.approx(1.0)
        left, right = (motions().index(f"trunk_bend_{side}") for side in ("left", "right"))
        assert one.strength[left] == one.strength[right]
    assert every == draws()


def test_each_strength_is_spread_by_its_own_error() -> None:
    logs = np.log(np.stack([one.strength for one in draws(2000)]))
    for name, error in (("knee_extension", 0.10), ("hip_abduction", 0.15), ("trunk_turn_left", 0.25)):
        spread = logs[:, motions().index(name)].std()
        assert spread == pytest.approx(np.hypot(error, np.hypot(0.05, 0.05)), rel=0.1)


def test_only_the_waist_and_what_turns_limbs_are_from_memory() -> None:
    # flags of tables/joint_strength.csv: M- trunk bending and turning, the thigh's and the forearm's turning
    assert {"front of the thigh", "back of the thigh", "grip", "calf", "side of the hip", "chest"}.isdisjoint(
        unsure_limiters()
    )
    assert unsure_limiters()
    assert [from_memory(f"{name}_left") for name in ("knee_extension", "hip_abduction", "trunk_bend")] == [
        False, False, True,
    ]  # fmt: skip
    assert from_memory("toe_flexion_left")
    assert not from_memory("grip_left")


def test_a_part_of_a_strength_is_less_sure_where_the_strength_is_from_memory() -> None:
    seen, memory = part_between(0.6, "knee_extension_left"), part_between(0.6, "trunk_bend_left")
    assert memory[0] < seen[0] < 0.6 < seen[1] < memory[1]
    assert effort_between(0.95)[1] == 1.0


def test_a_share_without_a_band_says_only_itself() -> None:
    share = Share(count=1, of=4)
    assert (share.plain, share.band, str(share)) == ("25%", "", "25%")
    assert str(replace(share, low=0.101, high=0.449)) == "25% (10 to 45)"
