"""Stills for a channel: of its size, with figures that differ, and words that stand out from their ground."""

from pathlib import Path

import av
import numpy as np
import pytest
from numpy.typing import NDArray

from everyrung.pipeline import Options, run
from everyrung.publish.stills import Still, end_screen, still_png, stills
from everyrung.results.analysis import Analysis
from everyrung.store.cache import default_cache

PLAN = Path(__file__).parents[1] / "cli" / "small.toml"
ENHANCED = 7.0  # WCAG 2.2, 1.4.6 Contrast (Enhanced)
LARGE = 4.5  # the same, of large letters
TITLE = (slice(40, 500), slice(40, 650))
LENGTH = (slice(520, 620), slice(40, 500))


@pytest.fixture(scope="module")
def drawn() -> Analysis:
    return run(PLAN, options=Options(drawings=True, cache=default_cache()))


def pixels(still: Still) -> NDArray[np.float64]:
    """Red, green and blue of each pixel, 0 to 1 (row, column, colour)."""
    decoder = av.codec.CodecContext.create("png", "r")
    frames = [*decoder.decode(av.Packet(still_png(still))), *decoder.decode(None)]
    return frames[0].to_ndarray(format="rgb24") / 255


def contrast(picture: NDArray[np.float64]) -> float:
    """Between the lightest and the darkest of a part, by WCAG 2.2's relative luminance."""
    linear = np.where(picture <= 0.04045, picture / 12.92, ((picture + 0.055) / 1.055) ** 2.4)
    luminance = linear @ [0.2126, 0.7152, 0.0722]
    return float((luminance.max() + 0.05) / (luminance.min() + 0.05))


def test_there_are_three_of_the_size_with_different_figures_and_one_ground_for_each_taste(drawn: Analysis) -> None:
    found = stills(drawn)
    assert 2 <= len(found) <= 3
    assert len({still.svg for still in found}) == len(found)
    assert {still.dark for still in found} == {True, False}
    for still in found:
        assert pixels(still).shape == (720, 1280, 3)


def test_title_and_length_stand_out_on_light_and_dark(drawn: Analysis) -> None:
    for still in stills(drawn):
        picture = pixels(still)
        assert contrast(picture[TITLE]) >= ENHANCED
        assert contrast(picture[LENGTH]) >= LARGE


def test_the_longest_title_stays_on_its_side(drawn: Analysis) -> None:
    long = " ".join(["Legs, shoulders and a steady back"] * 3)
    still = Still(title=long, length="45 minutes", words="No equipment", svg=stills(drawn)[0].svg)
    picture = pixels(still)
    between = picture[48:672, 665:695]  # beside the figure
    assert np.ptp(between) < 0.02 or contrast(between) < 1.05


def test_the_end_screen_keeps_two_places_free(drawn: Analysis) -> None:
    picture = pixels(end_screen(drawn))
    for left in (60, 590):
        assert contrast(picture[420:650, left : left + 430]) == pytest.approx(1.0, abs=0.01)
    assert contrast(picture[40:160]) >= ENHANCED


def test_without_drawings_there_is_the_end_screen_alone() -> None:
    assert stills(run(PLAN)) == ()
