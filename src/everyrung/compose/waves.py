"""Candidates that lead a block in waves, where its kit is not enough for everybody at once."""

from collections.abc import Iterator

from everyrung.checks.wave_groups import block_grouping, group_words
from everyrung.compose.case import Case, Remedy
from everyrung.terms.edit import SetPart
from everyrung.terms.plan import Ref


def in_waves(case: Case) -> Iterator[Remedy]:
    """Every block that the finding names, in the waves in which people wait least."""
    session = case.session
    names = {cell.ref.block for cell in case.cells}
    edits, words = [], []
    for block in session.blocks:
        if block.name not in names:
            continue
        grouping = block_grouping(session, case.run.timeline, block, session.who.in_room, case.wall_people)
        if not grouping.waves or grouping.too_few:
            return
        value = [list(group) for group in grouping.waves]
        edits.append(SetPart(ref=Ref(block=block.name), field="waves", value=value))
        words.append(f"{block.name} in waves: {group_words(grouping)}")
    if edits:
        yield Remedy(words=f"Lead {'; '.join(words)}", edits=tuple(edits))
