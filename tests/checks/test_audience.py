"""What a rehearsal says, on made-up forecasts: each rule alone, silent at its limit, and naming what it found."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from everyrung.body.energy import band
from everyrung.checks.registry import check, rules
from everyrung.checks.rule import AUDIENCE
from everyrung.checks.rules.audience import (
    balance_missing,
    few_finish,
    limit_without_path,
    newcomers_sore,
    rung_for_nobody,
    same_muscle,
    too_light,
)
from everyrung.terms.enums import Caution, Level, OptionKind, Pattern, Severity
from everyrung.terms.finding import Finding
from everyrung.terms.forecast import CellForecast, Energy, Forecast, RungForecast, Share, Spread
from everyrung.terms.session import Block, Cell, Session
from everyrung.timing.timeline import build_timeline

PEOPLE = 1000


def share(count: int, of: int = PEOPLE) -> Share:
    return Share(count=count, of=of)


def rung(
    kind: OptionKind | None = None, finishing: int = 950, middle: float = 14.0, asked: float = 8.0
) -> RungForecast:
    return RungForecast(
        kind=kind, name=f"A rung, {kind or 'led'}", unit="reps", asked=asked, finishing=share(finishing),
        possible=Spread(p10=5, p50=middle, p90=40), most=100.0, left=None, limiting=(("calf", share(600)),),
        limiting_side={},
        advised=share(100), loads=(),
    )  # fmt: skip


@pytest.fixture
def forecast(session: Callable[..., Session]) -> Callable[..., tuple[Session, Forecast]]:
    """The clean plan with a forecast in which nothing is wrong; `cells` changes cells by their place's words."""
    whole = session()

    def build(cells: dict[str, dict[str, Any]] | None = None, plan: Session = whole, **values: Any):
        found = []
        for cell in plan.cells:
            usual = CellForecast(
                ref=cell.ref,
                rungs=(rung(),),
                some_rung=share(980),
                skipping=share(20),
                left=None,
                rating=None,
                moved={"tempo": (0.0, 0.0)},
            )
            found.append(replace(usual, **(cells or {}).get(str(cell.ref), {})))
        energy = Energy(kcal=band(100, "kcal"), met=band(3, "MET"), reason="a test")
        usual = Forecast(
            people=PEOPLE, mix="a mix", seed=1, cells=tuple(found), whole=share(900), sore=share(0, 100),
            without_path={}, broken={}, on_medicine=share(0), older=share(0), heart="", energy=energy, failed={},
            rating=None, minutes=30.0,
        )  # fmt: skip
        return plan, replace(usual, **values)

    return build


def findings(rule: Any, given: tuple[Session, Forecast]) -> list[Finding]:
    return list(rule(*given))


def some_ref(given: tuple[Session, Forecast]) -> str:
    return str(next(cell.ref for cell in given[0].cells if cell.ref.block == "Main"))


@pytest.mark.parametrize("rule", rules(AUDIENCE), ids=lambda rule: rule.id)
def test_nothing_is_said_when_nothing_is_wrong(rule: Any, forecast) -> None:
    assert findings(rule, forecast()) == []


@pytest.mark.parametrize(("count", "told"), [(900, False), (899, True)])
def test_too_few_finish_below_nine_in_ten(count: int, told: bool, forecast) -> None:
    ref = some_ref(forecast())
    found = findings(few_finish, forecast({ref: {"some_rung": share(count)}}))
    assert bool(found) is told
    if told:
        assert found[0].severity is Severity.WARNING
        assert found[0].where.line > 1
        assert found[0].place == ref.replace("/", " / ")
        assert "89.9% can finish some rung" in found[0].measured
        assert "calf" in found[0].measured
        assert "repetition 15" in found[0].measured


@pytest.mark.parametrize(("count", "told"), [(50, False), (49, True)])
def test_a_rung_is_for_nobody_below_one_in_twenty(count: int, told: bool, forecast) -> None:
    ref = some_ref(forecast())
    found = findings(rung_for_nobody, forecast({ref: {"rungs": (rung(), rung(OptionKind.HARDER, finishing=count))}}))
    assert bool(found) is told
    if told:
        assert "'A rung, harder'" in found[0].measured
        assert found[0].remedy.startswith("Offer a lower rung")


def two_rounds(move: str, second: str) -> Session:
    """A plan of one move with 10 lb in two rounds; `second` is what the second says of it."""
    from everyrung.moves.library import standard_library
    from everyrung.plan.read import plan_from_text
    from everyrung.plan.resolve import resolve

    plan = f"""
title = "Two rounds"
slot_minutes = 20
[who]
in_room = 1
[[block]]
kind = "main"
  [[block.move]]
  {move}
  load = "10 lb"
  [[block.round]]
  name = "One"
  [[block.round]]
  name = "Two"
  {second}
"""
    return resolve(plan_from_text(plan, "plan.toml"), standard_library())


