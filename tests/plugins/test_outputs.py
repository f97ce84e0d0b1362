"""Outputs of other packages: written and offered as ours are, and never the end of a publication.

Entry points: the PyPA entry points specification. The example is built by hatchling.
"""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from everyrung.cli import main
from everyrung.interface import analyze
from everyrung.publish.folder import bundle as module
from everyrung.publish.folder.bundle import build_bundle
from everyrung.publish.folder.contents import Publication
from everyrung.publish.registry import registry
from everyrung.results.analysis import Analysis
from everyrung.terms.errors import Invalid

PLAN = Path(__file__).parents[1] / "cli" / "small.toml"
HEAD = "from everyrung.publish.output import Files, Order, output\n"
MARK = "@output('spoilt part', ('spoilt.txt',), 'a part that is spoilt')\ndef spoilt(order):\n"


@pytest.fixture(scope="module")
def small() -> Analysis:
    return analyze(PLAN, bodies=True, drawings=True, cues=True)


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of our outputs the texts alone: the others are slow, and no part of this."""
    outputs = module._outputs
    monkeypatch.setattr(
        module, "_outputs",
        lambda order, also: [
            each for each in outputs(order, also) if each in registry().others or each.name in ("texts", "filming")
        ],
    )  # fmt: skip


def made(run: Analysis, folder: Path, also: tuple[str, ...] = ()) -> Publication:
    return build_bundle(run, PLAN.read_bytes(), folder, lambda *_: None, also=also)


def names(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


@pytest.mark.usefixtures("quick")
def test_an_output_of_a_package_is_written_and_noted_like_ours(
    small: Analysis, lakeside: Path, with_package, tmp_path: Path
) -> None:
    before = made(small, tmp_path / "before")
    with_package(lakeside)
    after = made(small, tmp_path / "after")
    assert names(tmp_path / "after") - names(tmp_path / "before") == {"door-sign.txt"}
    assert small.session.title in (tmp_path / "after" / "door-sign.txt").read_text(encoding="utf-8")
    assert "Hang the sign on the lake side." in after.notes
    assert set(before.notes) < set(after.notes)
    manifest = json.loads((tmp_path / "after" / "manifest.json").read_text(encoding="utf-8"))
    assert {"name": "door-sign.txt", "what": "a sign for the boathouse door"}.items() <= next(
        each for each in manifest["files"] if each["name"] == "door-sign.txt"
    ).items()


@pytest.mark.usefixtures("quick")
def test_an_output_on_request_is_written_only_when_it_is_asked_for(
    small: Analysis, lakeside: Path, with_package, tmp_path: Path
) -> None:
    with_package(lakeside)
    made(small, tmp_path, ("rounds to chalk",))
    assert "rounds.txt" in names(tmp_path)
    made(small, tmp_path / "without")
    assert "rounds.txt" not in names(tmp_path / "without")
    with pytest.raises(Invalid, match="also") as told:
        made(small, tmp_path, ("round to chalk",))
    assert told.value.nearest == "rounds to chalk"


@pytest.mark.usefixtures("quick")
def test_the_command_takes_the_output_of_a_package(
    lakeside: Path, with_package, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with_package(lakeside)
    assert main(["publish", str(PLAN), str(tmp_path), "--also", "rounds to chalk"]) in (0, 1)
    said = capsys.readouterr().out
    assert "door-sign.txt  a sign for the boathouse door" in said
    assert "rounds.txt  each block's rounds, to chalk on the board" in said


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ("    yield 1 / 0", "ZeroDivisionError: division by zero"),
        ("    yield order.folder / 'nothing.txt', 'not there'", "FileNotFoundError"),
        ("    yield order.text('kit.txt', 'all gone'), 'kit'", "expected a name that is free, got 'kit.txt'"),
        ("    yield order.text('../away.txt', 'away'), 'away'", "expected one within the folder"),
        ("    yield order.text('manifest.json', '{}'), 'mine'", "expected a name that is free"),
    ],
    ids=["raises", "writes nothing", "ours", "outside", "manifest"],
)
@pytest.mark.usefixtures("quick")
def test_an_output_of_a_package_that_fails_is_one_note_and_all_else_is_there(
    body: str, words: str, small: Analysis, spoilt: Callable[[str, str], Path], with_package, tmp_path: Path
) -> None:
    before = made(small, tmp_path / "before")
    with_package(spoilt("everyrung.outputs", HEAD + MARK + body))
    after = made(small, tmp_path / "after")
    (more,) = set(after.notes) - set(before.notes)
    assert "The output 'spoilt part' of the plug-in 'spoilt' failed: " in more
    assert words in more
    assert names(tmp_path / "after") == names(tmp_path / "before")
    kit = [(tmp_path / each / "kit.txt").read_bytes() for each in ("before", "after")]
    assert kit[0] == kit[1]


@pytest.mark.usefixtures("quick")
def test_a_package_that_catches_everything_is_stopped_all_the_same(
    small: Analysis, spoilt: Callable[[str, str], Path], with_package, tmp_path: Path
) -> None:
    caught = "    try:\n        order.progress(1, 2)\n    except Exception:\n        raise ValueError\n    yield"
    with_package(spoilt("everyrung.outputs", HEAD + MARK + caught))

    class Enough(Exception):
        """Somebody pressed Stop."""

    def telling(_part: str, done: int, _total: int) -> None:
        if done:
            raise Enough

    with pytest.raises(Enough):
        build_bundle(small, PLAN.read_bytes(), tmp_path / "folder", telling)


@pytest.mark.usefixtures("quick")
def test_a_package_that_cannot_be_loaded_is_one_note(
    small: Analysis, spoilt: Callable[[str, str], Path], with_package, tmp_path: Path
) -> None:
    with_package(spoilt("everyrung.outputs", "import a_package_that_is_not_there"))
    (more,) = [note for note in made(small, tmp_path / "folder").notes if "spoilt" in note]
    assert "cannot be loaded: ModuleNotFoundError" in more


def test_our_own_outputs_have_no_problem() -> None:
    assert registry().others == {}
    assert registry().problems == ()
    assert [output.name for output in registry().on_request] == ["clip", "film"]
