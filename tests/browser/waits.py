"""Waiting for what must come. The pages' policy forbids eval, and with it Playwright's own wait for an expression."""

from typing import Any

EVERY_MS = 50
TRIES = 3600  # three minutes, however busy the machine is


def until(page: Any, expression: str, value: Any = None) -> None:
    """Until an expression of the page, or a function of `value`, is true."""
    for _ in range(TRIES):
        if page.evaluate(expression, value):
            return
        page.wait_for_timeout(EVERY_MS)
    raise AssertionError(f"never true: {expression}")


def until_there(page: Any, come: list[Any], count: int = 1) -> None:
    """Until so many things have come, by the page's events or routes."""
    for _ in range(TRIES):
        if len(come) >= count:
            return
        page.wait_for_timeout(EVERY_MS)
    raise AssertionError(f"{len(come)} of {count} came")


def live(page: Any) -> None:
    """Until the page's own scripts have run, so that a press counts."""
    until(page, "window.htmx?.version && document.readyState === 'complete'")
