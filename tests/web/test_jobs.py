"""What jobs write stands beside what was written before, for somebody may be reading that."""

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from everyrung.pipeline import AudienceSpec
from everyrung.publish import card as card_module
from everyrung.publish import stage
from everyrung.web import jobs
from everyrung.web.jobs import Job, cards_of


@pytest.fixture
def written(monkeypatch: pytest.MonkeyPatch) -> None:
    """Cards and stages of one file each; nothing that is there may be written over."""

    def card(_run: Any, _card: Any, folder: Path, name: str, _owner: Any) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        (folder / f"plan-{name}.pdf").open("x").close()

    def show(_run: Any, folder: Path, *_: Any) -> None:
        folder.mkdir(parents=True)
        (folder / stage.RUN_SHEET).open("x").close()

    monkeypatch.setattr(card_module, "person_card", lambda *_: None)
    monkeypatch.setattr(card_module, "write_card", card)
    monkeypatch.setattr(jobs, "keep_takes", lambda _owners, path, *_: path.touch())
    monkeypatch.setattr(stage, "write_stage", show)


@pytest.mark.usefixtures("written")
def test_cards_and_stages_are_made_anew_while_the_ones_before_are_still_open(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(jobs, "drop_others", lambda _: None)  # as where the system lets go of nothing
    run: Any = SimpleNamespace(advice=[SimpleNamespace(name="Odd")], findings=(), session=SimpleNamespace(title=""))
    job = Job(text="", audience=AudienceSpec(), cards_folder=tmp_path / "cards", stage_folder=tmp_path / "stage")
    doing: Any = SimpleNamespace(job=job, run=lambda **_: run, steps=lambda _: None, moves=None)
    for making, files in ((lambda: cards_of(run, job, lambda *_: None), 2), (lambda: jobs._stage(doing), 1)):
        first, second = making(), making()
        assert first.folder
        assert second.folder
        assert first.folder != second.folder
        for result in (first, second):
            assert len(list(result.folder.iterdir())) == files  # with a card, what it says to take


@pytest.mark.usefixtures("written")
def test_what_was_made_before_goes_when_the_next_is_whole(tmp_path: Path) -> None:
    run: Any = SimpleNamespace(advice=[SimpleNamespace(name="Odd")], session=SimpleNamespace(title=""))
    job = Job(text="", audience=AudienceSpec(), cards_folder=tmp_path)
    first = cards_of(run, job, lambda *_: None)
    (tmp_path / "plan-odd.pdf").touch()  # where an older version wrote it
    second = cards_of(run, job, lambda *_: None)
    assert first.folder
    assert not first.folder.exists()
    assert list(tmp_path.iterdir()) == [second.folder]
