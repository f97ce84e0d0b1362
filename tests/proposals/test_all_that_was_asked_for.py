"""What a brief names is in what is proposed, where there is time for it: each pattern of its focus, and its kit."""

from collections.abc import Sequence

import pytest

from everyrung.moves.library import standard_library
from everyrung.proposals.brief_text import read_brief
from everyrung.proposals.columns import RungsWithLevers
from everyrung.proposals.frame import cool_down, warm_up
from everyrung.proposals.search import Proposal, main_ms, propose
from everyrung.proposals.versions_beside import VersionsBeside
from everyrung.store.cache import default_cache
from everyrung.terms.enums import BlockKind, KitItem
from everyrung.terms.session_brief import SessionBrief
from everyrung.timing.cut_order import floor_ms, moving_ms

LIBRARY = standard_library()
KETTLEBELL = "One kettlebell of 12 kg each, 30 minutes, mostly hips."


@pytest.fixture(scope="module")
def with_kettlebell() -> list[Proposal]:
    return list(propose(KETTLEBELL, count=3, cache=default_cache()))


def test_twenty_minutes_have_time_for_legs_and_shoulders() -> None:
    proposal = next(propose("20 minutes, legs and shoulders", count=1, cache=default_cache()))
    focus = read_brief("20 minutes, legs and shoulders", LIBRARY).brief.focus
    assert len(focus) == 4
    assert set(focus) <= {column.move.pattern for column in proposal.columns}
    for kind in (BlockKind.WARM_UP, BlockKind.COOL_DOWN):
        lasting_ms = moving_ms(proposal.run.session, proposal.run.timeline, kind)
        assert 0 <= lasting_ms - floor_ms(20 * 60_000) <= 60_000


@pytest.mark.parametrize("minutes", [12, 15, 20, 30, 60])
def test_a_main_part_gets_what_warm_up_and_cool_down_need_not_have(minutes: int) -> None:
    brief = SessionBrief(minutes=minutes)
    doses = [
        sum(cell.dose.duration_ms * (2 if cell.dose.per == "a side" else 1) for cell in block.columns.values())
        for block in (warm_up(brief, LIBRARY, ()), cool_down(brief, LIBRARY, ()))
    ]
    assert max(doses) <= floor_ms(minutes * 60_000) + 60_000
    around_ms = minutes * 60_000 - main_ms(VersionsBeside(brief=brief, rungs=RungsWithLevers(library=LIBRARY)))
    assert around_ms <= 2 * floor_ms(minutes * 60_000) + 3 * 60_000


def test_a_kettlebell_that_everybody_has_is_used_and_named(with_kettlebell: Sequence[Proposal]) -> None:
    assert len(with_kettlebell) == 3
    for each in with_kettlebell:
        items = {item for column in each.columns for item in column.kit}
        assert KitItem.KETTLEBELL in items
        assert KitItem.DUMBBELLS not in items
        assert "need: kettlebell." in each.text
        assert "umbbell" not in each.text
        assert not any("does not use" in words for words in each.gives_up)


def test_no_proposal_has_all_moves_of_an_earlier_one(with_kettlebell: Sequence[Proposal]) -> None:
    moves = [frozenset(column.move.key for column in each.columns) for each in with_kettlebell]
    assert not any(one <= other for at, one in enumerate(moves) for other in moves[:at])
