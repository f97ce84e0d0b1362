"""The folder: every product is there, says what it is, fits the others, and is never milder than it should be."""

import json
from collections.abc import Callable
from dataclasses import replace
from fnmatch import fnmatch
from hashlib import sha256
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from everyrung.moves.limit_words import limit_phrase
from everyrung.pipeline import Options, run
from everyrung.plugins import instances_in
from everyrung.publish import outputs
from everyrung.publish.chapters import chapters, chapters_text
from everyrung.publish.folder.bundle import NOTES_FILE, build_bundle
from everyrung.publish.folder.contents import Publication
from everyrung.publish.folder.texts import GENTLE, MODERATE, LevelLabel, description, kit_list, level_label
from everyrung.publish.inspect import inspect
from everyrung.publish.output import Output
from everyrung.publish.outputs.filming import filming_html, units
from everyrung.publish.registry import registry
from everyrung.results.analysis import Analysis
from everyrung.store.cache import default_cache
from everyrung.terms.enums import BlockKind, Level, Side, SpanKind
from everyrung.terms.errors import Invalid
from everyrung.terms.units import clock_text

PLAN = Path(__file__).parents[1] / "cli" / "small.toml"
ONE_SIDED = Path(__file__).parents[2] / "examples" / "one-dumbbell-30.toml"


@pytest.fixture(scope="module")
def published(tmp_path_factory: pytest.TempPathFactory) -> tuple[Analysis, Publication, Path]:
    folder = tmp_path_factory.mktemp("published")
    done = run(PLAN, options=Options(bodies=True, drawings=True, cues=True, cache=default_cache()))
    return done, build_bundle(done, PLAN.read_bytes(), folder, lambda *_: None), folder


def test_the_manifest_names_every_file_and_the_plan_they_came_from(
    published: tuple[Analysis, Publication, Path],
) -> None:
    _, made, folder = published
    found = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    there = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()} - {"manifest.json"}
    assert {one["name"] for one in found["files"]} == there == {one.name for one in made.products}
    for one in found["files"]:
        content = (folder / one["name"]).read_bytes()
        assert (one["bytes"], one["sha256"]) == (len(content), sha256(content).hexdigest())
    assert found["plan"]["sha256"] == sha256(PLAN.read_bytes()).hexdigest()


def test_what_we_publish_has_no_problem_of_those_we_look_for(published: tuple[Analysis, Publication, Path]) -> None:
    _, made, folder = published
    looked = [one for one in made.products if one.name.endswith((".vtt", ".srt", ".flac", ".opus", ".mp3"))]
    assert len(looked) >= 6
    for one in looked:
        assert not inspect(folder / one.name).problems, one.name


def test_every_step_was_timed_and_what_must_be_known_is_noted(published: tuple[Analysis, Publication, Path]) -> None:
    _, made, _ = published
    assert [name for name, _ in made.steps_ms] == [
        "run sheet",
        "texts",
        "in words",
        "stills",
        "captions",
        "audio description",
        "filming",
        "player page",
        "audio",
    ]
    assert any("LUFS" in note for note in made.notes)


def with_parts(done: Analysis, part: float) -> Analysis:
    """The same session on bodies of which its hardest joint asks `part` of their strength everywhere."""
    assert done.mechanics

    def asked(one: Any) -> Any:
        return replace(one, motions=tuple(replace(each, fraction=part) for each in one.motions))

    demands = {key: asked(one) for key, one in done.mechanics.demands.items()}
    return replace(done, mechanics=replace(done.mechanics, demands=demands))


@pytest.mark.parametrize(
    ("part", "declared", "label"),
    [
        (GENTLE, Level.GENTLE, Level.GENTLE),
        (GENTLE + 0.01, Level.GENTLE, Level.MODERATE),
        (MODERATE + 0.01, Level.GENTLE, Level.HARD),
        (0.1, Level.HARD, Level.HARD),
    ],
)
def test_the_label_follows_the_demand_and_is_never_milder_than_either(
    part: float, declared: Level, label: Level, published: tuple[Analysis, Publication, Path]
) -> None:
    done = with_parts(published[0], part)
    found = level_label(replace(done, session=replace(done.session, level=declared)))
    assert found.level is label


