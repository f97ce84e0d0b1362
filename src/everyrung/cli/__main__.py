"""`everyrung`, and `python -m everyrung.cli`: one command in a process of its own."""

import gc
import sys

from everyrung.cli import main


def run() -> int:
    """What the process ends with."""
    try:
        return main()
    finally:
        gc.freeze()  # all of it ends now: to look through it for circles takes a twelfth of a check


if __name__ == "__main__":
    sys.exit(run())
