"""Bodies by size: one model, built once in a process, and the reference grid every rung is judged on."""

from functools import cache

from everyrung.body.calibration import calibrated
from everyrung.body.model import BodyModel, bare_body
from everyrung.tables.anthropometry import measure
from everyrung.terms.body import BodySize, Sex

LIGHT_BMI, HEAVY_BMI = 21.0, 30.0  # chosen, because most adults of an open class lie between


@cache
def body_model(size: BodySize) -> BodyModel:
    """The model of a body of this size, muscles as strong as its joints were measured; the same object each time."""
    return calibrated(bare_body(size))


def reference_grid() -> tuple[BodySize, ...]:
    """Twelve bodies: both sexes, the 5th, 50th and 95th percentile of stature, light and heavy for it."""
    return tuple(
        BodySize(sex=sex, stature_m=stature_m, mass_kg=round(bmi * stature_m**2, 1))
        for sex in Sex
        for stature_m in (measure(sex, "stature").p05, measure(sex, "stature").p50, measure(sex, "stature").p95)
        for bmi in (LIGHT_BMI, HEAVY_BMI)
    )
