"""A rehearsal as plain values for `--json`."""

from typing import Any

from everyrung.cli.as_json import finding_values
from everyrung.effort.error_bands import unsure_limiters
from everyrung.pipeline import Analysis
from everyrung.terms.advice import Advice, PersonAdvice, Take
from everyrung.terms.forecast import CellForecast, Forecast, RungForecast, Share, Spread

Values = dict[str, Any]


def rehearse_values(run: Analysis) -> Values:
    """The forecast, the advice for known people and the findings. Health answers are in none of them."""
    return {
        "title": run.session.title,
        "clean": run.clean,
        "forecast": forecast_values(run.forecast) if run.forecast else None,
        "people": [_person(one) for one in run.advice],
        "findings": [finding_values(finding) for finding in run.findings],
    }


def forecast_values(found: Forecast) -> Values:
    """Shares as fractions, with the band in which they lie in four of five cases and the error of the number drawn."""
    return {
        "people": found.people,
        "mix": found.mix,
        "seed": found.seed,
        "whole": _share(found.whole),
        "worst": str(found.worst.ref) if found.worst else None,
        "first_timers_sore": _share(found.sore),
        "without_path": {
            str(caution): {**_share(share), "cells": [str(ref) for ref in refs]}
            for caution, (share, refs) in found.without_path.items()
        },
        "broken": {
            f"{block}/{name}": {muscle: _share(share) for muscle, share in stopped}
            for (block, name), stopped in found.broken.items()
        },
        "on_rate_limiting_medicine": _share(found.on_medicine),
        "heart_rate": found.heart,
        "energy": {"kcal": str(found.energy.kcal), "met": str(found.energy.met), "error": found.energy.reason},
        "cells": [_cell(cell) for cell in found.cells],
        "failed": {str(ref): why for ref, why in found.failed.items()},
    }


def _cell(cell: CellForecast) -> Values:
    return {
        "ref": str(cell.ref),
        "some_rung": _share(cell.some_rung),
        "hold_or_skip": _share(cell.skipping),
        "repetitions_left": _spread(cell.left) if cell.left else None,
        "moved_points": {name: {"some_rung": some, "led": led} for name, (some, led) in cell.moved.items()},
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
            name: {**_share(share), "strength_from_memory": name in unsure_limiters()} for name, share in rung.limiting
        },
        "advised": _share(rung.advised),
        "loads": {each.load or "none": _share(each.advised) for each in rung.loads},
    }


def _share(share: Share) -> Values:
    """`error` is that of the number drawn alone; `low` and `high` have the model's in them, or are None."""
    return {"part": share.part, "low": share.low, "high": share.high, "error": share.error, "of": share.of}


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
