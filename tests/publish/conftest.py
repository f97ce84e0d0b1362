"""A placed body for drawing."""

from typing import Any

import pytest


@pytest.fixture(scope="session")
def placed_woman(woman: Any) -> Any:
    from everyrung.body.placed import Placed

    return Placed(woman)
