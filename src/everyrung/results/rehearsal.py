"""A rehearsal: how an audience does in a session, what people who are known are advised, and what follows."""

from collections.abc import Callable, Mapping

from everyrung.effort.uncertainty import unsure_limiters
from everyrung.effort.words import kind_words
from everyrung.results.analysis import Analysis, findings_in_short
from everyrung.results.analysis_values import finding_values
from everyrung.results.result import Result, Rows, Values, absent
from everyrung.terms.finding import Finding
from everyrung.terms.forecast import (
    Advice,
    CellForecast,
    Forecast,
    PersonAdvice,
    Rating,
    RungForecast,
    Share,
    Spread,
    Take,
)
from everyrung.terms.frozen import dataclass

NAMED = 5  # people in a repr; chosen, because they fit on its line


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Rehearsal(Result):
    """An analysis with an audience, seen from its people. Health answers are in no value and no table of it."""

    analysis: Analysis

    @property
    def forecast(self) -> Forecast | None:
        """What the simulated audience does; None where only known people were rehearsed with."""
        return self.analysis.forecast

    @property
    def advice(self) -> tuple[PersonAdvice, ...]:
        """What each known person is advised, cell by cell."""
        return self.analysis.advice

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Those of the plan and those of its audience."""
        return self.analysis.findings

    def to_dict(self) -> Values:
        """The forecast, the advice for known people and the findings. `everyrung rehearse --json` prints the same."""
        return {
            "title": self.analysis.session.title,
            "clean": self.analysis.clean,
            "forecast": forecast_values(self.forecast) if self.forecast else None,
            "people": [_person(one) for one in self.advice],
            "findings": [finding_values(finding) for finding in self.findings],
        }

    def _tables(self) -> Mapping[str, Callable[[], Rows]]:
        return {
            "rungs": self._rung_rows,
            "cells": self._cell_rows,
            "advice": self._advice_rows,
            "findings": lambda: [finding_values(finding) for finding in self.findings],
        }

    def _forecast_for(self, table: str) -> Forecast:
        if self.forecast is None:
            raise absent(table, "rehearse(plan, count=2000)")
        return self.forecast

    def _rung_rows(self) -> Rows:
        return [_rung_row(cell, rung) for cell in self._forecast_for("rungs").cells for rung in cell.rungs]

    def _cell_rows(self) -> Rows:
        return [_cell_row(cell) for cell in self._forecast_for("cells").cells]

    def _advice_rows(self) -> Rows:
        if not self.advice:
            raise absent("advice", "rehearse(plan, people=[...])")
        return [_advice_row(one, cell) for one in self.advice for cell in one.cells]

    def _lines(self) -> list[str]:
        forecast, lines = self.forecast, [f"Rehearsal of {self.analysis.session.title!r}"]
        if forecast:
            lines += [
                f"  before {forecast.people:,} people: {forecast.mix} (seed {forecast.seed})",
                f"  {forecast.whole} can finish every set with some rung",
                *([f"  hardest to finish: {forecast.worst.ref}, {forecast.worst.some_rung}"] if forecast.worst else []),
                f"  energy: {forecast.energy.kcal}",
            ]
        if self.advice:
            names = ", ".join(one.name for one in self.advice[:NAMED])
            lines.append(f"  advice for {len(self.advice)}: {names}{', …' if len(self.advice) > NAMED else ''}")
        return [*lines, f"  findings: {findings_in_short(self.findings)}", f"  tables: {', '.join(self._tables())}"]

    def _picture(self) -> str:
        return self.analysis._picture()


def forecast_values(forecast: Forecast) -> Values:
    """Shares as fractions, with the band in which they lie in four of five cases and the error of the number drawn."""
    return {
        "people": forecast.people,
        "mix": forecast.mix,
        "seed": forecast.seed,
        "whole": _share(forecast.whole),
        "worst": str(forecast.worst.ref) if forecast.worst else None,
        "first_timers_sore": _share(forecast.sore),
        "without_path": {
            str(caution): {**_share(share), "cells": [str(ref) for ref in refs]}
            for caution, (share, refs) in forecast.without_path.items()
        },
        "broken": {
            f"{block}/{name}": {muscle: _share(share) for muscle, share in shares}
            for (block, name), shares in forecast.broken.items()
        },
        "on_rate_limiting_medicine": _share(forecast.on_medicine),
        "aged_65_or_older": _share(forecast.older),
        "heart_rate": forecast.heart,
        "rating": _rating(forecast.rating) if forecast.rating else None,
        "minutes": forecast.minutes,
        "session_load": forecast.session_load,
        "energy": {"kcal": str(forecast.energy.kcal), "met": str(forecast.energy.met), "error": forecast.energy.reason},
        "cells": [_cell(cell) for cell in forecast.cells],
        "failed": {str(ref): why for ref, why in forecast.failed.items()},
    }


def _cell(cell: CellForecast) -> Values:
    return {
        "ref": str(cell.ref),
        "some_rung": _share(cell.some_rung),
        "hold_or_skip": _share(cell.skipping),
        "repetitions_left": _spread(cell.left) if cell.left else None,
        "rating": _rating(cell.rating) if cell.rating else None,
        "moved_points": {name: {"some_rung": some, "led": led_rung} for name, (some, led_rung) in cell.moved.items()},
        "rungs": [_rung(rung) for rung in cell.rungs],
    }


def _rung(rung: RungForecast) -> Values:
    return {
        "kind": str(rung.kind) if rung.kind else "led",
        "name": rung.name,
        "unit": rung.unit,
        "asked": rung.asked,
        "finishing": _share(rung.finishing),
        "possible": _spread(rung.possible),
        "counted_up_to": rung.most,
        "left": _spread(rung.left) if rung.left else None,
        "limiting": {
            name: {
                **_share(share),
                "side": rung.limiting_side.get(name),
                "strength_from_memory": name in unsure_limiters(),
            }
            for name, share in rung.limiting
        },
        "advised": _share(rung.advised),
        "loads": {each.load or "none": _share(each.advised) for each in rung.loads},
    }


def _share(share: Share) -> Values:
    """`error` is that of the number drawn alone; `low` and `high` have the model's in them, or are None."""
    return {"part": share.part, "low": share.low, "high": share.high, "error": share.error, "of": share.of}


