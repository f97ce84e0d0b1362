"""Values given on the command line, refused in words when they make no sense."""

import argparse


def minutes(written: str) -> int:
    """A slot from 5 to 240 minutes."""
    if not written.isascii() or not written.isdigit() or not 5 <= int(written) <= 240:
        raise argparse.ArgumentTypeError(f"expected a whole number of minutes from 5 to 240, got {written!r}")
    return int(written)
