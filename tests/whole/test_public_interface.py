"""`import everyrung`: what it offers, what it costs, what a wrong call says, and what its results show."""

import inspect
import json
import re
import subprocess
import sys
import tomllib
import xml.etree.ElementTree as ET
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

import everyrung as er
from everyrung import interface
from everyrung.body import mechanics
from everyrung.cli import main
from everyrung.results.result import MAX_LETTERS, MAX_LINES, Result
from everyrung.terms.brief import MAX_REPR

ROOT = Path(__file__).parents[2]
EXAMPLES = sorted((ROOT / "examples").glob("*.toml"))
DEMO = ROOT / "examples" / "boathouse-30.toml"
WOMAN = er.BodySize(sex="female", stature_m=1.63, mass_kg=62.0)
ONE_SET = {
    "title": "One set & more",
    "slot_minutes": 5,
    "who": {"in_room": 4, "newcomers": True},
    "block": [{"kind": "main", "name": "Main", "move": [{"move": "squat", "dose": "8 reps"}]}],
}
HEAVY = ("numpy", "pandas", "mujoco", "ortools", "tomlkit", "sqlalchemy", "starlette", "jinja2", "tree_sitter")
LARGEST_TERM = 400  # letters of what has no short repr of its own: a Clock's 21 numbers are the longest


@pytest.fixture(scope="module")
def analysis() -> er.Analysis:
    return er.analyze(ONE_SET, bodies=True, drawings=True, cues=True)


@pytest.fixture(scope="module")
def rehearsal() -> er.Rehearsal:
    return er.rehearse(ONE_SET, count=60, people=er.Person(name="Aino", stature_m=1.65, level="new"))


@pytest.fixture(scope="module")
def demand() -> er.BodyDemand:
    return er.demand("squat", WOMAN)


@pytest.fixture(scope="module")
def publication(tmp_path_factory: pytest.TempPathFactory) -> er.Publication:
    return er.publish(ONE_SET, tmp_path_factory.mktemp("published"))


@pytest.fixture(params=["analysis", "rehearsal", "demand", "publication"])
def result(request: pytest.FixtureRequest) -> Result:
    found = request.getfixturevalue(request.param)
    assert isinstance(found, Result)
    return found


def run_python(code: str) -> str:
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout


def test_everything_that_is_offered_is_there_and_is_listed() -> None:
    assert set(er.__all__) <= set(dir(er))
    for name in er.__all__:
        assert callable(getattr(er, name)), name
    with pytest.raises(AttributeError, match=r"everyrung has no 'analyse'; it has .*analyze"):
        er.analyse  # noqa: B018


def test_importing_it_loads_nothing_else_of_it_and_nothing_heavy() -> None:
    loaded = run_python("import everyrung, sys; print(*sys.modules)").split()
    assert [name for name in loaded if name.startswith("everyrung")] == ["everyrung"]
    assert not set(loaded) & set(HEAVY)


def test_a_plan_is_timed_without_anything_heavy() -> None:
    code = f"import everyrung, sys; everyrung.analyze({str(DEMO)!r}); print(*sys.modules)"
    loaded = run_python(code).split()
    assert "everyrung.timing.timeline" in loaded
    assert not set(loaded) & set(HEAVY) - {"tree_sitter"}  # the reader of plan files


@pytest.mark.parametrize("before", ["", "import everyrung.publish.folder.bundle"])
def test_publish_is_a_function_whatever_was_imported_before(before: str) -> None:
    code = (
        f"import everyrung\n{before}\nimport inspect; print(list(inspect.signature(everyrung.publish).parameters)[:2])"
    )
    assert run_python(code).strip() == "['plan', 'folder']"


