"""The twelve bodies that every rung is judged on."""

from functools import cache

from everyrung.tables.anthropometry import measure
from everyrung.terms.person import BodySize, Sex

LIGHT_BMI, HEAVY_BMI = 21.0, 30.0  # chosen, because most adults of an open class lie between


@cache
def reference_grid() -> tuple[BodySize, ...]:
    """Twelve bodies: both sexes, the 5th, 50th and 95th percentile of stature (gordon2014), light and heavy for it.

    >>> [str(size) for size in reference_grid()[:2]]
    ['female, 152 cm, 49 kg', 'female, 152 cm, 70 kg']
    """
    sizes = []
    for sex in Sex:
        stature = measure(sex, "stature")
        for stature_m in (round(value, 3) for value in (stature.p05, stature.p50, stature.p95)):
            masses = (round(bmi * stature_m**2, 1) for bmi in (LIGHT_BMI, HEAVY_BMI))
            sizes += [BodySize(sex=sex, stature_m=stature_m, mass_kg=mass_kg) for mass_kg in masses]
    return tuple(sizes)
