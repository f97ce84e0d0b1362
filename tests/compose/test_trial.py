"""A trial refuses whatever does not mend, does harm, or offers what nobody there should do, and says why."""

from typing import Any

import pytest

from everyrung.compose.case import Case, Remedy
from everyrung.compose.mend import again
from everyrung.compose.trial import Refusal, WorkingRemedy, fresh, is_mended, try_remedy
from everyrung.moves.library import standard_library
from everyrung.pipeline import Options
from everyrung.terms.edit import OneEdit, SetCell
from everyrung.terms.enums import Severity
from everyrung.terms.errors import Where
from everyrung.terms.finding import Finding
from everyrung.terms.plan import Ref

LIBRARY = standard_library()
PLAN = """\
title = "Arms"
slot_minutes = 25
level = "moderate"

[who]
in_room = 6
newcomers = true
limits = ["lying on the front"]

[[kit]]
item = "dumbbells"
mass = "4 kg"
as = "pairs"
count = 6

[[block]]
kind = "main"
  [[block.move]]
  move = "overhead-press"
  [[block.move]]
  move = "bent-row"

  [[block.round]]
  name = "One"
  cell.bent-row = { rung = "pair", levers = [{ base = "feet together" }] }

  [[block.round]]
  name = "Two"
  cell.bent-row = { rung = "pair", levers = [{ base = "feet together" }], dose = "12 reps" }
"""
ROWS = [Ref(block="Main", round=name, cell="bent-row") for name in ("One", "Two")]
PRESS = Ref(block="Main", round="One", cell="overhead-press")


def easier(value: str, *, column: bool = False) -> tuple[OneEdit, ...]:
    return tuple(SetCell(ref=ref, field="options.easier", value=value, column=column) for ref in ROWS)


def verdict(press: Any, edits: tuple[OneEdit, ...], rule: str = "newcomer-rung") -> WorkingRemedy | Refusal:
    run_of, _, _ = press
    run = run_of(PLAN)
    (finding,) = (each for each in run.findings if each.rule == rule)
    case = Case(run=run, finding=finding, library=LIBRARY)
    return try_remedy(PLAN, case, Remedy(words="A try", edits=edits), again(rule, LIBRARY, Options()))


@pytest.mark.parametrize(
    ("edits", "why"),
    [
        (easier("nonsense"), Refusal.IMPOSSIBLE),
        (easier("wall", column=True), Refusal.STAYS),  # dropped there, because the cells name a rung
        (easier("wall")[:1], Refusal.STAYS),  # one of two rounds: a merged finding has to go whole
        (easier("band-pull-apart/base"), Refusal.KIT),  # a band that is not there
        (easier("seated"), Refusal.KIT),  # nor is a chair
        ((*easier("wall"), SetCell(ref=PRESS, field="load", value="10 kg")), Refusal.AS_SEVERE),
        (easier("prone-pull/half"), Refusal.CAUTION),
        (
            (*easier("wall"), SetCell(ref=PRESS, field="options.no_kit", value="bird-dog/side-reach")),
            Refusal.LEVEL,
        ),
    ],
)
def test_a_bad_remedy_is_refused_with_its_reason(press: Any, edits: tuple[OneEdit, ...], why: Refusal) -> None:
    assert verdict(press, edits) == why


def test_a_good_one_holds(press: Any) -> None:
    assert isinstance(verdict(press, easier("wall")), WorkingRemedy)


def test_a_caution_of_the_finding_itself_is_in_question(press: Any) -> None:
    """Though nobody announced a limit: who avoids overhead is not sent overhead."""
    run_of, _, _ = press
    run = run_of(PLAN)
    finding = made("limit-without-path", Severity.WARNING, "overhead", ROWS[0])
    case = Case(run=run, finding=finding, library=LIBRARY)
    ways = {"seated-trunk-turn/standing": WorkingRemedy, "prone-pull/half": Refusal, "overhead-press/base": Refusal}
    for value, kind in ways.items():
        found = try_remedy(
            PLAN, case, Remedy(words="A try", edits=easier(value)), again("slot-overrun", LIBRARY, Options())
        )
        assert isinstance(found, kind), (value, found)


def made(rule: str, severity: Severity, what: str, *places: Ref) -> Finding:
    where = Where(file="plan.toml", line=1, field="plan")
    return Finding(
        rule=rule, severity=severity, where=where, places=places, what=what,
        measured="1", limit="0", source="a test", remedy="none",
    )  # fmt: skip


def test_findings_are_the_same_by_rule_matter_and_place() -> None:
    one = made("kit-missing", Severity.ERROR, "chair", *ROWS)
    assert not is_mended(one, (made("kit-missing", Severity.WARNING, "chair", ROWS[1]),))
    assert is_mended(
        one, (made("kit-missing", Severity.ERROR, "band", *ROWS), made("kit-missing", Severity.ERROR, "chair", PRESS))
    )
    assert not fresh((one,), (made("kit-missing", Severity.WARNING, "chair", ROWS[0]),))
    for other in (
        made("kit-missing", Severity.ERROR, "chair", *ROWS, PRESS),
        made("kit-missing", Severity.ERROR, "band", *ROWS),
        made("kit-short", Severity.ERROR, "chair", *ROWS),
    ):
        assert fresh((one,), (other,)) == (other,)
    milder = made("kit-missing", Severity.WARNING, "chair", *ROWS)
    assert fresh((milder,), (one,)) == (one,)
