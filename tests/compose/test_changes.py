"""Changes by one press: what was asked for is so afterwards, no finding has come, and what cannot be says why."""

from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from spoilt_drafts import GRAVE, LIBRARY, run_of

from everyrung.checks.cells import every_cell
from everyrung.compose.case import PlanRun
from everyrung.compose.changes import ChangeKind, ChangeRequest, Offer, Offers, change_offers
from everyrung.pipeline import run_plan
from everyrung.plan.edit import apply_edit
from everyrung.plan.read import ref
from everyrung.results.analysis import Analysis
from everyrung.terms.edit import SetCell, SetPart
from everyrung.terms.enums import BlockKind
from everyrung.terms.errors import Invalid
from everyrung.terms.plan import Ref

ROOT = Path(__file__).parents[2] / "examples"
DEMO, OFFICE, BANDS = ((ROOT / f"{name}.toml").read_text(encoding="utf-8") for name in (
    "boathouse-30", "office-20", "mini-bands-30"))  # fmt: skip


def offers_of(text: str, kind: ChangeKind, at: str = "", **more: Any) -> Offers:
    request = ChangeRequest(kind=kind, ref=ref(at) if at else None, **more)
    start = PlanRun(run=run_of(text), library=LIBRARY)
    return change_offers(text, start, request, lambda plan: run_plan(plan, library=LIBRARY))


def pressed(text: str, offer: Offer) -> Analysis:
    """The session after the press; no error and no warning has come, for there was none."""
    assert not [each for each in run_of(text).findings if each.severity in GRAVE]
    assert apply_edit(text, offer.edit, LIBRARY) == offer.text
    after = run_of(offer.text)
    assert not [each for each in after.findings if each.severity in GRAVE], offer.words
    assert offer.words
    assert offer.notes
    return after


def test_a_move_is_swapped_for_up_to_five_others() -> None:
    found = offers_of(OFFICE, ChangeKind.SWAP, "Main/Two/march").offers
    assert 2 <= len(found) <= 5
    before = run_of(OFFICE).session
    place = [*dict.fromkeys(cell.ref.cell for cell in before.cells if cell.ref.block == "Main")].index("march")
    new = set()
    for each in found:
        after = pressed(OFFICE, each).session
        main = [cell for cell in after.cells if cell.ref.block == "Main"]
        keys = [*dict.fromkeys(cell.ref.cell for cell in main)]
        assert "march" not in keys
        sets = [cell for cell in main if cell.ref.cell == keys[place]]
        assert [cell.ref.round for cell in sets] == ["One", "Two"]
        assert sets[0].move.kind is LIBRARY.move("seated-march").kind
        assert f"{sets[0].move.name} in place of seated march" in each.words
        new.add(sets[0].move.key)
    assert len(new) == len(found)


def test_the_cut_order_goes_with_a_swap() -> None:
    assert [str(each) for each in run_of(OFFICE).plan.cut_order] == ["Main/Two/march", "Main/Two/push"]
    after = pressed(OFFICE, offers_of(OFFICE, ChangeKind.SWAP, "Main/One/march").offers[0])
    column = after.plan.cut_order[0].cell
    assert column != "march"
    assert column in {cell.ref.cell for cell in after.session.cells}


@pytest.mark.parametrize("kind", [ChangeKind.HARDER, ChangeKind.EASIER])
def test_a_round_is_made_a_step_harder_or_easier(kind: ChangeKind) -> None:
    (offer,) = offers_of(DEMO, kind, "Main/Two").offers
    after = {cell.ref: cell for cell in every_cell(pressed(DEMO, offer).session)}
    ups = downs = 0
    for cell in every_cell(run_of(DEMO).session):
        if cell.ref.round == "Two" and cell.ref in after:
            now = after[cell.ref]
            was_ms, now_ms = (sum(bout.duration_ms for bout in each.bouts) for each in (cell, now))
            was_kg, now_kg = ((each.bouts[0].load.total_kg if each.bouts[0].load else 0) for each in (cell, now))
            one, two = (cell.rung.grade, was_kg, was_ms), (now.rung.grade, now_kg, now_ms)
            ups, downs = ups + (two > one), downs + (two < one)
    assert (ups > 0, downs > 0) == ((True, False) if kind is ChangeKind.HARDER else (False, True))


@pytest.mark.parametrize("minutes", [20, 40])
def test_it_fits_another_length(minutes: int) -> None:
    found = offers_of(DEMO, ChangeKind.FIT, minutes=minutes).offers
    assert 1 <= len(found) <= 3
    for each in found:
        after = pressed(DEMO, each)
        assert after.session.slot_ms == minutes * 60_000
        assert 0.95 * minutes * 60_000 <= after.timeline.total_ms <= minutes * 60_000


