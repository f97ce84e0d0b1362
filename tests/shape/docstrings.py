"""What the code says of its public functions and classes, beside their docstrings: types, and errors raised."""

import ast
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from architecture import PACKAGE

RULES = PACKAGE / "checks" / "rules"  # a rule's docstring has its own form and its own test (checks/rule.py)
INPUT_ERRORS = {"Invalid", "Faults"}  # of what people write; any other from a function called is a fault of ours
IMPOSSIBLE = {"AssertionError"}
Node = ast.FunctionDef | ast.ClassDef


@dataclass(frozen=True, slots=True, kw_only=True)
class Public:
    """A public function, method or class: where it stands, its docstring on one line, and itself in its module."""

    where: str
    says: str
    node: Node
    tree: ast.Module

    @property
    def types(self) -> str:
        """The annotations of what a function takes and gives, or of a class's fields."""
        if isinstance(self.node, ast.FunctionDef):
            return f"{ast.unparse(self.node.args)} {self.returns}"
        return " ".join(ast.unparse(field.annotation) for field in self.node.body if isinstance(field, ast.AnnAssign))

    @property
    def returns(self) -> str:
        """The annotation of what a function gives; of a class, nothing."""
        given = self.node.returns if isinstance(self.node, ast.FunctionDef) else None
        return ast.unparse(given) if given else ""

    @property
    def raised(self) -> set[str]:
        """Errors that are raised in it and in private functions that it calls, and errors of input that the public
        functions called there say they raise, but not where nothing is taken that could be wrong. Of a class, those on
        creation.
        """
        if isinstance(self.node, ast.FunctionDef):
            found = _raised(self.node, self.tree, ())
            return found if ast.unparse(self.node.args) else found - INPUT_ERRORS
        checks = [each for each in self.node.body if isinstance(each, ast.FunctionDef) and each.name == "__post_init__"]
        return set().union(*(_raised(each, self.tree, ()) for each in checks))


@cache
def publics(packages: Sequence[str]) -> tuple[Public, ...]:
    """Everything public of some packages, in the order of the files."""
    paths = [path for name in packages for path in sorted((PACKAGE / name).rglob("*.py")) if RULES not in path.parents]
    trees = {path.relative_to(PACKAGE).as_posix(): ast.parse(path.read_text(encoding="utf-8")) for path in paths}
    return tuple(each for where, tree in trees.items() for each in publics_of(tree, where))


def publics_of(tree: ast.Module, where: str) -> Iterator[Public]:
    """The public functions and classes of one module, and the methods of these classes."""
    for node in _named(tree.body):
        yield _public(node, node.name, tree, where)
        if isinstance(node, ast.ClassDef):
            yield from (_public(each, f"{node.name}.{each.name}", tree, where) for each in _named(node.body))


def _named(body: Sequence[ast.stmt]) -> list[Node]:
    return [node for node in body if isinstance(node, Node) and not node.name.startswith("_")]


def _public(node: Node, name: str, tree: ast.Module, where: str) -> Public:
    says = " ".join((ast.get_docstring(node) or "").split())
    return Public(where=f"{where}:{node.lineno}: {name}", says=says, node=node, tree=tree)


def said_errors(says: str) -> set[str]:
    """The errors after 'Raises' in a docstring."""
    return {name for sentence in re.findall(r"\bRaises\b([^.]*)", says) for name in re.findall(r"\b[A-Z]\w+", sentence)}


def _raised(node: ast.AST, tree: ast.Module, caught: tuple[str, ...]) -> set[str]:
    if isinstance(node, ast.Lambda):
        return set()  # whoever calls it meets them
    if isinstance(node, ast.Try):
        inside = caught + tuple(name for each in node.handlers for name in _names(each.type))
        tried = [_raised(each, tree, inside) for each in node.body]
        return set().union(*tried, *(_raised(each, tree, caught) for part in _after_try(node) for each in part))
    errors: set[str] = set()
    if isinstance(node, ast.Raise) and node.exc:
        errors = _names(node.exc.func if isinstance(node.exc, ast.Call) else node.exc)
    elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        errors = _raised_by(node.func.id, tree)
    if "Exception" in caught:
        errors = set()
    errors = {error for error in errors if error[0].isupper() and error not in (*caught, *IMPOSSIBLE)}
    return errors.union(*(_raised(each, tree, caught) for each in ast.iter_child_nodes(node)))


def _after_try(node: ast.Try) -> tuple[Sequence[ast.AST], ...]:
    return node.handlers, node.orelse, node.finalbody


def _raised_by(name: str, tree: ast.Module) -> set[str]:
    """What calling this name raises: of a private function of the module, all; of another module's, what it says."""
    own = {each.name: each for each in tree.body if isinstance(each, ast.FunctionDef) and each.name == name}
    if name in own and name.startswith("_"):
        rest = ast.Module(body=[each for each in tree.body if each is not own[name]], type_ignores=[])
        return _raised(own[name], rest, ())
    for each in tree.body:
        if isinstance(each, ast.ImportFrom) and each.module and each.module.startswith("everyrung."):
            for alias in each.names:
                if name == (alias.asname or alias.name):
                    return said_errors(_docstrings(each.module).get(alias.name, "")) & INPUT_ERRORS
    return set()


@cache
def _docstrings(module: str) -> dict[str, str]:
    path: Path = (PACKAGE.parent / module.replace(".", "/")).with_suffix(".py")
    if not path.exists():
        return {}
    nodes = _named(ast.parse(path.read_text(encoding="utf-8")).body)
    return {node.name: " ".join((ast.get_docstring(node) or "").split()) for node in nodes}


def _names(node: ast.expr | None) -> set[str]:
    return {each.id for each in ast.walk(node) if isinstance(each, ast.Name)} if node else set()
