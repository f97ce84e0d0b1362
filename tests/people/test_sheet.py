"""Spreadsheets as they come: marks, separators, decimal commas, quoted cells; every fault with its line in the file."""

from pathlib import Path

import pytest

from everyrung.people.read import people_from_text, read_people
from everyrung.terms.enums import Caution
from everyrung.terms.errors import Fault, Faults
from everyrung.terms.person import Experience, Person, Sex

EXAMPLE = Path(__file__).parents[2] / "examples" / "boathouse-people.csv"


def people(text: str) -> tuple[Person, ...]:
    return people_from_text(text, "people.csv")


def faults(text: str) -> tuple[Fault, ...]:
    with pytest.raises(Faults) as caught:
        people(text)
    return caught.value.faults


def places(text: str) -> list[tuple[int, str]]:
    return [(fault.where.line, fault.where.field) for fault in faults(text)]


def test_a_mark_semicolons_decimal_commas_and_windows_line_ends(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes("\ufeffName;Stature (cm);MASS_KG;Kit\r\nAda;162,5;62,5;2,5 kg\r\n".encode())
    (ada,) = read_people(path)
    assert (ada.name, ada.stature_m, ada.mass_kg) == ("Ada", 1.625, 62.5)
    assert ada.kit[0].mass is not None
    assert ada.kit[0].mass.mass_kg == 2.5


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_every_separator_line_end_and_mark_says_the_same(tmp_path: Path, separator: str, end: str, mark: str) -> None:
    cells = [["name", "stature", "age", "sex"], ["Ada", '"1,65 m"', "41", "f"], [], ["Bo", "5' 11\"", "", "man"]]
    path = tmp_path / "list.csv"
    path.write_bytes((mark + end.join(separator.join(row) for row in cells)).encode())
    ada, bo = read_people(path)
    assert (ada.stature_m, ada.age, ada.sex) == (1.65, 41, Sex.FEMALE)
    assert (bo.stature_m, bo.age, bo.sex) == (pytest.approx(1.8034), None, Sex.MALE)
    assert bo.where.line == 4


def test_the_separator_is_that_of_the_headings_not_of_the_cells() -> None:
    (ada,) = people("name;stature;kit\nAda;1,65 m;10 lb, chair, mat, step, wall\n")
    assert len(ada.kit) == 5
    (ada,) = people('"name","stature_m","kit"\n"Ada","1.65","10 lb; chair; mat; step; wall"\n')
    assert len(ada.kit) == 5
    (ada,) = people("sep=;\nname;stature\nAda;165 cm\n")
    assert ada.where.line == 3


def test_a_unit_in_a_cell_goes_before_that_of_the_heading() -> None:
    ada, bo = people("name,stature_cm,mass_kg,age years\nAda,5 ft 5 in,137 lb,41\nBo,180,80,50\n")
    assert ada.stature_m == pytest.approx(1.651)
    assert ada.mass_kg == pytest.approx(62.142, abs=1e-3)
    assert (bo.stature_m, bo.mass_kg, bo.age) == (1.8, 80, 50)


def test_every_field_is_read() -> None:
    heading = "name,stature,mass,age,sex,level,kit,strength,strength_error,endurance,Endurance error,limits,medicine"
    (ada,) = people(f'{heading}\nAda,165 cm,62 kg,41,woman,new,none,"0,9",0.2,1.1,0.3,Overhead / fall risk,YES\n')
    assert (ada.sex, ada.level, ada.kit) == (Sex.FEMALE, Experience.NEW, ())
    assert ada.strength is not None
    assert ada.endurance is not None
    assert (ada.strength.factor, ada.strength.log_sd) == (0.9, 0.2)
    assert (ada.endurance.factor, ada.endurance.log_sd) == (1.1, 0.3)
    assert ada.health.limits == (Caution.OVERHEAD, Caution.FALL_RISK)
    assert ada.health.rate_limiting


def test_empty_columns_and_rows_at_the_end_are_a_spreadsheets_habit() -> None:
    ada, bo = people("name,stature,mass,,\nAda,165 cm,62 kg,,\n,,,,\nBo,180 cm,\n,,,,\n\n")
    assert (ada.mass_kg, bo.mass_kg, bo.where.line) == (62, None, 4)


def test_a_name_that_looks_like_a_formula_is_only_text() -> None:
    (odd,) = people("name,stature\n=cmd|' /C calc'!A0,165 cm\n")
    assert odd.name == "=cmd|' /C calc'!A0"


def test_lines_are_those_of_the_file_though_cells_span_lines() -> None:
    text = 'name,stature,kit\nAda,165 cm,"chair\nmat\nwall"\n\nBo,180 cm,"chair\nspade"\nCy,16 cm,\n'
    assert places(text) == [(6, "kit[2]"), (8, "stature")]
    assert len(people('name,stature,kit\nAda,165 cm,"chair\nmat\nwall"\n')[0].kit) == 3


@pytest.mark.parametrize("text", ["", "\n \n", ",,,\n,,\n", '""\n', "sep=;\n", "name,stature\n", "name,stature\n,\n"])
def test_an_empty_file_is_a_fault(text: str) -> None:
    (fault,) = faults(text)
    assert fault.where.field == "file"


def test_an_unknown_column_is_a_fault_with_the_nearest_known_name() -> None:
    found = faults("Name,Stature,Mas,Height,Wieght,heart medicine\nA,170 cm,,,,\n")
    nearest = {fault.got: fault.nearest for fault in found}
    assert nearest == {"Mas": "mass", "Height": "stature", "Wieght": "mass", "heart medicine": "medicine"}
    (fault,) = faults("name,stature_ft\nAda,5.5\n")[:1]
    assert "stature_cm or stature_m or stature_in" in fault.remedy


@pytest.mark.parametrize(
    ("text", "field", "words"),
    [
        ("name,mass\nAda,62 kg\n", "headings", "a column for stature"),
        ("name,stature_cm,stature_m\nAda,165,1.65\n", "headings[3]", "one column of stature"),
        ("name,,stature\nAda,x,165 cm\n", "headings[2]", "line 2 has something in it"),
        ("name,stature,\nAda,165 cm,x\n", "headings[3]", "line 2 has something in it"),
        ("Ada,165 cm,overhead\n", "headings", "a line of headings"),
    ],
)
def test_headings_that_cannot_be_used_are_told(text: str, field: str, words: str) -> None:
    (fault,) = faults(text)
    assert (fault.where.line, fault.where.field) == (1, field)
    assert words in str(fault)


@pytest.mark.parametrize(
    ("text", "got"),
    [
        ("name,stature,mass\nAda,165 cm\n", "2 separated by commas"),
        ("name,stature,mass\nAda,1,65 m,62 kg\n", "4 separated by commas"),
        ("name;stature;kit\nAda;165 cm;chair; mat\n", "4 separated by semicolons"),
    ],
)
def test_a_row_of_another_width_is_a_fault(text: str, got: str) -> None:
    (fault,) = faults(text)
    assert (fault.where.line, fault.got) == (2, got)
    assert "quotes" in fault.remedy


@pytest.mark.parametrize("text", ['name,stature\nAda,"165 cm\nBo,180 cm\n', 'name,stature\nAda,"5\'5""\nBo,180 cm\n'])
def test_a_quotation_mark_that_is_not_closed_swallows_nobody(text: str) -> None:
    (fault,) = faults(text)
    assert fault.where.line == 2
    assert "Close each quotation mark" in fault.remedy


def test_a_duplicate_names_both_lines_and_spelling_hides_none() -> None:
    (fault,) = faults("name,stature\nZoe\u0308,165 cm\nBo,170 cm\nZO\u00cb,166 cm\n")
    assert fault.where.line == 4
    assert "on line 2 and on line 4" in fault.got


@pytest.mark.parametrize(
    ("field", "cell", "words"),
    [
        ("stature", "16 cm", "130 to 220 cm"),
        ("stature", "165 m", "130 to 220 cm"),
        ("stature", "5 ft 12 in", "fewer than 12 inches"),
        ("stature", "165", '"165 cm"'),
        ("mass", "620 kg", "30 to 250 kg"),
        ("mass", "62", '"62 kg" or "62 lb"'),
        ("mass", "35 kg", "38 to 150 kg at 165 cm"),
        ("mass", "160 kg", "38 to 150 kg at 165 cm"),
        ("age", "7", "16 to 100"),
        ("age", "old", "Leave it empty"),
        ("age", "41.5", "whole years"),
        ("sex", "femal", "Nearest: female"),
        ("level", "strng", "Nearest: strong"),
        ("kit", "chiar", "Nearest: chair"),
        ("strength", "0,9", "strength_error"),
        ("endurance", "1", "endurance_error"),
        ("medicine", "sometimes", "yes or no"),
        ("name", "", "a name"),
        ("stature", "", "a stature such as"),
        ("name", "A\u202eda", "hides or turns"),
        ("name", "x" * 81, "80 letters"),
    ],
)
def test_each_absurd_or_conflicting_value_has_line_field_and_remedy(field: str, cell: str, words: str) -> None:
    row = {"name": "Ada", "stature": "165 cm"} | {field: cell}
    (fault,) = faults(";".join(row) + "\nBo;180 cm" + ";" * (len(row) - 2) + "\n" + ";".join(row.values()) + "\n")
    assert fault.where.line == 3
    assert fault.where.field.startswith(field)
    assert words in str(fault)
    assert fault.remedy or fault.nearest


@pytest.mark.parametrize(
    ("factor", "error", "field"), [("9", "0,2", "strength"), ("1", "0", "strength_error"), ("1", "2", "strength_error")]
)
def test_an_estimate_out_of_bounds_is_told_at_its_own_column(factor: str, error: str, field: str) -> None:
    assert places(f"name;stature;strength;strength_error\nA;170 cm;{factor};{error}\n") == [(2, field)]


def test_all_faults_of_a_file_are_told_at_once() -> None:
    text = "name;stature;mass;age;shoe\nAda;16 cm;620 kg;7;39\nBo;;;;\nada;170 cm;70 kg;40;\n"
    assert places(text) == [
        (1, "headings[5]"),
        (2, "stature"),
        (2, "mass"),
        (2, "age"),
        (3, "stature"),
        (4, "name"),
    ]


def test_a_file_that_is_not_utf8_says_how_to_save_it(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes("name;stature;limits\nZoë;165 cm;overhead\n".encode("cp1252"))
    with pytest.raises(Faults) as caught:
        read_people(path)
    (fault,) = caught.value.faults
    assert fault.where.line == 2
    assert "CSV UTF-8" in fault.remedy


def test_another_kind_of_file_is_refused(tmp_path: Path) -> None:
    for name, words in (("people.xlsx", "save it as CSV"), ("people.health.toml", "Nearest: people.toml")):
        with pytest.raises(Faults, match=words):
            read_people(tmp_path / name)
    with pytest.raises(Faults, match="a file that can be read"):
        read_people(tmp_path / "nobody.csv")


def test_the_example_has_everyone_in_it() -> None:
    rows = [line for line in EXAMPLE.read_text(encoding="utf-8").splitlines() if line.strip()]
    found = read_people(EXAMPLE)
    assert len(found) == len(rows) - 1 == 8
    assert [person.name for person in found] == [row.split(",")[0] for row in rows[1:]]


def test_a_runaway_file_is_refused_in_a_moment() -> None:
    """A hundred thousand columns over as many rows: looked at once, not once for each pair."""
    (fault, *_) = faults("name,stature" + "," * 100_000 + "\n" + "x\n" * 100_000)
    assert fault.where.line == 2
    assert len(faults("name,stature\n" + "x,1 cm\n" * 20_000)) == 100
