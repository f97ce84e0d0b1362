"""The coach's own moves: one TOML file each, in the folder `moves` of what is kept; written as the library's are."""

import re
from pathlib import Path

from everyrung.moves.move_file import move_from_text
from everyrung.store.files import replace_text
from everyrung.store.paths import home
from everyrung.terms.errors import Invalid, require

FOLDER = "moves"
REMOVED = ".removed"  # what is taken away keeps its text under this ending, so that nothing is lost
_KEY = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
MOST_LETTERS = 60  # of a key; chosen, because file systems take four times as many

Files = tuple[tuple[str, int, int], ...]  # each path with when it was changed (ns) and its bytes


def own_folder() -> Path:
    """Where they lie; not created here."""
    return home() / FOLDER


def own_files() -> Files:
    """What is there now: whoever keeps a library by it reads anew when a file changes."""
    try:
        paths = sorted(own_folder().glob("*.toml"))
        return tuple((str(path), path.stat().st_mtime_ns, path.stat().st_size) for path in paths)
    except OSError:
        return ()


def key_of(name: str) -> str:
    """'lake-squat' for 'Lake squat!': the key that a plan names it by. Raises Invalid for a name without letters."""
    key = "-".join(re.findall(r"[a-z0-9]+", name.casefold()))[:MOST_LETTERS].strip("-")
    require(bool(_KEY.fullmatch(key)), "name", "a name that begins with a plain letter, a to z", name)
    return key


def require_own_key(key: str, library_keys: tuple[str, ...]) -> None:
    """Raises Invalid for a file name that is no key, and for one that the library has."""
    remedy = "Call the file what plans are to call the move, such as lake-squat.toml."
    if not _KEY.fullmatch(key) or len(key) > MOST_LETTERS:
        raise Invalid("file", "small letters, digits and dashes", key, remedy=remedy)
    if key in library_keys:
        raise Invalid("file", "a name that no move of the library has", key, remedy=remedy)


def keep_move(key: str, text: str, library_keys: tuple[str, ...]) -> Path:
    """Writes a move of the coach's own, whole or not at all; one of the same key is replaced.

    `library_keys`: those of the library. Raises Invalid for its key, Faults for its text, OSError where it can't be
    written.
    """
    require_own_key(key, library_keys)
    path = own_folder() / f"{key}.toml"
    move_from_text(text, key, str(path))
    replace_text(path, text)
    return path


def remove_move(key: str) -> Path:
    """Takes a move away; its text stays beside the others, as a file that is not read. Raises Invalid."""
    path = own_folder() / f"{key}.toml"
    require(bool(_KEY.fullmatch(key)) and path.is_file(), "move", "one of your own moves", key)
    return path.replace(path.with_name(path.name + REMOVED))
