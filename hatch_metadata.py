"""Metadata hook: the README as the wheel's description, without what only a checkout can show.

A picture or a link of a checkout leads nowhere in a wheel; the pages travel in it as everyrung/docs, and the studio
opens them under Help.
"""

import re
from pathlib import Path
from typing import Any

from hatchling.metadata.plugin.interface import MetadataHookInterface


class Description(MetadataHookInterface):
    """What hatchling calls."""

    PLUGIN_NAME = "custom"

    def update(self, metadata: dict[str, Any]) -> None:
        """Sets the description."""
        text = (Path(self.root) / "README.md").read_text(encoding="utf-8")
        metadata["readme"] = {"content-type": "text/markdown", "text": description(text)}


def description(text: str) -> str:
    """The README: pictures by their words, links to our own files by the files' names."""
    text = re.sub(r"!\[([^\]]*)\]\((?!https?:)([^)\s]+)\)", r"(Picture: \1; \2.)", text)
    return re.sub(r"\[([^\]]*)\]\((?!https?:|#)([^)\s]+)\)", lambda link: _named(link[1], link[2]), text)


def _named(words: str, path: str) -> str:
    return f"`{path}`" if words == path else f"{words} (`{path}`)"