WRONG: dict[str, tuple[Callable[[], Any], str]] = {
    "a number for a plan": (lambda: er.analyze(42), "plan: expected a path, as a string or a Path, got '42, an int'"),
    "nothing for a plan": (lambda: er.rehearse(None), "plan: expected a path, as a string or a Path, got 'None'"),
    "a text for a path": (lambda: er.load_plan('title = "x"\n'), "plan: expected a path"),
    "bytes for a path": (lambda: er.load_plan(b"x.toml"), "plan: expected a path"),
    "an object in a mapping": (lambda: er.load_plan({"who": {"in_room": object()}}), "who: expected what a plan file"),
    "a key that is no word": (lambda: er.load_plan({4: 5}), "4: expected what a plan file can hold"),
    "words for minutes": (lambda: er.analyze(DEMO, minutes="25"), "minutes: expected a whole number from 5 to 240"),
    "too few minutes": (lambda: er.analyze(DEMO, minutes=3), "minutes: expected a whole number from 5 to 240, got 3"),
    "a word for a library": (lambda: er.analyze(DEMO, library="x"), "library: expected a Library"),
    "a word for progress": (lambda: er.analyze(DEMO, progress="bar"), "progress: expected a function"),
    "words for a count": (lambda: er.rehearse(DEMO, count="many"), "count: expected a whole number from 0"),
    "nobody": (lambda: er.rehearse(DEMO, count=0), "count: expected some people to draw"),
    "a number for a mix": (lambda: er.rehearse(DEMO, mix=3), "mix: expected a name such as 'boathouse'"),
    "a mix that is none": (lambda: er.rehearse(DEMO, mix="boathose"), "mix: expected a mix, got 'boathose'"),
    "a number for people": (lambda: er.rehearse(DEMO, people=3), "people: expected Persons, or a path"),
    "names for people": (lambda: er.rehearse(DEMO, people=["Aino"]), "people: expected Persons, or a path"),
    "a rung that is none": (lambda: er.demand("squt", WOMAN), "move: expected a move of the library, got 'squt'"),
    "no body": (lambda: er.demand("squat", None), "body: expected a BodySize"),
    "a number for a rung": (lambda: er.demand(3, WOMAN), "rung: expected a Rung or its address"),
    "a load for no hand": (lambda: er.demand("squat", WOMAN, load="5 kg"), "load: expected no load"),
    "a folder that is none": (lambda: er.publish(DEMO, None), "folder: expected a path"),
    "half a number of weeks": (lambda: er.publish(DEMO, "x", weeks=1.5), "weeks: expected a whole number"),
    "no plan to save": (lambda: er.save_plan({}, "x.toml"), "plan: expected a Plan"),
    "a sex that is none": (lambda: er.BodySize(sex="femal", stature_m=1.6, mass_kg=60), "sex: expected 'female' or"),
    "words for a stature": (lambda: er.BodySize(sex="male", stature_m="1.8", mass_kg=80), "stature_m: expected a"),
    "no number for a mass": (lambda: er.Person(name="A", stature_m=1.6, mass_kg="60"), "mass_kg: expected a mass"),
    "a level that is none": (lambda: er.Person(name="A", stature_m=1.6, level="newish"), "level: expected 'new', 'reg"),
    "a number for a name": (lambda: er.Person(name=3, stature_m=1.6), "name: expected a name"),
}  # fmt: skip


@pytest.mark.parametrize("case", WRONG)
def test_a_wrong_type_is_one_sentence_that_says_what_was_expected(case: str) -> None:
    call, said = WRONG[case]
    with pytest.raises(er.Invalid) as caught:
        call()
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


def test_what_to_do_stands_under_the_message() -> None:
    with pytest.raises(er.Invalid) as caught:
        er.demand("squt", WOMAN)
    assert caught.value.__notes__ == ["Nearest: squat.", "`everyrung moves` lists them."]


