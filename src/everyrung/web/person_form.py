"""People on the coach's list: from a form, from a file, and back into one."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from everyrung.parsing.table_reader import FileFaults, Table
from everyrung.people.health import health_from_text, join_health
from everyrung.people.person import read_persons
from everyrung.people.read import people_from_text
from everyrung.people.write import health_text, people_text, person_values
from everyrung.store.owners import Owner
from everyrung.store.people_store import PeopleStore, PersonRow
from everyrung.terms.person import Health, Person, same_name
from everyrung.web.form_values import ticked_limits, with_unit

FIELDS = ("name", "stature", "mass", "age", "sex", "level", "kit")
FORM = "this form"


def from_form(form: Mapping[str, str]) -> Person:
    """What a form says of somebody. Raises Faults, each with the field it is about."""
    values: dict[str, object] = {name: with_unit(name, text) for name in FIELDS if (text := form.get(name, "").strip())}
    values["limits"] = ticked_limits(form)
    values["medicine"] = bool(form.get("medicine"))
    reading = FileFaults(FORM, "")
    people = read_persons([Table(reading, {"name": "", "stature": "", **values})])
    reading.finish()
    return people[0]


def form_values(person: Person) -> dict[str, str]:
    """The same the other way, without what was said in confidence."""
    values = person_values(person)
    values["kit"] = "; ".join(values.get("kit", []))
    values["stature"] = f"{round(100 * person.stature_m, 1):g} cm"  # finer than anyone is measured would look like more
    if person.mass_kg is not None:
        values["mass"] = f"{round(person.mass_kg, 1):g} kg"
    return {name: str(values.get(name, "")) for name in FIELDS}


def participants(people_store: PeopleStore) -> tuple[Person, ...]:
    """Everyone on the list, with what they said in confidence. Raises Faults when its key is not there."""
    return tuple(map(participant, people_store.all()))


def people_and_numbers(people_store: PeopleStore) -> tuple[tuple[Person, ...], dict[str, int]]:
    """Everyone on the list, and the number of each by name. Raises Faults as `participants`."""
    rows = people_store.all()
    return tuple(map(participant, rows)), {row.name: row.id for row in rows}


def participant(row: PersonRow) -> Person:
    """One of them."""
    people = people_from_text(row.text, "person.toml")
    return join_health(people, health_from_text(row.health, "health.toml"))[0] if row.health else people[0]


def add(people_store: PeopleStore, person: Person) -> int:
    """Somebody new. Raises Invalid for a name that is there already."""
    return people_store.put([_row(person)])[0]


def change(people_store: PeopleStore, key: int, person: Person) -> None:
    """What is known of somebody, anew; what was learned from their answers stays. Raises Invalid, NotFound."""
    people_store.put([_row(_keep_learned(person, participant(people_store.person(key))), key)])


def bring(people_store: PeopleStore, people: Iterable[Person]) -> tuple[int, int, tuple[Owner, ...]]:
    """Many at once, all or none, those of a known name anew: how many were added, how many changed, and who of them
    with other health answers.

    A list without health answers takes nobody's away.
    """
    rows_by_name = {same_name(row.name): row for row in people_store.all()}
    rows, otherwise = [], []
    for person in people:
        row = rows_by_name.get(same_name(person.name))
        old = participant(row) if row else person
        merge = replace(person, health=person.health if person.health != Health() else old.health)
        rows.append(_row(_keep_learned(merge, old), row.id if row else 0))
        if row and merge.health != old.health:
            otherwise.append(Owner(name=row.name, person=row.id))
    people_store.put(rows)
    old_count = sum(row.id > 0 for row in rows)
    return len(rows) - old_count, old_count, tuple(otherwise)


def _keep_learned(person: Person, old: Person) -> Person:
    return replace(person, strength=person.strength or old.strength, endurance=person.endurance or old.endurance)


def without_health(people: Iterable[Person]) -> tuple[Person, ...]:
    """The people as if nobody had said anything in confidence."""
    return tuple(replace(person, health=Health()) for person in people)


def _row(person: Person, key: int = 0) -> PersonRow:
    """What is kept in the open, and what is sealed."""
    public = people_text([replace(person, health=Health())])
    answers = health_text({person.name: person.health}) if person.health != Health() else ""
    return PersonRow(id=key, name=person.name, text=public, health=answers)