def changes_of_kit(run: Analysis) -> int:
    """Counted here from what stands next to each other."""
    count = 0
    for block in run.session.of_kind(BlockKind.MAIN):
        kits = [{str(need.item) for need in cell.rung.kit if need.item.counts_as_kit} for cell in block.cells]
        count += sum(one != other for one, other in pairwise(kits))
    return count


def test_kit_is_changed_less_often() -> None:
    (offer,) = offers_of(BANDS, ChangeKind.FEWER_KIT_CHANGES).offers
    assert changes_of_kit(pressed(BANDS, offer)) < changes_of_kit(run_of(BANDS))
    none = offers_of(OFFICE, ChangeKind.FEWER_KIT_CHANGES)
    assert (none.offers, none.stays) == ((), ("nothing of the kind is left to do",))


def test_nobody_gets_down() -> None:
    assert any(cell.rung.form.position.on_floor for cell in run_of(BANDS).session.cells)
    (offer,) = offers_of(BANDS, ChangeKind.OFF_THE_FLOOR).offers
    assert not any(cell.rung.form.position.on_floor for cell in pressed(BANDS, offer).session.cells)


def test_for_one_person_more_or_why_not() -> None:
    (offer,) = offers_of(BANDS, ChangeKind.ONE_MORE).offers
    assert pressed(BANDS, offer).session.who.in_room == run_of(BANDS).session.who.in_room + 1
    short = offers_of(DEMO, ChangeKind.ONE_MORE)  # eight balls for eight people
    assert short.offers == ()
    assert short.stays == ("it brings what nothing here mends: kit short",)


def test_what_is_locked_is_not_changed() -> None:
    text = apply_edit(OFFICE, SetCell(ref=ref("Main/Two/march"), field="lock", value=True, column=True), LIBRARY)
    swap = offers_of(text, ChangeKind.SWAP, "Main/One/march")
    assert (swap.offers, swap.stays) == ((), ("it changes what is locked",))
    block = apply_edit(BANDS, SetPart(ref=Ref(block="Main"), field="lock", value=True), LIBRARY)
    for kind, more in (
        (ChangeKind.FEWER_KIT_CHANGES, {}),
        (ChangeKind.OFF_THE_FLOOR, {}),
        (ChangeKind.FIT, {"minutes": 20}),
    ):
        assert offers_of(block, kind, **more).offers == (), kind


@pytest.mark.parametrize(
    ("kind", "more", "words"),
    [
        (ChangeKind.FIT, {"minutes": 3}, "5 to 240 minutes"),
        (ChangeKind.SWAP, {"at": "Main/Two/marsh"}, "a set of this session"),
        (ChangeKind.SWAP, {}, "a set of this session"),
        (ChangeKind.HARDER, {"at": "Main/Nine"}, "a round of this session"),
        (ChangeKind.EASIER, {"at": "Main"}, "a round of this session"),
    ],
)
def test_a_place_that_is_not_there_is_refused_with_the_nearest(kind: ChangeKind, more: Any, words: str) -> None:
    with pytest.raises(Invalid, match=words):
        offers_of(OFFICE, kind, **more)


def test_mend_all_is_one_press_too() -> None:
    text = OFFICE.replace("slot_minutes = 20", "slot_minutes = 17")
    result = offers_of(text, ChangeKind.MEND)
    assert [each.rule for each in run_of(text).findings if each.severity in GRAVE] == ["slot-overrun"]
    (offer,) = result.offers
    assert apply_edit(text, offer.edit, LIBRARY) == offer.text
    assert not [each for each in run_of(offer.text).findings if each.severity in GRAVE]
    assert "errors: 0 in place of 1" in offer.notes
    assert result.stays == ()
    assert offers_of(OFFICE, ChangeKind.MEND).stays == ("there is nothing to mend",)


FULL = """\
title = "Too much for it"
slot_minutes = 8

[who]
in_room = 10

[[block]]
kind = "main"
"""


def test_what_is_offered_to_fit_fits_however_much_has_to_go() -> None:
    """A session of 22 minutes in a slot of 8: one round less was offered, though 15 minutes do not fit either."""
    moves = ("squat", "shadow-row", "push-up", "hip-hinge", "calf-raise", "bridge")
    columns = (f'\n  [[block.move]]\n  move = "{move}"\n  dose = "12 reps"\n' for move in moves)
    rounds = (f'\n  [[block.round]]\n  name = "{name}"\n' for name in ("One", "Two", "Three"))
    text = FULL + "".join(columns) + "".join(rounds)
    assert run_of(text).timeline.total_ms > 2 * 8 * 60_000
    found = offers_of(text, ChangeKind.FIT, minutes=8)
    assert found.offers
    assert all(offer.run.timeline.total_ms <= 8 * 60_000 for offer in found.offers)