@pytest.mark.parametrize(("count", "told"), [(10, False), (11, True)])
def test_first_timers_are_sore_above_one_in_ten_of_them(count: int, told: bool, forecast) -> None:
    found = findings(newcomers_sore, forecast(sore=share(count, 100)))
    assert bool(found) is told
    if told:
        assert "11.0%" in found[0].measured


@pytest.mark.parametrize(("count", "told"), [(500, False), (501, True)])
def test_a_round_spends_one_muscle_when_it_stops_more_than_half(count: int, told: bool, forecast) -> None:
    block, name, _ = some_ref(forecast()).split("/")
    found = findings(same_muscle, forecast(broken={(block, name): (("back of the thigh", share(count)),)}))
    assert bool(found) is told
    if told:
        assert "at the back of the thigh" in found[0].measured
        assert found[0].place == f"{block} / {name}"


def test_a_limit_without_a_path_names_its_cells_and_how_many_it_bars(forecast) -> None:
    given = forecast()
    ref = next(cell.ref for cell in given[0].cells if cell.ref.block == "Main")
    found = findings(limit_without_path, forecast(without_path={Caution.LYING_BACK: (share(3, 40), (ref,))}))
    assert len(found) == 1
    assert "3 of 40 who avoid 'lying on the back' have no rung in 1 set" in found[0].measured
    assert "squat" in found[0].remedy


def test_the_rules_of_the_audience_stand_with_the_others(forecast) -> None:
    session, found = forecast(sore=share(50, 100))
    timeline = build_timeline(session)
    assert [each.rule for each in check(session, timeline, None, found)].count("newcomers-sore") == 1
    assert "newcomers-sore" not in [each.rule for each in check(session, timeline)]


@pytest.mark.parametrize(("left", "told"), [(6.0, False), (6.1, True)])
def test_a_pattern_is_too_light_when_its_led_sets_leave_half_the_audience_over_six(
    left: float, told: bool, forecast
) -> None:
    plan, _ = forecast()
    knees = [str(cell.ref) for cell in plan.cells if cell.move.pattern is Pattern.KNEE and cell.ref.block == "Main"]
    others = {str(cell.ref): {"rungs": (rung(middle=10.0),)} for cell in plan.cells}
    found = findings(too_light, forecast(others | {ref: {"rungs": (rung(middle=8 + left),)} for ref in knees}))
    assert bool(found) is told
    if told:
        assert "in every led set of 1 of 9 patterns; least left: knee-dominant 6" in found[0].measured
        assert found[0].severity is Severity.WARNING
        last = {knees[-1]: {"rungs": (rung(middle=11.0),)}}
        assert not findings(too_light, forecast(others | last))


@pytest.mark.parametrize("pattern", [Pattern.BALANCE, Pattern.CONDITIONING])
def test_balance_and_breath_are_not_judged_by_repetitions_left(pattern: Pattern, forecast) -> None:
    """Common practice, no source: who steps for breath or stands on one foot stops for neither thigh nor calf."""
    session, found = forecast({str(cell.ref): {"rungs": (rung(middle=40.0),)} for cell in forecast()[0].cells})
    (finding,) = too_light(session, found)
    assert "knee-dominant" in finding.measured

    def other(cell: Cell) -> Cell:
        return replace(cell, move=replace(cell.move, pattern=pattern)) if cell.move.pattern is Pattern.KNEE else cell

    def others(block: Block) -> Block:
        return replace(block, rounds=tuple(replace(r, cells=tuple(map(other, r.cells))) for r in block.rounds))

    (finding,) = too_light(replace(session, blocks=tuple(map(others, session.blocks))), found)
    assert not {"knee-dominant", str(pattern)} & set(finding.measured.replace(",", "").split())


def test_a_gentle_session_is_not_called_too_light(forecast) -> None:
    """Common practice, no source: on a first evening moves are learnt, with much in reserve on purpose."""
    session, found = forecast({str(cell.ref): {"rungs": (rung(middle=40.0),)} for cell in forecast()[0].cells})
    assert list(too_light(session, found))
    assert not list(too_light(replace(session, level=Level.GENTLE), found))


@pytest.mark.parametrize(("older", "told"), [(249, False), (250, True)])
def test_where_a_quarter_is_65_or_older_something_trains_balance(older: int, told: bool, forecast) -> None:
    """WHO 2020 (seen quoted): balance and strength on three days a week from 65."""
    found = findings(balance_missing, forecast(older=share(older)))
    assert bool(found) is told
    if told:
        assert "25.0%" in found[0].measured
