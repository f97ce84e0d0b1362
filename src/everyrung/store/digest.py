"""Digests of content: what a computed result depends on, as one short name."""

import ast
import hashlib
import json
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from everyrung.terms.errors import Invalid

DIGITS = 9  # significant ones; chosen, because solvers' last digits differ from machine to machine


def digest(*values: Any) -> str:
    """One SHA-256 of some values: terms, enums, mappings, sequences, text, numbers, days, None.
    Raises Invalid for others."""
    return hashlib.sha256(canonical(list(values)).encode()).hexdigest()


def canonical(value: Any) -> str:
    """JSON in one form only: keys sorted, floats to nine digits, terms with the name of their class."""
    return json.dumps(_plain(value), sort_keys=True, separators=(",", ":"), ensure_ascii=True)


def _plain(value: Any) -> Any:
    if isinstance(value, Enum):
        return [type(value).__name__, value.value]
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, float):
        if not math.isfinite(value):
            raise Invalid("digest", "a finite number", value)
        return ["float", f"{value:.{DIGITS}g}"]
    if isinstance(value, date):
        return ["date", value.isoformat()]
    if is_dataclass(value) and not isinstance(value, type):
        return [type(value).__name__, {each.name: _plain(getattr(value, each.name)) for each in fields(value)}]
    if isinstance(value, Mapping):
        return {canonical(key): _plain(each) for key, each in value.items()}
    if isinstance(value, Sequence) and not isinstance(value, bytes | bytearray):
        return [_plain(each) for each in value]
    raise Invalid("digest", "a term, text, number, mapping or sequence", type(value).__name__)


@cache
def code_digest(*names: str) -> str:
    """A digest of all that the files of packages and modules say: Python without comments and docstrings, data to the
    byte."""
    hasher = hashlib.sha256()
    for name in names:
        for folder, path in _files_of(name):
            hasher.update(f"{name}/{path.relative_to(folder).as_posix()}\0".encode())
            hasher.update(file_digest(path).encode())
    return hasher.hexdigest()


@cache
def byte_digest(*names: str) -> str:
    """The same to the byte, words and all: twenty times as fast, for what is soon made again."""
    hasher = hashlib.sha256()
    for name in names:
        for folder, path in _files_of(name):
            hasher.update(f"{name}/{path.relative_to(folder).as_posix()}\0".encode())
            hasher.update(hashlib.sha256(path.read_bytes()).digest())
    return hasher.hexdigest()


def _files_of(name: str) -> Iterator[tuple[Path, Path]]:
    """The folder and each file of a package; of a module its one file. Nothing is run to find them."""
    spec = find_spec(name)
    if spec is None:
        raise ModuleNotFoundError(name, name=name)
    if spec.submodule_search_locations is None:
        path = Path(str(spec.origin))
        yield path.parent, path
        return
    for folder in sorted(spec.submodule_search_locations):
        for path in sorted(Path(folder).rglob("*")):
            if path.is_file() and "__pycache__" not in path.parts:
                yield Path(folder), path


def file_digest(path: Path) -> str:
    """One file's digest."""
    content = path.read_bytes()
    if path.suffix == ".py":
        content = ast.dump(_without_words(ast.parse(content))).encode()
    return hashlib.sha256(content).hexdigest()


def _without_words(tree: ast.Module) -> ast.Module:
    """Docstrings taken out; comments are in no tree."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef) and node.body:
            first = node.body[0]
            if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
                node.body = node.body[1:]
    return tree


@cache
def versions(*distributions: str) -> tuple[str, ...]:
    """The installed version of each distribution; 'none' where it is not installed."""
    return tuple(_version(name) for name in distributions)


def _version(name: str) -> str:
    try:
        return f"{name} {version(name)}"
    except PackageNotFoundError:
        return f"{name} none"
