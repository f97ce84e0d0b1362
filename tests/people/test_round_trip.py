"""People written and read are the same people; a spoilt file ends in people or in faults, with nobody dropped."""

import random
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from everyrung.people.health import health_path
from everyrung.people.read import people_from_text, read_people
from everyrung.people.write import people_text, write_people
from everyrung.terms.enums import BandGrade, Caution, KitItem
from everyrung.terms.errors import Fault, Faults, Invalid, Where
from everyrung.terms.person import Estimate, Experience, Health, Own, Person, Sex, same_name
from everyrung.terms.units import Mass, MassUnit

EXAMPLE = (Path(__file__).parents[2] / "examples" / "boathouse-people.csv").read_text(encoding="utf-8")
NOWHERE = Where(file="", line=0, field="")
PLAIN = [KitItem.CHAIR, KitItem.STEP, KitItem.SLIDERS, KitItem.MAT, KitItem.WALL]

names = st.text(st.characters(exclude_categories=["C", "Zl", "Zp"]), min_size=1, max_size=20).map(str.strip).filter(
    lambda name: bool(name) and name.isprintable()
)  # fmt: skip
masses = st.builds(
    lambda grams, unit: Mass(amount=grams / 1000, unit=unit), st.integers(1, 45_000), st.sampled_from(MassUnit)
)
pieces = st.integers(1, 20)
things = st.one_of(
    st.builds(Own, item=st.just(KitItem.DUMBBELLS), pieces=pieces, mass=masses,
              word=st.sampled_from(["", "water bottle", "bag of rice", "coach's tin"])),
    st.builds(Own, item=st.just(KitItem.BALL), pieces=pieces, diameter_cm=st.floats(20, 120),
              rated_kg=st.none() | st.floats(20, 2000)),
    st.builds(Own, item=st.sampled_from([item for item in KitItem if item.has_mass]), pieces=pieces, mass=masses),
    st.builds(lambda grade, pieces: Own(item=grade.item, pieces=pieces, grade=grade), st.sampled_from(BandGrade),
              pieces),
    st.builds(Own, item=st.just(KitItem.STEP), pieces=pieces, height_cm=st.floats(5, 60)),
    st.builds(Own, item=st.sampled_from(PLAIN), pieces=pieces),
)  # fmt: skip
estimates = st.none() | st.builds(
    Estimate, factor=st.floats(0.2, 5.0), log_sd=st.floats(0, 1.0, exclude_min=True, allow_subnormal=False)
)


@st.composite
def persons(draw: st.DrawFn) -> Person:
    stature_m = draw(st.floats(1.30, 2.20))
    low_kg, high_kg = max(30.0, 14.01 * stature_m**2), min(250.0, 54.99 * stature_m**2)
    return Person(
        where=NOWHERE,
        name=draw(names),
        stature_m=stature_m,
        mass_kg=draw(st.none() | st.floats(low_kg, high_kg)),
        age=draw(st.none() | st.integers(16, 100)),
        sex=draw(st.none() | st.sampled_from(Sex)),
        level=draw(st.none() | st.sampled_from(Experience)),
        kit=tuple(draw(st.lists(things, max_size=4))),
        strength=draw(estimates),
        endurance=draw(estimates),
        health=Health(
            limits=tuple(draw(st.lists(st.sampled_from(Caution), unique=True, max_size=3))),
            rate_limiting=draw(st.booleans()),
        ),
    )


everyone = st.lists(persons(), min_size=1, max_size=4, unique_by=lambda person: same_name(person.name)).map(tuple)


@settings(max_examples=60, deadline=None)
@given(everyone, everyone)
def test_what_is_written_reads_back_the_same_over_whatever_was_there(
    first: tuple[Person, ...], second: tuple[Person, ...]
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "people.toml"
        for people in (first, second, (*second[1:], *second[:1]), second[:1]):
            write_people(people, path)
            assert read_people(path) == people
            assert health_path(path).exists() == any(person.health != Health() for person in people)


def test_what_would_not_read_back_is_refused_before_anything_is_written(tmp_path: Path) -> None:
    ada = Person(where=NOWHERE, name="Ada", stature_m=1.65, mass_kg=160)
    twins = (Person(where=NOWHERE, name="Ada", stature_m=1.65),) * 2
    fine = Own(item=KitItem.DUMBBELLS, mass=Mass(amount=1.00001, unit=MassUnit.KG))
    kit = Person(where=NOWHERE, name="Ada", stature_m=1.65, kit=(fine,))
    split_name = Person(where=NOWHERE, name="A\nda", stature_m=1.65)
    for people in ((ada,), twins, (kit,), (split_name,), ()):
        with pytest.raises(Invalid):
            write_people(people, tmp_path / "people.toml")
    assert not list(tmp_path.iterdir())
    with pytest.raises(Invalid):
        write_people((twins[0],), tmp_path / "people.csv")


def test_comments_and_own_forms_stay_and_health_goes() -> None:
    over = (
        "# Tuesday crew\n[[person]]\nname = 'Ada' # sits by the door\nstature = \"5' 5\\\"\"\n"
        'mass = "62,0 kg"\nlimits = ["overhead"] # a shoulder\n\n'
        '[[person]]\nname = "Bo"\nstature = "180 cm"\n'
    )
    text = people_text(people_from_text(over, "people.toml"), over)
    assert "# Tuesday crew" in text
    assert 'name = \'Ada\' # sits by the door\nstature = "5\' 5\\""\nmass = "62,0 kg"\n' in text
    assert "overhead" not in text
    assert "shoulder" not in text


PIECES = [
    *[
        "",
        ",",
        ";",
        "\t",
        '"',
        "\n",
        "\r",
        "\x00",
        "\ufeff",
        "\u202e",
        "'",
        "=",
        "[",
        "{",
        "\\",
        "165",
        "5'5\"",
        "none",
    ],
    *["1e400", "nan", "9 st", "²", "١", "😀", "x" * 200, "-1", "name", "2 x ", "ball"],
]


def spoilt(text: str, seed: random.Random) -> str:
    for _ in range(seed.randint(1, 4)):
        at = seed.randrange(len(text) + 1)
        text = text[:at] + seed.choice(PIECES) + text[at + seed.choice([0, 0, 1, 3, 30]) :]
    return text


def read_or_faults(text: str, file: str) -> tuple[Person, ...] | tuple[Fault, ...]:
    try:
        return people_from_text(text, file)
    except Faults as caught:
        return caught.faults


@pytest.mark.parametrize("kind", ["csv", "toml"])
@settings(max_examples=250, deadline=None)
@given(seed=st.integers(0, 2**32))
def test_a_spoilt_file_ends_in_people_or_in_faults(kind: str, seed: int) -> None:
    text = EXAMPLE if kind == "csv" else people_text(people_from_text(EXAMPLE, "people.csv"))
    found = read_or_faults(spoilt(text, random.Random(seed)), f"people.{kind}")
    assert found
    assert len({type(each) for each in found}) == 1


@settings(max_examples=60, deadline=None)
@given(st.lists(st.text(st.characters(codec="utf-8", exclude_characters='\r\n"\x00'), max_size=12), min_size=1))
def test_as_many_rows_as_people_or_a_fault(cells: list[str]) -> None:
    """Nobody is dropped: one row, one person, whatever the names are."""
    rows = [f'"{cell}",170 cm' for cell in cells]
    found = read_or_faults("name,stature\n" + "\n".join(rows) + "\n", "people.csv")
    faulty = [each.where.field for each in found if isinstance(each, Fault)]
    assert set(faulty) == {"name"} or len(found) == len(rows)
