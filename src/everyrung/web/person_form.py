"""People on the coach's list: from a form, from a file, and back into one."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from everyrung.people.health import health_from_text, joined, same_name
from everyrung.people.person import read_persons
from everyrung.people.read import people_from_text
from everyrung.people.write import health_text, people_text, person_values
from everyrung.reading.fields import Reading, Table
from everyrung.store.roster import PersonRow, Roster
from everyrung.terms.participant import Health, Participant
from everyrung.web.limits import ticked

FIELDS = ("name", "stature", "mass", "age", "sex", "level", "kit")
FORM = "this form"


def from_form(form: Mapping[str, str]) -> Participant:
    """What a form says of somebody. Raises Faults, each with the field it is about."""
    values: dict[str, object] = {name: said for name in FIELDS if (said := form.get(name, "").strip())}
    values["limits"] = ticked(form)
    values["medicine"] = bool(form.get("medicine"))
    reading = Reading(FORM, "")
    found = read_persons([Table(reading, {"name": "", "stature": "", **values})])
    reading.finish()
    return found[0]


def form_values(person: Participant) -> dict[str, str]:
    """The same the other way, without what was said in confidence."""
    values = person_values(person)
    values["kit"] = "; ".join(values.get("kit", []))
    values["stature"] = f"{round(100 * person.stature_m, 1):g} cm"  # finer than anyone is measured would look like more
    if person.mass_kg is not None:
        values["mass"] = f"{round(person.mass_kg, 1):g} kg"
    return {name: str(values.get(name, "")) for name in FIELDS}


def participants(roster: Roster) -> tuple[Participant, ...]:
    """Everyone on the list, with what they said in confidence. Raises Faults when its key is not there."""
    return tuple(map(participant, roster.all()))


def participant(row: PersonRow) -> Participant:
    """One of them."""
    people = people_from_text(row.text, "person.toml")
    return joined(people, health_from_text(row.health, "health.toml"))[0] if row.health else people[0]


def add(roster: Roster, person: Participant) -> int:
    """Somebody new. Raises Invalid for a name that is there already."""
    return roster.add(person.name, *_texts(person))


def change(roster: Roster, key: int, person: Participant) -> None:
    """What is known of somebody, anew; what was learned from their answers stays. Raises Invalid, NotThere."""
    old = participant(roster.person(key))
    learned = replace(person, strength=person.strength or old.strength, endurance=person.endurance or old.endurance)
    roster.change(key, person.name, *_texts(learned))


def bring(roster: Roster, people: Iterable[Participant]) -> tuple[int, int]:
    """Many at once, those of a known name anew: how many were added, how many changed.

    A list without health answers takes nobody's away.
    """
    known, added, changed = {same_name(row.name): row for row in roster.all()}, 0, 0
    for person in people:
        row = known.get(same_name(person.name))
        if row is None:
            add(roster, person)
            added += 1
        else:
            said = participant(row).health if person.health == Health() else person.health
            change(roster, row.id, replace(person, health=said))
            changed += 1
    return added, changed


def without_health(people: Iterable[Participant]) -> tuple[Participant, ...]:
    """The people as if nobody had said anything in confidence."""
    return tuple(replace(person, health=Health()) for person in people)


def _texts(person: Participant) -> tuple[str, str]:
    """What is kept in the open, and what is sealed."""
    shared = people_text([replace(person, health=Health())])
    return shared, health_text({person.name: person.health}) if person.health != Health() else ""
