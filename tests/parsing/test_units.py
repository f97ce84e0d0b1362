"""Amounts are read as the coach means them, or refused with what to write instead."""

import pytest

from everyrung.parsing import units
from everyrung.terms.enums import BandGrade
from everyrung.terms.errors import Invalid
from everyrung.terms.units import Dose, Per


@pytest.mark.parametrize(
    ("written", "duration_ms"),
    [
        # One amount in every accepted form. "PT40S": ISO 8601 durations.
        ("0:40", 40_000),
        ("40 s", 40_000),
        ("40s", 40_000),
        ("PT40S", 40_000),
        (40, 40_000),
        ("1:30", 90_000),
        ("PT1M30S", 90_000),
        ("1.5 min", 90_000),
        ("0:02.5", 2_500),
        ("12:00", 720_000),
    ],
)
def test_durations_mean_minutes_and_seconds(written: object, duration_ms: int) -> None:
    assert units.duration(written) == duration_ms


@pytest.mark.parametrize(
    "written", ["1:3", "90", "1,5 min", 2.5, True, "-3 s", "PT", "1:60", "", None, "5:00:00", "١:٣٠"]
)
def test_other_durations_are_refused(written: object) -> None:
    with pytest.raises(Invalid):
        units.duration(written)


def test_a_sexagesimal_trap_is_refused_with_the_way_out() -> None:
    """YAML 1.1 reads 1:30 as 90 and 12:00 as 720; TOML has no such numbers, and text without a unit is refused."""
    with pytest.raises(Invalid) as caught:
        units.duration("90")
    assert caught.value.remedy == 'Say which unit: "90 s" or "90 min".'


@pytest.mark.parametrize(("written", "remedy"), [(3120, '"3-1-2-0"'), ("310", '"0-3-1-0"'), ("3120", '"3-1-2-0"')])
def test_a_tempo_run_together_is_refused_with_the_tempo_apart(written: object, remedy: str) -> None:
    with pytest.raises(Invalid) as caught:
        units.tempo(written)
    assert remedy in caught.value.remedy


def test_tempo_is_lowering_pause_rising_pause() -> None:
    tempo = units.tempo("3-1-2-0.5")
    assert (tempo.lower_ms, tempo.bottom_ms, tempo.rise_ms, tempo.top_ms) == (3000, 1000, 2000, 500)
    assert str(tempo) == "3-1-2-0.5"


def test_pounds_are_the_international_pound() -> None:
    """1 lb = 0.45359237 kg exactly (international yard and pound agreement, 1959)."""
    assert units.mass("10 lb").mass_kg == pytest.approx(4.5359237, abs=1e-12)
    assert units.mass("10 lb").both_units == "10 lb / 4.5 kg"


@pytest.mark.parametrize(("written", "pieces"), [("10 lb", 1), ("2 x 10 lb", 2), ("2 × 4.5 kg", 2), ("1 x 4 kg", 1)])
def test_loads_say_how_many_pieces(written: str, pieces: int) -> None:
    assert len(units.load(written).pieces) == pieces


def test_an_unequal_pair_is_read_so_that_a_check_can_name_it() -> None:
    load = units.load("20 lb + 15 lb")
    assert not load.is_matched
    assert str(load) == "20 lb + 15 lb"


def test_a_band_is_a_load() -> None:
    assert units.load("light band").band is BandGrade.LIGHT


@pytest.mark.parametrize("written", ["10", 10, "10 stone", "2,5 kg", "0 kg", "-4 kg", "3 x 5 kg", "5000 lb", "", None])
def test_other_loads_are_refused(written: object) -> None:
    with pytest.raises(Invalid):
        units.load(written)


@pytest.mark.parametrize(
    ("written", "dose"),
    [
        ("10 a side", Dose(reps=10, per=Per.SIDE)),
        ("13 in all", Dose(reps=13, per=Per.ALL)),
        ("12 reps", Dose(reps=12)),
        ("0:40", Dose(duration_ms=40_000)),
        ("40 s a side", Dose(duration_ms=40_000, per=Per.SIDE)),
    ],
)
def test_doses_say_whether_they_count_a_side(written: str, dose: Dose) -> None:
    assert units.dose(written) == dose
    assert units.dose(str(dose)) == dose


@pytest.mark.parametrize(
    "written", ["8-12", "8 to 12", 10, "10", "0 reps", "-3 a side", "999999 reps", "a few", "5 hours"]
)
def test_other_doses_are_refused(written: object) -> None:
    with pytest.raises(Invalid):
        units.dose(written)