def test_the_texts_say_when_to_stop_what_to_bring_and_who_has_the_last_word(
    published: tuple[Analysis, Publication, Path],
) -> None:
    done = published[0]
    said = description(done, level_label(done))
    assert "emergency number" in said
    assert "not medical" in said
    assert done.session.title in kit_list(done)


def test_public_words_hold_none_of_the_coach_s_notes(published: tuple[Analysis, Publication, Path]) -> None:
    done, made, folder = published
    hard = with_parts(done, GENTLE + 0.01)
    label = level_label(replace(hard, session=replace(done.session, level=Level.GENTLE)))
    assert label.level is not label.by_coach
    assert f"Level: {label.level}." in description(done, label)
    notes = (folder / "coach-notes.txt").read_text(encoding="utf-8")
    assert made.notes
    for note in (*made.notes, "although", "middling body"):
        assert note not in description(done, label)
        assert note not in (folder / "description.txt").read_text(encoding="utf-8")
        assert note not in (folder / "manifest.json").read_text(encoding="utf-8")
    assert all(note in notes for note in made.notes)


def test_a_file_of_another_kind_is_refused_with_those_that_are_known(tmp_path: Path) -> None:
    path = tmp_path / "notes.docx"
    path.write_bytes(b"PK")
    with pytest.raises(Invalid, match="a file that ends in"):
        inspect(path)


def test_sound_that_is_too_loud_is_told(tmp_path: Path) -> None:
    import numpy as np

    from everyrung.publish.audio.files import write_flac

    tone = np.sin(2 * np.pi * 997 * np.arange(96_000) / 48_000).astype(np.float32)  # ITU-R BS.1770: 0 dBFS, -3.01 LUFS
    write_flac(tmp_path / "loud.flac", tone, 48_000)
    loud = inspect(tmp_path / "loud.flac")
    assert "-3.0 LUFS" in loud.what
    assert [each.what for each in loud.problems] == ["loudness", "true peak"]


def test_every_unit_of_filming_starts_still_at_a_known_time_side_and_repetition() -> None:
    """H27 of the real-life cases: a take that dies is taken again from a still pose, not from the start."""
    done = run(ONE_SIDED)
    found = units(done)
    work = [span for span in done.timeline.spans if span.kind is SpanKind.WORK]
    assert [unit.at for unit in found] == [clock_text(span.at_ms) for span in work]
    for unit, span in zip(found, work, strict=True):
        assert "still" in unit.still
        assert (str(span.side) in unit.side) or span.side is Side.BOTH
        assert not span.bout or not span.bout.reps or f"of {span.bout.reps}" in unit.dose
    main = [unit for unit in found if unit.block.startswith("Main")]
    assert all([kind for kind, _ in unit.demonstrators] == ["harder", "easier", "no-kit"] for unit in main)
    assert "Take 4" in filming_html(done)


def test_the_run_sheet_is_a_tagged_document_whose_words_can_be_taken_out(
    published: tuple[Analysis, Publication, Path], page_words: Callable[[Path], list[str]]
) -> None:
    """PDF/UA-1 (ISO 14289-1): marked, with a structure tree, a language and a title; read by pikepdf and PDFium."""
    import pikepdf

    done, made, folder = published
    (name,) = (one.name for one in made.products if one.name.endswith(".pdf"))
    with pikepdf.open(folder / name) as document:
        assert document.Root.MarkInfo.Marked
        assert document.Root.StructTreeRoot
        assert str(document.Root.Lang).startswith("en")
        with document.open_metadata() as metadata:
            assert metadata["pdfuaid:part"] == "1"
    words = " ".join(page_words(folder / name))
    assert done.session.title in words


