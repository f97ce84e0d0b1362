"""Steps that the tests of the stage share: setting one, opening it, reading its clock, going to a moment."""

import re
from pathlib import Path
from typing import Any

from waits import until

SIZES = [{"width": 1280, "height": 800}, {"width": 390, "height": 844}]
SMALL = Path(__file__).parents[1] / "cli" / "small.toml"


def set_stage(page: Any, address: str, plan: Path | None = None) -> str:
    """A new session, from a plan or the boathouse evening, its stage ready; its address."""
    page.goto(address)
    if plan:
        page.get_by_label("A plan file (.toml)").set_input_files(plan)
        page.get_by_role("button", name="Bring it in").click()
    else:
        page.get_by_label("From").select_option("boathouse-30")
        page.get_by_role("button", name="Start it").click()
    page.wait_for_selector("#desk")
    session = page.url.split("?")[0]
    page.goto(f"{session}/lead")
    page.wait_for_selector("text=Open the prompter", timeout=180_000)
    return str(session)


def open_stage(page: Any, session: str, query: str = "") -> None:
    page.goto(f"{session}/stage{query}")
    page.wait_for_selector("#name:not(:empty)")
    until(page, "window.stage && window.stage.pictures.came === window.stage.pictures.total")


def left_s(page: Any) -> int:
    minutes, seconds = re.search(r"(\d+):(\d+)", page.locator("#left").inner_text()).groups()
    return 60 * int(minutes) + int(seconds)


def seek(page: Any, kind: str, side: str, before_end_ms: int) -> None:
    """To so long before the end of the first span of a kind and side."""
    page.evaluate(
        """([kind, side, ms]) => {
          const { show, clock } = window.stage;
          clock().seek(show.spans.find((span) => span.kind === kind && (span.side ?? "") === side).end_ms - ms);
        }""",
        [kind, side, before_end_ms],
    )
