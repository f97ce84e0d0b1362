"""Statures and masses in every form that people write, exact by definition of the units; the rest is refused.

Source of every number here: 1 in = 0.0254 m, 1 ft = 12 in, 1 lb = 0.45359237 kg exactly (international yard and pound
agreement, 1959), 1 st = 14 lb (UK Weights and Measures Act 1985, schedule 1). Worked by hand.
"""

import argparse

import pytest

from everyrung.cli import arg_types
from everyrung.parsing.body_size import body_mass, stature
from everyrung.terms.errors import Invalid


@pytest.mark.parametrize(
    ("written", "stature_m"),
    [
        ("165 cm", 1.65),
        ("165cm", 1.65),
        ("165 CM", 1.65),
        ("162,5 cm", 1.625),
        ("1.65 m", 1.65),
        ("1,65 m", 1.65),
        ("5 ft 5 in", 1.651),
        ("5ft5in", 1.651),
        ("5 feet 5 inches", 1.651),
        ("5'5\"", 1.651),
        ("5' 5", 1.651),
        ("5’5”", 1.651),
        ("5′ 5″", 1.651),
        ("5'5''", 1.651),
        ("5' 5 1/2\"", 1.6637),
        ("5' 5½\"", 1.6637),
        ("5 ft 5.5 in", 1.6637),
        ("5 ft", 1.524),
        ("6'", 1.8288),
        ("5 ft 11 3/4 in", 1.82245),
        ("65 in", 1.651),
    ],
)
def test_a_stature_is_exact_in_every_form(written: str, stature_m: float) -> None:
    assert stature(written) == pytest.approx(stature_m, abs=1e-12)


@pytest.mark.parametrize(
    ("written", "mass_kg"),
    [
        ("62 kg", 62),
        ("62,5kg", 62.5),
        ("137 lb", 62.14215469),
        ("137 lbs", 62.14215469),
        ("9 st 11 lb", 62.14215469),
        ("9st11", 62.14215469),
        ("9 stone 11 lbs", 62.14215469),
        ("9 st", 57.15263862),
    ],
)
def test_a_mass_is_exact_to_the_milligram_in_every_form(written: str, mass_kg: float) -> None:
    assert body_mass(written) == pytest.approx(mass_kg, abs=1e-6)


@pytest.mark.parametrize(
    ("read", "written", "remedy"),
    [
        (stature, "165", '"165 cm"'),
        (stature, 165, '"165 cm"'),
        (stature, "1.65", '"1.65 m"'),
        (stature, 1.65, '"1.65 m"'),
        (stature, "1,65", '"1,65 m"'),
        (stature, "65", '"65 in"'),
        (stature, "5.5", '"5 ft 5 in"'),
        (body_mass, "62", '"62 kg" or "62 lb"'),
        (body_mass, 62.5, '"62.5 kg" or "62.5 lb"'),
    ],
)
def test_a_bare_number_is_not_guessed_at_and_the_remedy_names_the_unit(read, written, remedy) -> None:
    with pytest.raises(Invalid) as caught:
        read(written)
    assert remedy in caught.value.remedy


@pytest.mark.parametrize(
    ("read", "written", "expected"),
    [
        (stature, "5 ft 12 in", "fewer than 12 inches"),
        (stature, "5'13\"", "fewer than 12 inches"),
        (body_mass, "9 st 14 lb", "fewer than 14 pounds"),
        (stature, "5.5 ft", "with its unit"),
        (stature, "-165 cm", "with its unit"),
        (stature, "1.65 km", "with its unit"),
        (stature, "١٦٥ cm", "with its unit"),
        (stature, True, "with its unit"),
        (stature, None, "with its unit"),
        (stature, ["165 cm"], "with its unit"),
        (body_mass, "1e2 kg", "with its unit"),
        (body_mass, "nan kg", "with its unit"),
        (body_mass, "9.5 st", "with its unit"),
    ],
)
def test_any_other_form_is_refused(read, written, expected) -> None:
    with pytest.raises(Invalid) as caught:
        read(written)
    assert expected in caught.value.expected


def test_the_command_line_reads_the_same_forms_and_passes_the_remedy_on() -> None:
    assert arg_types.stature("5' 5 1/2\"") == pytest.approx(1.6637, abs=1e-12)
    assert arg_types.body_mass("9 st 11 lb") == pytest.approx(62.142, abs=1e-3)
    with pytest.raises(argparse.ArgumentTypeError, match=r'such as 165cm.*for example "165 cm"'):
        arg_types.stature("165")
    with pytest.raises(argparse.ArgumentTypeError, match=r'such as 62kg.*"62 kg" or "62 lb"'):
        arg_types.body_mass("62")
