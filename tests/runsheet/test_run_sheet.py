"""The run sheet: everything that is shown of a session, by its published schema, the same after a way through JSON.

The second opinion is jsonschema-rs, which reads the schema in docs by the 2020-12 draft of JSON Schema, an open
standard.
"""

import json
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema_rs
import pytest
from any_plan import plan_number, session_number

from everyrung.cues.tracks import cue_tracks
from everyrung.moves.library import standard_library
from everyrung.pipeline import Options, run, run_plan
from everyrung.plan.read import plan_from_text
from everyrung.results.analysis import Analysis
from everyrung.runsheet.beeps import beeps, tunes
from everyrung.runsheet.build import run_sheet
from everyrung.runsheet.read_write import from_json, schema_text, to_json
from everyrung.runsheet.terms import RunSheet
from everyrung.store.cache import default_cache
from everyrung.terms.enums import Side
from everyrung.terms.errors import Invalid
from everyrung.terms.units import clock_text
from everyrung.timing.branches import branches

ROOT = Path(__file__).parents[2]
EXAMPLES = sorted((ROOT / "examples").glob("*.toml"))
SCHEMA = ROOT / "docs" / "run-sheet.schema.json"
SHORT = "first-evening-30"  # one with words in the fast tests; to place those of all takes half a minute


@cache
def made(name: str, *, cues: bool = False) -> tuple[Analysis, RunSheet]:
    path = ROOT / "examples" / f"{name}.toml"
    done = run(path, options=Options(branches=True, cues=cues, cache=default_cache() if cues else None))
    return done, run_sheet(done)


def faults(text: str) -> list[str]:
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    jsonschema_rs.meta.validate(schema)
    return [error.message for error in jsonschema_rs.Draft202012Validator(schema).iter_errors(json.loads(text))]


def test_the_schema_in_docs_is_that_of_the_code() -> None:
    anew = "write it anew: python -m everyrung.runsheet.read_write > docs/run-sheet.schema.json"
    assert SCHEMA.read_text(encoding="utf-8") == schema_text(), anew


with_words = [
    pytest.param(path.stem, cues, marks=pytest.mark.slow if cues and path.stem != SHORT else ())
    for path in EXAMPLES
    for cues in (False, True)
]


@pytest.mark.parametrize(("name", "cues"), with_words)
def test_every_examples_run_sheet_keeps_the_schema_and_comes_back_the_same(name: str, cues: bool) -> None:
    _, sheet = made(name, cues=cues)
    text = to_json(sheet)
    assert not faults(text)
    assert from_json(text) == sheet


@pytest.mark.parametrize("number", [*range(6), *(pytest.param(n, marks=pytest.mark.slow) for n in range(6, 320))])
def test_any_plans_run_sheet_keeps_the_schema_and_has_the_timelines_of_its_branches(number: int) -> None:
    session = session_number(number)
    plan = plan_from_text(plan_number(number), "plan.toml")
    done = run_plan(plan, library=standard_library())
    ways = branches(session)
    sheet = run_sheet(Analysis(plan=plan, session=session, timeline=ways.variants[0].timeline,
                               findings=done.findings, branches=ways))  # fmt: skip
    text = to_json(sheet)
    assert not faults(text)
    assert from_json(text) == sheet
    assert_timelines(sheet, Analysis(plan=plan, session=session, timeline=done.timeline, findings=(), branches=ways))


@pytest.mark.parametrize("name", [path.stem for path in EXAMPLES])
def test_its_timelines_are_those_that_were_laid_to_the_millisecond(name: str) -> None:
    done, sheet = made(name)
    assert_timelines(sheet, done)


def assert_timelines(sheet: RunSheet, done: Analysis) -> None:
    assert done.branches is not None
    assert sheet.prefixes == done.branches.prefixes
    for way, entry in zip(done.branches.variants, sheet.variants, strict=True):
        laid = [
            (span.at_ms, span.end_ms, span.kind, span.block.name, str(span.cell.ref) if span.cell else None, span.side)
            for span in way.timeline.spans
        ]
        read = []
        for span in entry.spans:
            cell = None if span.cell is None else sheet.cells[span.cell]
            bout = None if cell is None or span.bout is None else cell.rungs[0].bouts[span.bout]
            side = bout.side if bout else Side.BOTH
            read.append((span.at_ms, span.end_ms, span.kind, sheet.blocks[span.block].name, cell and cell.ref, side))
        assert read == laid
        assert [sheet.cells[cell].ref for cell in entry.cut] == [
            str(cell.ref) for cell in done.session.cells if cell.ref not in {one.ref for one in way.session.cells}
        ]
        sounded = beeps(way.timeline, count_in_ms=done.session.clock.count_in_ms, by=tunes(done.timeline))
        assert [tuple(beep) for beep in entry.beeps] == [(beep.at_ms, beep.kind) for beep in sounded]


@pytest.mark.parametrize("name", [path.stem for path in EXAMPLES])
def test_up_to_a_fork_no_span_and_no_beep_moves(name: str) -> None:
    _, sheet = made(name)
    for fork in sheet.forks:
        before, after = sheet.variants[fork.of], sheet.variants[fork.onto]
        for entries in ("spans", "beeps"):
            old, new = ([one for one in getattr(each, entries) if at(one) < fork.until_ms] for each in (before, after))
            assert old == new
        assert fork.less_ms == before.total_ms - after.total_ms
        assert set(after.cut) - set(before.cut) == set(fork.cells)
        assert all(sheet.cells[cell].move in fork.words for cell in fork.cells)
        assert fork.cells or fork.talks


