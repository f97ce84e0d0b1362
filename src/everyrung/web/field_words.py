"""What the studio calls each field, and what was refused said with these words."""

from everyrung.terms.errors import Fault, Faults, Invalid, plain_text

# As the labels on the screens say it; a plan file's own name for the same thing is the key.
LABELS = {
    "title": "Title",
    "slot_minutes": "Slot, minutes",
    "level": "Offered as",
    "view": "How they see you",
    "in_room": "In the room",
    "at_home": "At home",
    "newcomers": "First-timers may come",
    "live": "At home: live online",
    "lip_readers": "Somebody reads lips",
    "newcomer_rounds": "Rounds for first-timers",
    "limits": "What somebody who comes has to avoid",
    "said": "In their own words",
    "cover_notes": "For a coach who stands in",
    "sex": "Table of strengths",
    "rest": "Rest after it",
    "beats_a_minute": "Music, beats a minute",
    "carry": "Carried",
    "cues": "Your own points",
    "say": "What you say first",
    "add": "One more step",
    "harder": "Harder option",
    "easier": "Easier option",
    "no_kit": "No-kit option",
    "item": "What",
    "as": "Counted",
    "diameter": "Across",
    "rated": "Rated for",
    "kit_in_room": "Kit in the room",
    "kit_each": "Kit that everyone has",
    "include": "Must be in it",
    "exclude": "Must not be in it",
    "lately": "Led lately",
    "weeks": "Weeks",
    "first": "First day of week 1",
    "weekly": "Evenings of each week",
    "evenings": "Evenings of each week",
    "starts": "Begins",
    "zone": "Time zone",
    "count": "How many",
    "each": "Everyone has",
}
_PLACES = ("cell", "cut_order")  # fields that name a set or a round


def field_label(field: str) -> str:
    """'What somebody who comes has to avoid' for 'who.limits[1]'; a field without a label of its own in plain words."""
    names = [part.partition("[")[0] for part in field.split(".")]
    name = names[-1] or field
    return LABELS.get(name) or name.replace("_", " ").replace("-", " ").capitalize()


def refusals(problem: Invalid | Faults) -> list[str]:
    """Each thing that was refused: the field by its label, what was expected, what came, what to do."""
    if isinstance(problem, Faults):
        return [
            _refusal(each.where.field, each.expected, each.got, each.nearest, each.remedy) for each in _once(problem)
        ]
    return [_refusal(problem.field, problem.expected, plain_text(problem.got), problem.nearest, problem.remedy)]


def _once(problem: Faults) -> list[Fault]:
    """The same fault of a move in several rounds is said once."""
    alike = {(field_label(each.where.field), each.expected, each.got): each for each in problem.faults}
    return list(alike.values())


def _refusal(field: str, expected: str, got: str, nearest: str, remedy: str) -> str:
    if field_label(field) in (field_label(each) for each in _PLACES):
        got, nearest = got.replace("/", ", "), nearest.replace("/", ", ")
    near = f"Nearest: {nearest}." if nearest else ""
    refusal = f"{field_label(field)}: expected {expected}; got {got}."
    return " ".join(each for each in (refusal, near, remedy) if each)
