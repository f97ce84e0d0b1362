"""Line numbers for every key of a TOML document, from a real grammar (tree-sitter)."""

from collections.abc import Iterator
from functools import cached_property

import tree_sitter
import tree_sitter_toml

KeyPath = tuple[str | int, ...]


class LineNumbers:
    """Where each key path of `text` is written. Parsed on the first question only."""

    def __init__(self, text: str) -> None:
        self._text = text

    def line(self, path: KeyPath) -> int:
        """The line (from 1) of `path`, or of its nearest enclosing key that is written; 0 for an empty path."""
        while path:
            if path in self._lines:
                return self._lines[path]
            path = path[:-1]
        return 0

    @cached_property
    def _lines(self) -> dict[KeyPath, int]:
        language = tree_sitter.Language(tree_sitter_toml.language())
        root = tree_sitter.Parser(language).parse(self._text.encode()).root_node
        lines: dict[KeyPath, int] = {}
        counts: dict[KeyPath, int] = {}
        for node in root.named_children:
            if node.type == "pair":
                _pair(node, (), lines)
            elif node.type in ("table", "table_array_element"):
                _table(node, lines, counts)
        return lines


def _table(node: tree_sitter.Node, lines: dict[KeyPath, int], counts: dict[KeyPath, int]) -> None:
    path: KeyPath = ()
    names = list(_keys(node.named_children[0]))
    for place, name in enumerate(names):
        path = (*path, name)
        last = place == len(names) - 1
        if last and node.type == "table_array_element":
            counts[path] = counts.get(path, -1) + 1
            # A fresh element starts its own inner arrays from nought.
            for inner in [key for key in counts if len(key) > len(path) and key[: len(path)] == path]:
                if inner[len(path)] == counts[path]:
                    del counts[inner]
        lines.setdefault(path, node.start_point[0] + 1)
        if path in counts:
            path = (*path, counts[path])
            lines.setdefault(path, node.start_point[0] + 1)
    for child in node.named_children[1:]:
        if child.type == "pair":
            _pair(child, path, lines)


def _pair(node: tree_sitter.Node, path: KeyPath, lines: dict[KeyPath, int]) -> None:
    line = node.start_point[0] + 1
    for name in _keys(node.named_children[0]):
        path = (*path, name)
        lines.setdefault(path, line)
    _value(node.named_children[-1], path, lines)


def _value(node: tree_sitter.Node, path: KeyPath, lines: dict[KeyPath, int]) -> None:
    if node.type == "inline_table":
        for pair in node.named_children:
            if pair.type == "pair":
                _pair(pair, path, lines)
    elif node.type == "array":
        values = [child for child in node.named_children if child.type != "comment"]
        for place, child in enumerate(values):
            lines.setdefault((*path, place), child.start_point[0] + 1)
            _value(child, (*path, place), lines)


def _keys(node: tree_sitter.Node) -> Iterator[str]:
    waiting = [node]
    while waiting:
        each = waiting.pop()
        if each.type == "dotted_key":
            waiting.extend(reversed(each.named_children))
        else:
            text = (each.text or b"").decode()
            yield text[1:-1] if each.type == "quoted_key" else text