def test_a_script_without_its_guard_is_told_so_in_one_sentence(tmp_path: Path) -> None:
    script = tmp_path / "unguarded.py"
    moves = ("squat", "bridge", "wide-squat", "hip-hinge", "calf-raise")  # on 12 bodies, and not in the table
    columns = [{"move": move, "levers": [{"range": 0.87}], "dose": "8 reps"} for move in moves]
    plan = {**ONE_SET, "slot_minutes": 15, "block": [{"kind": "main", "move": columns}]}
    script.write_text(f"import everyrung\neveryrung.analyze({plan!r}, bodies=True, cache=False)\n", encoding="utf-8")
    done = subprocess.run([sys.executable, script], capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert "ProcessEnded: A script that lets Everyrung compute" in done.stderr
    assert 'Put its work under `if __name__ == "__main__":`' in done.stderr


def test_each_missing_file_and_each_fault_of_one_is_told_with_its_place(tmp_path: Path) -> None:
    with pytest.raises(er.Faults, match=r"no-such.toml: file: expected a file that can be read"):
        er.analyze(tmp_path / "no-such.toml")
    with pytest.raises(er.Faults, match=r"plan:\d+: block\[1\].moves: .*Nearest: move."):
        er.load_plan({**ONE_SET, "block": [{"kind": "main", "moves": []}]})


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_a_plan_from_values_is_the_plan_of_its_file(path: Path) -> None:
    """The values as Python's own reader of TOML has them."""
    assert er.load_plan(tomllib.loads(path.read_text(encoding="utf-8"))) == er.load_plan(str(path))


def test_a_plan_is_given_as_a_string_a_path_a_plan_or_its_values() -> None:
    values = tomllib.loads(DEMO.read_text(encoding="utf-8"))
    plans = [str(DEMO), DEMO, er.load_plan(DEMO), values]
    assert len({json.dumps(er.analyze(plan).timeline.total_ms) for plan in plans}) == 1


def test_saving_over_a_file_keeps_its_comments(tmp_path: Path) -> None:
    path = tmp_path / "evening.toml"
    path.write_text(f"# ours\n{DEMO.read_text(encoding='utf-8')}", encoding="utf-8")
    before = path.read_text(encoding="utf-8")
    assert er.save_plan(er.load_plan(path), str(path)) == path
    assert path.read_text(encoding="utf-8") == before
    fresh = er.save_plan(er.load_plan(ONE_SET), tmp_path / "fresh.toml")
    assert er.load_plan(fresh) == er.load_plan(ONE_SET)


def test_a_result_says_what_it_is_in_ten_lines_at_most(result: Result) -> None:
    lines = repr(result).splitlines()
    assert 3 <= len(lines) <= MAX_LINES == 10
    assert max(map(len, lines)) <= MAX_LETTERS
    assert str(result) == repr(result)


def parts_of(value: Any, seen: dict[int, Any]) -> Iterator[Any]:
    """Every term inside, each once."""
    if id(value) in seen:
        return
    seen[id(value)] = value
    if is_dataclass(value) and not isinstance(value, type):
        yield value
        for each in fields(value):
            yield from parts_of(getattr(value, each.name), seen)
    elif isinstance(value, Mapping):
        for key, each in value.items():
            yield from parts_of(key, seen)
            yield from parts_of(each, seen)
    elif isinstance(value, list | tuple):
        for each in value:
            yield from parts_of(each, seen)


def test_no_part_of_a_result_floods_the_screen(
    analysis: er.Analysis, rehearsal: er.Rehearsal, demand: er.BodyDemand
) -> None:
    """A whole analysis was 42 million letters once."""
    parts = [part for part in parts_of([analysis, rehearsal, demand], {}) if not isinstance(part, Result)]
    lengths = {type(part).__name__: len(repr(part)) for part in parts}
    assert {"Timeline", "Session", "Span", "Plan", "Forecast", "Mechanics", "RungDemand", "RungCurve"} <= set(lengths)
    assert max(lengths.values()) <= LARGEST_TERM, lengths
    assert max(lengths[name] for name in ("Timeline", "Session", "Span", "Plan", "Forecast", "Mechanics")) <= MAX_REPR


def test_a_short_repr_names_what_a_person_looks_for() -> None:
    done = er.analyze(DEMO)
    assert repr(done.timeline) == f"Timeline(spans=<{len(done.timeline.spans)}>)"
    work = next(span for span in done.timeline.spans if span.kind == "work")
    assert "kind='work'" in repr(work)
    assert f"cell=<Cell {work.cell.ref}>" in repr(work) if work.cell else False
    assert "title='Boathouse thirty: legs and shoulders'" in repr(done.session)


def test_the_library_says_how_large_it_is() -> None:
    assert repr(er.library()).startswith(f"Library({len(er.library().keys)} moves: ankle-rocks, ")


def test_plain_values_are_json_of_the_same_facts(result: Result) -> None:
    assert json.loads(result.to_json()) == json.loads(json.dumps(result.to_dict()))
    assert json.loads(result.to_json(indent=None))


def test_the_commands_print_the_same(capsys: pytest.CaptureFixture[str], demand: er.BodyDemand) -> None:
    assert main(["check", "--json", str(DEMO)]) == 0
    assert json.loads(capsys.readouterr().out)["spans"] == er.analyze(DEMO).to_dict()["spans"]
    main(["body", "squat", "--stature", "163cm", "--mass", "62kg", "--json"])
    assert json.loads(capsys.readouterr().out) == json.loads(demand.to_json())


def test_every_table_is_a_frame_with_its_rows(result: Result) -> None:
    for name in repr(result).splitlines()[-1].removeprefix("  tables: ").split(", "):
        rows = result.rows(name)
        assert rows, name
        frame = result.to_frame(name)
        assert list(frame.columns) == list(rows[0])
        assert len(frame) == len(rows)
        assert all(row.keys() == rows[0].keys() for row in rows)
    assert result.to_frame().shape == result.to_frame(repr(result).split("tables: ")[1].split(",")[0]).shape


def test_the_spans_table_adds_up_to_the_session(analysis: er.Analysis) -> None:
    rows = analysis.rows("spans")
    assert sum(row["end_ms"] - row["at_ms"] for row in rows) == analysis.timeline.total_ms
    frame = analysis.to_frame("bodies")
    assert len(frame) == 12
    assert set(frame["ref"]) == {str(cell.ref) for cell in analysis.session.cells}


def test_a_table_that_was_not_computed_says_which_call_computes_it() -> None:
    done = er.analyze(ONE_SET)
    for name, remedy in (("cues", "Call analyze(plan, cues=True)."), ("bodies", "Call analyze(plan, bodies=True).")):
        with pytest.raises(er.Invalid) as caught:
            done.to_frame(name)
        assert caught.value.remedy == remedy
    with pytest.raises(er.Invalid, match=r"table: expected 'spans', .* or 'bodies', got 'spam'"):
        done.to_frame("spam")


def test_without_pandas_a_frame_is_refused_in_a_sentence_and_rows_are_there(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "pandas", None)
    done = er.analyze(ONE_SET)
    with pytest.raises(er.Invalid, match="to_frame: expected the library pandas") as caught:
        done.to_frame()
    assert "rows()" in caught.value.remedy
    assert done.rows()


def test_a_notebook_shows_the_score(
    analysis: er.Analysis, rehearsal: er.Rehearsal, publication: er.Publication
) -> None:
    results: list[Result] = [analysis, rehearsal, publication]
    for page in (each._repr_html_() for each in results):
        picture = ET.fromstring(page[page.index("<svg") : page.rindex("</svg>") + 6])
        assert any("Squat" in "".join(each.itertext()) for each in picture.iter())
        assert "One set &amp; more" in page
        assert "<script" not in page


def test_a_notebook_shows_a_demand_in_words(demand: er.BodyDemand) -> None:
    assert "of strength" in demand._repr_html_()


def test_the_curve_of_a_repetition_has_the_greatest_values_of_its_summary(demand: er.BodyDemand) -> None:
    times = [each.at_ms for each in demand.instants]
    assert times == sorted(times)
    assert times[-1] <= demand.demand.rep_ms
    for motion in demand.demand.motions:
        line = demand.over_depth(motion.motion)
        assert max(fraction for _, _, fraction in line) == pytest.approx(motion.fraction)
        assert max(moment_nm for _, moment_nm, _ in line) == pytest.approx(motion.moment_nm)
    depths = [depth for depth, _, _ in demand.over_depth("knee_extension_left")]
    assert (min(depths), max(depths)) == (0.0, 1.0)


def test_a_pause_stands_where_it_is_in_time() -> None:
    paused = next(rung for rung in er.library().move("squat").ladder if rung.form.tempo.bottom_ms)
    times = [each.at_ms for each in er.demand(paused, WOMAN).instants]
    assert times == sorted(times)


def test_a_deeper_squat_asks_more_of_the_knees(demand: er.BodyDemand) -> None:
    """Common practice, no source: the deeper, the harder; on the way down from standing to the lowest place."""
    way = [(depth, nm) for depth, nm, _ in demand.over_depth("knee_extension_left")]
    down = way[: next(at for at, (depth, _) in enumerate(way) if depth == 1.0)]
    assert len(down) >= 4
    assert [nm for _, nm in down[-3:]] == sorted(nm for _, nm in down[-3:])
    with pytest.raises(er.Invalid, match=r"(?s)motion: expected 'trunk_extension', .*Nearest: knee_extension_left"):
        demand.over_depth("knee_extensoin_left")


def test_what_was_computed_before_is_not_computed_again(
    analysis: er.Analysis, demand: er.BodyDemand, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(job: mechanics.Job) -> mechanics.Failure:
        return mechanics.Failure(why=f"computed again: {job.size}")

    monkeypatch.setattr(mechanics, "demand_of", refuse)
    assert analysis.mechanics == er.analyze(ONE_SET, bodies=True).mechanics
    monkeypatch.setattr(mechanics, "from_table", lambda _: {})
    missing = er.analyze(ONE_SET, bodies=True, cache=False).mechanics
    assert missing
    assert missing.failed
    monkeypatch.setattr(mechanics, "curve_of", refuse)
    assert er.demand("squat", WOMAN).demand == demand.demand
    with pytest.raises(er.Invalid, match="computed again"):
        er.demand("squat", WOMAN, cache=False)


def test_a_misspelt_mix_is_refused_before_anything_takes_long(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(interface, "run_plan", lambda *_: pytest.fail("it took long"))
    with pytest.raises(er.Invalid, match="Nearest: boathouse"):
        er.rehearse(DEMO, mix="boathose")


def test_progress_says_what_is_done_and_of_how_many() -> None:
    told: list[tuple[str, int, int]] = []
    er.rehearse(ONE_SET, count=20, progress=lambda what, done, total: told.append((what, done, total)))
    assert {what for what, _, _ in told} == {"rungs on bodies", "people"}
    assert all(0 <= done <= total for _, done, total in told)


def test_known_people_are_given_one_by_one_or_as_a_file(rehearsal: er.Rehearsal) -> None:
    assert [one.name for one in rehearsal.advice] == ["Aino"]
    assert er.rehearse(ONE_SET, count=0, people=[er.Person(name="Aino", stature_m=1.65, level="new")]).forecast is None
    people = ROOT / "examples" / "boathouse-people.csv"
    assert len(er.rehearse(ONE_SET, count=0, people=str(people)).advice) == len(people.read_text().splitlines()) - 1


@pytest.mark.parametrize("name", ["analyze", "demand", "library", "load_plan", "rehearse", "save_plan"])
def test_each_public_function_says_its_errors_and_has_an_example(name: str) -> None:
    check_docstring(getattr(er, name))


def test_publish_says_its_errors_and_has_an_example() -> None:
    check_docstring(import_module("everyrung.publish.folder.bundle").publish)


def check_docstring(function: Any) -> None:
    words = inspect.getdoc(function) or ""
    assert ">>> " in words
    assert re.search(r"Raises\s+(Invalid|Faults)", words)
    named = [name for name in inspect.signature(function).parameters if name not in ("minutes", "library", "cache")]
    missing = [name for name in named if f"`{name}`" not in words]
    assert not missing or function.__name__ in ("library", "save_plan"), missing