@pytest.mark.slow
def test_with_a_voice_the_film_speaks_and_every_file_of_it_passes_our_own_look(tmp_path: Path) -> None:
    import av
    import numpy as np

    from everyrung.publish.audio.files import read_audio

    options = Options(bodies=True, drawings=True, cues=True, voice=True, cache=default_cache())
    done = run(PLAN, options=options)
    made = build_bundle(done, PLAN.read_bytes(), tmp_path, lambda *_: None, also=["film"])
    assert [name for name, _ in made.steps_ms][-4:] == [
        "voice, first time", "voice, again", "audio description, spoken", "film",
    ]  # fmt: skip
    names = [one.name for one in made.products if one.name.startswith(("voice-", "spoken-", "described-"))]
    assert len(names) == 8
    for name in names:
        assert not inspect(tmp_path / name).problems, name
    film, spoken = (read_audio(tmp_path / name)[0] for name in ("session.mp4", "spoken-first-time.opus"))
    size = min(len(film), len(spoken))
    assert np.corrcoef(film[:size], spoken[:size])[0, 1] > 0.98
    with av.open(str(tmp_path / "session.mp4")) as container:
        titles = [each["metadata"]["title"] for each in container.chapters()]
    assert titles == [each.title for each in chapters(done.timeline)]


def test_the_kit_list_has_what_each_person_needs_and_nothing_that_is_not_used() -> None:
    plan = Path(__file__).parents[2] / "examples" / "boathouse-30.toml"
    done = run(plan)
    found = kit_list(done)
    assert "- Dumbbell, 10 lb / 4.5 kg: 2\n" in found
    assert "- Wall: a free stretch\n" in found
    assert "- Ball: 1 (there: 55 cm, 65 cm)\n" in found
    assert "\n175 cm  45 to 55  45 to 55  45 to 55\n" in found
    assert "not used" not in found
    label = LevelLabel(level=Level.HARD, by_coach=Level.HARD, by_strength=Level.HARD, part=0.65)
    said = description(done, label)
    for words in (
        "- Dumbbell, 10 lb / 4.5 kg: 2\n",
        "\n175 cm  45 to 55",
        "Who it is for: people who train each week.",
    ):
        assert words in said
    for cell in done.session.cells_of(BlockKind.MAIN):
        for caution in cell.rung.cautions:
            line = next(
                line for line in said.splitlines() if line.startswith(f"- {limit_phrase(caution).rstrip(',')}: ")
            )
            assert cell.move.name in line
        assert cell.move.name.lower() in said.partition("Tags: ")[2]
    assert chapters_text(chapters(done.timeline)) in said


def test_each_output_writes_the_files_that_it_names_and_no_other(
    published: tuple[Analysis, Publication, Path],
) -> None:
    _, made, _ = published
    written = {output.name: output for output in registry().outputs if output.name in dict(made.steps_ms)}
    patterns = {name: output.files for name, output in written.items()}
    for one in made.products:
        if one.name != NOTES_FILE:
            assert any(fnmatch(one.name, pattern) for files in patterns.values() for pattern in files), one.name
    for name, files in patterns.items():
        for pattern in files:
            missing = not any(fnmatch(one.name, pattern) for one in made.products)
            assert not missing or pattern.endswith(".mp3"), (name, pattern)  # not every build of FFmpeg writes MP3


def test_every_module_of_the_folder_has_an_output() -> None:
    (folder,) = outputs.__path__
    names = {path.stem for path in Path(folder).glob("*.py")} - {"__init__"}
    assert len(names) > 5
    for name in names:
        assert any(instances_in(import_module(f"{outputs.__name__}.{name}"), Output)), name


ONE_FILE = '''
from everyrung.publish.output import Files, Order, output


@output("tally", ("tally.txt",), "how many sets there are")
def tally(order: Order) -> Files:
    """One number."""
    yield order.text("tally.txt", str(sum(1 for _ in order.run.session.cells))), "how many sets there are"
'''


def test_an_output_in_one_file_is_written_and_named_in_the_manifest(
    published: tuple[Analysis, Publication, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    done, before, _ = published
    (tmp_path / "more").mkdir()
    (tmp_path / "more" / "an_output_of_a_test.py").write_text(ONE_FILE, encoding="utf-8")
    monkeypatch.setattr(outputs, "__path__", [*outputs.__path__, str(tmp_path / "more")])
    registry.cache_clear()
    try:
        made = build_bundle(done, PLAN.read_bytes(), tmp_path / "folder", lambda *_: None)
    finally:
        monkeypatch.undo()
        registry.cache_clear()
    assert {one.name for one in made.products} - {one.name for one in before.products} == {"tally.txt"}
    assert (tmp_path / "folder" / "tally.txt").read_text() == str(sum(1 for _ in done.session.cells))
