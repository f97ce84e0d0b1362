"""Who is expected at a rehearsal, as the page's address says it: a mix, how many of it, and the people on the list."""

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from everyrung.effort.mix import mix_names
from everyrung.pipeline import AudienceSpec
from everyrung.store.people_store import PeopleStore
from everyrung.terms.errors import Invalid, nearest, or_list
from everyrung.terms.forecast import USUAL_PEOPLE
from everyrung.web.person_form import participants

COUNTS = (500, USUAL_PEOPLE, 10_000)  # chosen: standard errors of 2.2, 1.1 and 0.5 points at most
KNOWN = {
    "no": "nobody by name",
    "own": "people on your list, with their own kit",
    "room": "people on your list, with the room's kit",
}
USUAL_MIX = "boathouse"


@dataclass(frozen=True, slots=True, kw_only=True)
class Audience:
    """A mix of Everyrung's own, a count out of COUNTS, and a word of KNOWN."""

    mix: str = USUAL_MIX
    count: int = USUAL_PEOPLE
    known: str = "no"

    @property
    def query(self) -> str:
        """As part of an address."""
        return urlencode({"mix": self.mix, "count": self.count, "known": self.known})


def audience(fields: Mapping[str, str]) -> Audience:
    """From an address or a form. Raises Invalid with the nearest name; a mix is never taken for a file."""
    mix, count, people = fields.get("mix", USUAL_MIX), fields.get("count", str(USUAL_PEOPLE)), fields.get("known", "no")
    for field, word, words in (
        ("mix", mix, mix_names()),
        ("count", count, tuple(map(str, COUNTS))),
        ("known", people, tuple(KNOWN)),
    ):
        if word not in words:
            raise Invalid(field, or_list(words), word, nearest=nearest(word, words))
    return Audience(mix=mix, count=int(count), known=people)


def audience_spec(who: Audience, people_store: PeopleStore) -> AudienceSpec:
    """What the rehearsal asks for. Raises Faults when health answers are there and their key is not."""
    people = participants(people_store) if who.known != "no" else ()
    return AudienceSpec(mix=who.mix, count=who.count, people=people, in_room=who.known == "room")
