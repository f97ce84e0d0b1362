"""People from a spreadsheet saved as text."""

from everyrung.parsing.spreadsheet import Form, Sheet
from everyrung.people.person import FIELDS, REQUIRED, read_persons
from everyrung.terms.person import Person

# Units that a heading may carry. Bare feet and stones are not numbers that anyone writes one way only.
FORM = Form(
    row="person",
    fields=FIELDS,
    needs=REQUIRED,
    example="name,stature_cm",
    units={"stature": ("cm", "m", "in"), "mass": ("kg", "lb"), "age": ("years",)},
    words={
        "height": "stature",
        "weight": "mass",
        "gender": "sex",
        "experience": "level",
        "equipment": "kit",
        "medication": "medicine",
        "person": "name",
        "participant": "name",
    },
)


def people_from_sheet(text: str, file: str) -> tuple[Person, ...]:
    """The people of a spreadsheet's text. Raises Faults."""
    sheet = Sheet(file, FORM)
    people = read_persons(sheet.tables(text))
    sheet.finish()
    return people
