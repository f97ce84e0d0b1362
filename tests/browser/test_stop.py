"""What is stopped stays stopped: nobody asks for it again until something changes."""

from typing import Any

import pytest


@pytest.mark.parametrize(
    "screen", ["lead", *(pytest.param(each, marks=pytest.mark.slow) for each in ("publish?go=yes", "rehearse"))]
)
def test_stop_ends_the_asking(screen: str, shared_page: Any) -> None:
    page, asked = shared_page, []
    page.goto(page.url.split("/session")[0])
    address = page.get_by_role("link", name="Boathouse thirty").first.get_attribute("href")
    page.on("request", lambda request: asked.append(request.url) if request.method == "GET" else None)
    first = page.request.get(f"{page.url.rstrip('/')}{address}/{screen}", headers={"HX-Request": "true"}).text()
    assert "Stop</button>" in first
    parts = f"**{address}/{screen.partition('?')[0]}*"
    # However fast this machine is, it is not finished before Stop is pressed.
    waiting = {"hx-request": "true"}
    page.route(
        parts,
        lambda route: (
            route.fulfill(body=first, content_type="text/html")
            if waiting.items() <= route.request.headers.items()
            else route.continue_()
        ),
    )
    page.goto(f"{page.url.rstrip('/')}{address}/{screen}")
    stop = page.locator("#stop")
    stop.focus()
    page.wait_for_timeout(1500)  # the part has come anew by now, and the focus is where it was
    assert page.evaluate("document.activeElement.id") == "stop"
    page.keyboard.press("Enter")
    page.get_by_text("Stopped.").wait_for()
    page.wait_for_timeout(300)
    asked.clear()
    page.wait_for_timeout(2000)
    assert not asked
    assert page.get_by_text("Stopped.").is_visible()
    page.unroute(parts)
