"""One person from the fields of a table, whether a spreadsheet's row or a [[person]] of a TOML file."""

from collections.abc import Iterable

from everyrung.parsing import person_fields as parse
from everyrung.parsing.table_reader import Table, attempt
from everyrung.people.health import take_health
from everyrung.people.kit_parsing import take_kit
from everyrung.terms.errors import Invalid
from everyrung.terms.person import BodySize, Estimate, Person, Sex, same_name

REQUIRED = ("name", "stature")
FIELDS = (*REQUIRED, "mass", "age", "sex", "level", "kit", "strength", "strength_error", "endurance", "endurance_error",
          "limits", "medicine")  # fmt: skip


def read_persons(tables: Iterable[Table]) -> tuple[Person, ...]:
    """The person of each table; every fault is recorded, a name that was there before among them."""
    lines: dict[str, int] = {}

    def read(table: Table) -> Person:
        return _person(table, lines)

    return attempt(iter(tables), read)


def _person(table: Table, lines: dict[str, int]) -> Person:
    name = _own_name(table, lines)
    stature_m = table.take("stature", parse.stature)
    mass_kg = table.take("mass", parse.body_mass, None)
    if isinstance(stature_m, float) and mass_kg:  # a required field that is missing is no number
        _check_size(table, stature_m, mass_kg)
    return table.build(
        Person,
        where=table.where,
        name=name,
        stature_m=stature_m,
        mass_kg=mass_kg,
        age=table.take("age", parse.age, None),
        sex=table.take("sex", parse.sex, None),
        level=table.take("level", parse.level, None),
        kit=take_kit(table),
        strength=_estimate(table, "strength"),
        endurance=_estimate(table, "endurance"),
        health=take_health(table),
    )


def _own_name(table: Table, lines: dict[str, int]) -> str:
    """The name, which nobody in `lines` may have."""
    name = table.take("name", parse.name)
    if isinstance(name, str):
        here = table.reading.where((*table.path, "name"))
        first = lines.get(same_name(name))
        lines.setdefault(same_name(name), here.line)
        if first is not None:
            got = f"{name} on line {first} and on line {here.line}"
            problem = Invalid("name", "a name of its own for each person", got, remedy="Add a letter to one of them.")
            table.reading.fault((*table.path, "name"), problem)
    return name


def _check_size(table: Table, stature_m: float, mass_kg: float) -> None:
    """The two together, which alone may both be right."""
    try:
        BodySize(sex=Sex.FEMALE, stature_m=stature_m, mass_kg=mass_kg)  # its bounds are the same for either sex
    except Invalid as problem:
        remedy = "Check stature and mass and their units; leave the mass out where it is not known."
        fault = Invalid("mass", problem.expected, problem.got, remedy=remedy)
        table.reading.fault((*table.path, "mass"), fault)


def _estimate(table: Table, key: str) -> Estimate | None:
    """`strength` with `strength_error`, `endurance` with `endurance_error`: both or neither."""
    error = f"{key}_error"
    ratio, log_sd = table.take(key, parse.factor, None), table.take(error, parse.factor, None)
    if table.has(key) != table.has(error):
        missing = error if table.has(key) else key
        remedy = f"Write {key} and {error}, or neither."
        table.reading.fault((*table.path, missing), Invalid(missing, "a number", "nothing", remedy=remedy))
    if ratio is None or log_sd is None:
        return None
    try:
        return Estimate(factor=ratio, log_sd=log_sd)
    except Invalid as problem:
        remedy = f"{key} is a factor (1 is usual), {error} the standard deviation of its logarithm."
        fault = Invalid(problem.field, problem.expected, problem.got, remedy=remedy)
        table.reading.fault((*table.path, key if problem.field == "factor" else error), fault)
        return None
