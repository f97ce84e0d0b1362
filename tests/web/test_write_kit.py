"""The kit of a session on the Write screen: whatever there is can be chosen, bands by their strength."""

import re

from starlette.testclient import TestClient

from everyrung.terms.enums import BandGrade, KitItem


def test_every_item_and_every_strength_of_band_can_be_chosen(client: TestClient, session: str) -> None:
    page = client.get(f"/session/{session}").text
    assert choices(page, "kit-item") == [str(item) for item in KitItem]
    assert choices(page, "kit-grade") == [str(grade) for grade in BandGrade]


def choices(page: str, field: str) -> list[str]:
    (choice,) = re.findall(rf'<select id="{field}".*?</select>', page, re.DOTALL)
    return re.findall(r"<option[^>]*>([^<]+)", choice)
