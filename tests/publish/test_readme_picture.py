"""The picture on top of the README is the score of the demo plan as it is drawn today."""

from pathlib import Path

from everyrung.pipeline import run
from everyrung.score.draw import score_svg

ROOT = Path(__file__).parents[2]


def test_the_picture_in_the_readme_is_current() -> None:
    done = run(ROOT / "examples" / "boathouse-30.toml")
    shown = (ROOT / "docs" / "pictures" / "boathouse-30-score.svg").read_text(encoding="utf-8")
    assert shown == score_svg(done.session, done.timeline)
    assert "docs/pictures/boathouse-30-score.svg" in (ROOT / "README.md").read_text(encoding="utf-8")
