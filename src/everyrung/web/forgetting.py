"""Deleting people and what they said: in the list, in what was made with it, in what waits to be made, in backups."""

from collections.abc import Collection
from contextlib import nullcontext

from everyrung.store.backups import Deletion
from everyrung.store.owners import Owner, erase_made
from everyrung.web.studio import Studio


def forget_person(studio: Studio, key: int) -> int:
    """Somebody, with their answers, what they did, and cards; how many files went. Raises NotFound; OSError, then they
    stay listed.
    """
    people_store = studio.people
    owner = Owner(name=people_store.name(key), person=key)
    theirs = "WHERE person_id IN (SELECT id FROM person WHERE id = ? OR name = ?)"
    lines: list[Deletion] = [
        (f"DELETE FROM health {theirs}", (key, owner.name)),
        (f"DELETE FROM history {theirs}", (key, owner.name)),
        (f"DELETE FROM block_person {theirs}", (key, owner.name)),
        (f"DELETE FROM led_source {theirs}", (key, owner.name)),
        ("DELETE FROM led_source WHERE kind = 'answers' AND person_id IS NULL", ()),  # these lines may name anybody
        ("DELETE FROM person WHERE id = ? OR name = ?", (key, owner.name)),
    ]
    with studio.backups.alone if studio.backups else nullcontext():
        count = forget_made(studio, [owner])
        people_store.remove(key)
        count += forget_made(studio, [owner])  # what somebody had made in between
        if studio.backups:
            studio.backups.erase(lines)
    return count


def forget_answers(studio: Studio) -> tuple[int, int]:
    """All that anybody said in confidence, its key, and the cards chosen by it; of how many people, how many files."""
    owners = [Owner(name=name, person=key) for key, name in studio.people.with_answers()]
    with studio.backups.alone if studio.backups else nullcontext():
        files = forget_made(studio, owners) if owners else 0
        people = studio.people.remove_all_health()
        files += forget_made(studio, owners) if owners else 0
        if studio.backups:
            studio.backups.erase([("DELETE FROM health", ())])
    return people, files


def forget_made(studio: Studio, people: Collection[Owner]) -> int:
    """What was made with these, and what is being made with anybody; how many files went."""
    studio.jobs.forget_people()
    return erase_made(studio.settings.folder, people)
