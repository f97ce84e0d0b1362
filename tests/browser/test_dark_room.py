"""In a dark room the stage, the prompter and the phone are dark from the first moment: nothing flashes white."""

import io
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from stage_steps import open_stage

FILMS = ("/stage", "/prompter", "/remote")
DIM, BRIGHT = 0.15, 0.5  # of white, over a screen; chosen: dark paper is 0.008, light 0.9, under a card 0.56


def mean_luminance(picture: bytes) -> float:
    """Of a whole screen, by WCAG 2.2's relative luminance."""
    rgb = np.asarray(Image.open(io.BytesIO(picture)).convert("RGB"), dtype=np.float64) / 255
    linear: NDArray[np.float64] = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    return float((linear @ np.array([0.2126, 0.7152, 0.0722])).mean())


def moments(page: Any) -> list[int]:
    """Where the light changes: rest, the seconds before work, its start and its end, of a few sets."""
    return page.evaluate("""() => window.stage.show.spans.filter((span) => span.work).slice(0, 3)
      .flatMap((span) => [span.at_ms - 9000, span.at_ms - 2000, span.at_ms + 400, span.at_ms + 4000, span.end_ms - 300])
      .map((ms) => Math.max(0, ms))""")


@pytest.mark.parametrize(("theme", "least", "most"), [("dark", 0.0, DIM), ("light", BRIGHT, 1.0)])
def test_the_stage_keeps_its_light_through_every_kind_of_moment(
    stage: Any, session: str, theme: str, least: float, most: float
) -> None:
    stage.emulate_media(color_scheme=theme)
    open_stage(stage, session)
    found = []
    for ms in moments(stage):
        stage.evaluate("(ms) => { window.stage.clock().seek(ms); window.stage.draw(); }", ms)
        found.append(mean_luminance(stage.screenshot()))
    stage.keyboard.press("e")
    stage.wait_for_selector("#emergency[open]")
    found.append(mean_luminance(stage.screenshot()))
    assert least <= min(found) <= max(found) <= most, found


@pytest.mark.parametrize("path", [*FILMS, "/lead"])
def test_before_its_styles_have_come_a_page_is_dark_already(stage: Any, session: str, path: str) -> None:
    stage.emulate_media(color_scheme="dark")
    stage.route("**/*.css", lambda route: route.abort())
    stage.goto(session + path)
    dark = mean_luminance(stage.screenshot())
    stage.unroute("**/*.css")
    assert dark <= DIM


def test_prompter_and_phone_are_dark(stage: Any, session: str) -> None:
    stage.emulate_media(color_scheme="dark")
    for path in FILMS[1:]:
        stage.goto(session + path)
        stage.wait_for_timeout(400)
        assert mean_luminance(stage.screenshot()) <= DIM, path