def _rating(rating: Rating) -> Values:
    """0 to 10; four of five answers lie between `low` and `high`."""
    return {"middle": rating.middle, "low": rating.low, "high": rating.high}


def _spread(spread: Spread) -> Values:
    return {"p10": spread.p10, "p50": spread.p50, "p90": spread.p90}


def _person(one: PersonAdvice) -> Values:
    return {
        "name": one.name,
        "taken": list(one.taken),
        "cells": [_advice(cell) for cell in one.cells],
        "balls": list(one.balls),
        "heart_rate": one.heart,
    }


def _advice(cell: Advice) -> Values:
    return {
        "ref": str(cell.ref),
        "take": _take(cell.take) if cell.take else "hold or skip",
        "effort": cell.effort,
        "reason": cell.reason,
        "harder": _take(cell.harder) if cell.harder else None,
    }


def _take(take: Take) -> Values:
    return {
        "kind": str(take.kind) if take.kind else "led",
        "rung": take.rung,
        "dose": take.dose,
        "load": take.load,
        "entry_test": take.entry_test,
    }


def _rung_row(cell: CellForecast, rung: RungForecast) -> Values:
    return {
        "ref": str(cell.ref),
        "kind": kind_words(rung.kind),
        "rung": rung.name,
        "unit": rung.unit,
        "asked": rung.asked,
        "finishing": rung.finishing.part,
        "finishing_low": rung.finishing.low,
        "finishing_high": rung.finishing.high,
        "possible_p10": rung.possible.p10,
        "possible_p50": rung.possible.p50,
        "possible_p90": rung.possible.p90,
        "advised": rung.advised.part,
        "limiting": rung.limiting[0][0] if rung.limiting else "",
    }


def _cell_row(cell: CellForecast) -> Values:
    led_rung = cell.led_rung
    return {
        "ref": str(cell.ref),
        "some_rung": cell.some_rung.part,
        "some_rung_low": cell.some_rung.low,
        "some_rung_high": cell.some_rung.high,
        "led": led_rung.finishing.part if led_rung else None,
        "hold_or_skip": cell.skipping.part,
        "left_p50": cell.left.p50 if cell.left else None,
    }


def _advice_row(one: PersonAdvice, cell: Advice) -> Values:
    take = cell.take
    return {
        "name": one.name,
        "ref": str(cell.ref),
        "take": take.rung if take else "hold or skip",
        "dose": take.dose if take else "",
        "load": take.load if take else "",
        "effort": cell.effort,
        "reason": cell.reason,
    }