def at(one: Any) -> int:
    return int(one.at_ms)


@pytest.mark.parametrize("name", [SHORT, *(pytest.param(each.stem, marks=pytest.mark.slow) for each in EXAMPLES)])
def test_every_variants_words_are_placed_on_its_own_clock(name: str) -> None:
    """They name no set that was cut, and are what placing makes of the shorter session."""
    done, sheet = made(name, cues=True)
    assert done.branches is not None
    for way, entry, script in zip(done.branches.variants, sheet.variants, done.scripts, strict=True):
        for track in script:
            read = [(cue.at_ms, cue.end_ms, cue.kind, sheet.words[cue.words]) for cue in entry.script[track.track]]
            assert read == [(cue.at_ms, cue.end_ms, cue.kind, cue.text) for cue in track.said]
            assert not {cue.cell for cue in entry.script[track.track]} & set(entry.cut)
        assert {cue.ref for track in script for cue in track.said if cue.ref} <= {
            cell.ref for cell in way.session.cells
        }
        by_grade = [track for track, _ in cue_tracks(way.session, way.timeline)]  # without the leader's own effort
        counts = [[cue.text for cue in track.said if cue.text.startswith("Next: ")] for track in by_grade]
        assert counts == [[cue.text for cue in track.said if cue.text.startswith("Next: ")] for track in script]


def test_up_to_the_set_before_a_fork_the_words_are_the_same() -> None:
    """What the leader was told, she was told; only the last set before a cut announces another next one."""
    _, sheet = made(SHORT, cues=True)
    assert sheet.forks
    for fork in sheet.forks:
        before, after = sheet.variants[fork.of], sheet.variants[fork.onto]
        cells = [span.cell for span in before.spans if span.at_ms < fork.until_ms]
        until_ms = next(span.at_ms for span in before.spans if span.cell == cells[-1])
        for track, cues in before.script.items():
            told = [cue for cue in cues if cue.at_ms < until_ms]
            assert told == [cue for cue in after.script[track] if cue.at_ms < until_ms]


@pytest.mark.slow
def test_a_forecast_is_in_it_when_an_audience_was() -> None:
    from made_demands import made_offers
    from recorded import plan_of

    from everyrung.effort.mix import read_mix
    from everyrung.effort.rehearsal import rehearse

    session, timeline = plan_of("many-sided")
    forecast = rehearse(session, timeline, made_offers(session), read_mix("boathouse"), 20, 3)
    plan = made(SHORT)[0].plan
    sheet = run_sheet(Analysis(plan=plan, session=session, timeline=timeline, findings=(), forecast=forecast))
    assert sheet.forecast is not None
    assert sheet.forecast.whole.part == forecast.whole.part
    assert forecast.rating
    assert sheet.forecast.rating
    assert sheet.forecast.rating.middle == forecast.rating.middle
    assert [each.rating is None for each in sheet.forecast.cells] == [each.rating is None for each in forecast.cells]
    assert [sheet.cells[each.cell].ref for each in sheet.forecast.cells] == [str(each.ref) for each in forecast.cells]
    assert not faults(to_json(sheet))
    assert from_json(to_json(sheet)) == sheet


def test_it_is_small_and_prints_in_a_line() -> None:
    done, sheet = made("whole-body-45")
    assert len(repr(sheet)) < 200
    assert f" {clock_text(done.timeline.total_ms)}," in repr(sheet)
    assert len(to_json(sheet)) < 1_500_000


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        (("version",), 2, "expected 1, got 2"),
        (("cells", 0, "block"), "Main", "$.cells[0].block"),
        (("cells", 0, "block"), 99, "cells.block"),
        (("variants", 0, "spans", 3, "end_ms"), 1, "spans"),
        (("variants", 0, "spans", 3, "kind"), "sleep", "$.variants[0].spans[3].kind"),
        (("prefixes",), [1, 0], "prefixes"),
        (("forks", 0, "onto"), 400, "forks"),
        (("title",), None, "$.title"),
    ],
)
def test_what_is_no_run_sheet_is_refused_with_its_place(path: tuple[Any, ...], value: Any, said: str) -> None:
    values = json.loads(to_json(made(SHORT)[1]))
    holder = values
    for step in path[:-1]:
        holder = holder[step]
    holder[path[-1]] = value
    with pytest.raises(Invalid) as problem:
        from_json(json.dumps(values))
    assert said in str(problem.value)


def test_what_is_no_json_is_refused_in_words() -> None:
    for text in ("", "{", "[]", "null", '{"version": "1"}', b"\xff\xfe"):
        with pytest.raises(Invalid, match="a run sheet as JSON"):
            from_json(text)


def test_the_example_in_docs_runs_and_says_what_it_says(monkeypatch: pytest.MonkeyPatch) -> None:
    page = (ROOT / "docs" / "run-sheet.md").read_text(encoding="utf-8")
    code, said = (part.split("```")[0] for part in page.split("```python\n")[1].split("```text\n", 1))
    monkeypatch.chdir(ROOT)
    printed: list[str] = []
    exec(code, {"print": lambda *values: printed.append(" ".join(map(str, values)))})
    assert printed == said.splitlines()


def test_the_page_in_docs_names_every_field_of_the_sheet() -> None:
    page = (ROOT / "docs" / "run-sheet.md").read_text(encoding="utf-8")
    assert all(f"`{field}`" in page for field in RunSheet.__dataclass_fields__)
