"""A stage as files: what it reads while it is led."""

import json
import shutil
from pathlib import Path

from everyrung.moves.library import Library
from everyrung.publish.stage.content import stage_content
from everyrung.publish.stage.pictures import Pictures
from everyrung.results.analysis import Analysis
from everyrung.store.atomic import replace_text
from everyrung.store.cache import Cache

RUN_SHEET = "run.json"


def write_stage(run: Analysis, folder: Path, library: Library, cache: Cache | None) -> None:
    """Empties `folder` and writes run.json, still-<n>.svg and motion-<n>.json there; run.json last, so that it is whole
    when it is there. Raises OSError.
    """
    shutil.rmtree(folder, ignore_errors=True)
    pictures = Pictures(run, library, cache)
    content = stage_content(run, pictures)
    for number, still in enumerate(pictures.stills):
        replace_text(folder / f"still-{number}.svg", still)
    for number, motion in enumerate(pictures.motions):
        replace_text(folder / f"motion-{number}.json", motion)
    replace_text(folder / RUN_SHEET, json.dumps(content, separators=(",", ":"), ensure_ascii=False))
