"""`everyrung`, and `python -m everyrung.cli`: one command in a process of its own."""

import gc
import sys

from everyrung.cli import main

NEW_OBJECTS = 50_000  # before they are searched for circles; chosen, because a check makes fewer, and terms have none


def run() -> int:
    """What the process ends with. Searches for circles of objects, of which a tenth of a check was made, are left out
    where nothing is to be found: while the command is loaded, and at the end, when all goes.
    """
    gc.set_threshold(NEW_OBJECTS)
    try:
        return main()
    finally:
        gc.freeze()


if __name__ == "__main__":
    sys.exit(run())
