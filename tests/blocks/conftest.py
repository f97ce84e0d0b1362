"""One block for all tests of this folder: it takes some ten seconds to plan."""

from pathlib import Path

import pytest

from everyrung.blocks.block_file import BlockFile, block_from_text, write_block
from everyrung.blocks.search import Block, propose_block
from everyrung.moves.library import standard_library
from everyrung.store.cache import default_cache

HEAD = """\
title = "Boathouse block"
first = 2027-01-11
weeks = 6
brief = "25 min whole body, dumbbells 4 to 10 kg"
closed = [2027-01-21]   # away
zone = "Europe/Helsinki"

[[weekly]]
day = "Monday"
starts = "18:30"

[[weekly]]
day = "Thursday"
starts = "18:30"
"""


@pytest.fixture(scope="session")
def block_file() -> BlockFile:
    return block_from_text(HEAD, "block.toml", standard_library())


@pytest.fixture(scope="session")
def block(block_file: BlockFile) -> Block:
    return propose_block(block_file.brief, cache=default_cache())


@pytest.fixture
def folder(block: Block, tmp_path: Path) -> Path:
    """The block as it is written."""
    write_block(block, HEAD, tmp_path / "block.toml")
    return tmp_path
