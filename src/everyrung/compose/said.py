"""Candidates for words that mislead, and for entry tests that are missing or too long."""

from collections.abc import Iterator

from everyrung.compose.case import Case
from everyrung.compose.remedy import Remedy
from everyrung.terms.edit import OneEdit, SetCell, SetPart
from everyrung.terms.plan import Ref

HARDER_TEST = "Was the round before easy, four left?"  # asks what was just done; chosen, because everyone can answer it


def leave_unsaid(case: Case) -> Iterator[Remedy]:
    """The sentence left out of what is said in a part, and out of the coach's own points."""
    text = case.finding.what
    edits: list[OneEdit] = []
    for block in (*case.session.blocks, *case.session.reserve):
        if Ref(block=block.name) in case.finding.places and text in block.say:
            left = [each for each in block.say if each != text]
            edits.append(SetPart(ref=Ref(block=block.name), field="say", value=left or None))
    for cell in case.cells:
        cues = case.text(cell).cues
        if text in cues:
            left = [each for each in cues if each != text]
            edits.append(SetCell(ref=cell.ref, field="cues", value=left or None, column=not left))
    if edits:
        yield Remedy(words="Leave that sentence out", edits=tuple(edits))


def entry_test(case: Case) -> Iterator[Remedy]:
    """The rung's own test, or one that asks for the round before."""
    led = [cell for cell in case.cells if cell.rung.name == case.finding.what]
    if len(led) < len(case.cells):
        return
    own = tuple(SetCell(ref=cell.ref, field="entry_test", value=None) for cell in led)
    yield Remedy(words="Ask the rung's own question", edits=own)
    columns = tuple(SetCell(ref=cells[0].ref, field="entry_test", value=None, column=True) for cells in case.columns)
    yield Remedy(words="Ask the rung's own question in every round", edits=columns)
    if all(case.before(cell) for cell in led):
        edits = tuple(SetCell(ref=cell.ref, field="entry_test", value=HARDER_TEST) for cell in led)
        yield Remedy(words=f"Ask: {HARDER_TEST}", edits=edits)
