"""Headings of a session's screens go down one level at a time, also within what opens (WCAG 2.2, 1.3.1, H42)."""

import re
from itertools import pairwise

import pytest
from starlette.testclient import TestClient

SCREENS = ["", "/rehearse", "/room", "/lead", "/answers", "/led", "/publish", "/text", "/versions"]


@pytest.mark.parametrize("screen", SCREENS)
def test_no_heading_leaves_out_a_level(client: TestClient, session: str, screen: str) -> None:
    page = client.get(f"/session/{session}{screen}").text
    levels = [int(level) for level in re.findall(r"<h([1-6])\b", page)]
    assert levels[:1] == [1]
    assert all(after <= before + 1 for before, after in pairwise(levels)), levels
