"""The house as its code says it: modules, what they import, packages by layer, and the page docs/architecture.md.

The layers are the law that test_imports.py holds; everything else here is read from the code.
"""

import ast
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from html import escape
from pathlib import Path

TREE = Path(__file__).resolve().parents[2]
PACKAGE = TREE / "src" / "everyrung"
PAGE, PICTURE = TREE / "docs" / "architecture.md", TREE / "docs" / "pictures" / "architecture.svg"
BEGIN, END = "<!-- written by scripts/write_architecture.py -->\n", "<!-- end of what is written -->\n"
MOST_LINES = 500
# Upper layers may import lower ones, never those beside them.
LAYERS = [
    {"terms"},
    {"parsing", "plugins", "processes", "tables", "store"},
    {"executors"},
    {"moves", "voice"},
    {"plan", "body", "people"},
    {"timing"},
    {"effort", "cues", "score"},
    {"checks", "weeks"},
    {"room"},
    {"results"},
    {"pipeline"},
    {"interface"},
    {"runsheet"},
    {"compose", "proposals"},
    {"blocks"},
    {"publish"},
    {"lookback"},
    {"web"},
    {"cli"},
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Module:
    """One file: its name below everyrung ('' for the front door), its docstring's first sentence, what it imports."""

    name: str
    says: str
    lines: int
    loads: frozenset[str]  # modules below everyrung, as the file is imported
    asks: frozenset[str]  # the same, inside functions: imported when they are called

    @property
    def part(self) -> str:
        """The package, or the module at the top, to which it belongs."""
        return self.name.split(".")[0]


@cache
def modules() -> Mapping[str, Module]:
    """Every module by its name; a package's __init__ by the package's."""
    paths = {_name(path): path for path in sorted(PACKAGE.rglob("*.py"))}
    return {name: _module(name, path, paths) for name, path in paths.items()}


def _name(path: Path) -> str:
    return ".".join(path.relative_to(PACKAGE).with_suffix("").parts).removesuffix("__init__").removesuffix(".")


def _module(name: str, path: Path, known: Mapping[str, Path]) -> Module:
    text = path.read_text(encoding="utf-8")
    tree = ast.parse(text)
    at_load = set(_targets(_run_at_load(tree.body), known)) - {name}
    return Module(
        name=name,
        says=" ".join((ast.get_docstring(tree) or "").split("\n\n")[0].split()),
        lines=len(text.splitlines()),
        loads=frozenset(at_load),
        asks=frozenset(set(_targets(ast.walk(tree), known, _only_typed(tree))) - at_load - {name}),
    )


def _is_typing(node: ast.AST) -> bool:
    return isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING"


def _run_at_load(body: list[ast.stmt]) -> Iterator[ast.AST]:
    """Statements outside functions, without those for type checkers alone."""
    for node in body:
        if not (_is_typing(node) or isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)):
            yield node
            for field in ("body", "orelse", "handlers", "finalbody"):
                yield from _run_at_load(getattr(node, field, []))


def _only_typed(tree: ast.Module) -> set[ast.AST]:
    return {inner for node in ast.walk(tree) if _is_typing(node) for inner in ast.walk(node)}


def _targets(
    nodes: Iterator[ast.AST], known: Mapping[str, Path], without: set[ast.AST] | frozenset[ast.AST] = frozenset()
) -> Iterator[str]:
    """The modules below everyrung that imports among these nodes name."""
    for node in nodes:
        if node in without:
            continue
        names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("everyrung"):
            inner = [f"{node.module}.{alias.name}" for alias in node.names]
            names = [each if each.removeprefix("everyrung.") in known else node.module for each in inner]
        yield from (name.removeprefix("everyrung.") for name in names if name.removeprefix("everyrung.") in known)


def cycles(graph: Mapping[str, frozenset[str]]) -> list[tuple[str, ...]]:
    """Groups of names that can be reached from each other (Tarjan 1972, SIAM J Comput 1:146), each sorted."""
    order: dict[str, int] = {}
    low: dict[str, int] = {}
    stack: list[str] = []
    groups: list[tuple[str, ...]] = []

    def visit(name: str) -> None:
        order[name] = low[name] = len(order)
        stack.append(name)
        for other in sorted(graph.get(name, ())):
            if other not in order:
                visit(other)
            if other in stack:
                low[name] = min(low[name], low[other])
        if low[name] == order[name]:
            at = stack.index(name)
            group = tuple(sorted(stack[at:]))
            del stack[at:]
            if len(group) > 1:
                groups.append(group)

    for name in sorted(graph):
        if name not in order:
            visit(name)
    return groups


def packages() -> Mapping[str, frozenset[str]]:
    """What each package imports of the others, at load or when asked."""
    found: dict[str, set[str]] = {}
    for module in modules().values():
        if module.part:
            others = {modules()[name].part for name in module.loads | module.asks} - {module.part, ""}
            found.setdefault(module.part, set()).update(others)
    return {name: frozenset(others) for name, others in found.items()}


def reduced(graph: Mapping[str, frozenset[str]]) -> Mapping[str, frozenset[str]]:
    """The arrows that say all: none that a way over others says already. Of a graph without cycles."""

    @cache
    def below(name: str) -> frozenset[str]:
        return graph[name].union(*(below(other) for other in graph[name]))

    return {
        name: frozenset(other for other in others if not any(other in below(way) for way in others - {other}))
        for name, others in graph.items()
    }


def page(before: str) -> str:
    """The page with what is written from the code anew; the words around it stay."""
    start, _, rest = before.partition(BEGIN)
    _, _, end = rest.partition(END)
    return f"{start}{BEGIN}\n{''.join(_tables())}{END}{end}"


def _tables() -> Iterator[str]:
    for layer in reversed(LAYERS):
        for part in sorted(layer):
            yield f"### {part}\n\n{modules()[part].says}\n\n"
            rows = [one for name, one in modules().items() if one.part == part and name != part and one.says]
            if rows:
                yield "| Module | What it holds |\n|---|---|\n"
                yield from (f"| {one.name.removeprefix(f'{part}.')} | {one.says.replace('|', '/')} |\n" for one in rows)
                yield "\n"


WIDE, BOX, HIGH, ROW = 1100, 128, 34, 74  # units of the picture


def picture() -> str:
    """Packages in rows, the lowest layer below; an arrow goes from who imports to what is imported."""
    places, top = {}, 20
    for layer in reversed(LAYERS):
        gap = WIDE / len(layer)
        for at, part in enumerate(sorted(layer)):
            places[part] = (gap * (at + 0.5), top)
        top += ROW
    arrows = [
        _arrow(places[name], places[other])
        for name, others in sorted(reduced(packages()).items())
        for other in sorted(others)
    ]
    boxes = [
        f'<rect x="{x - BOX / 2:.0f}" y="{y}" width="{BOX}" height="{HIGH}" rx="5"/>'
        f'<text x="{x:.0f}" y="{y + 22}">{escape(part)}</text>'
        for part, (x, y) in sorted(places.items())
    ]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {top - 10}" role="img">\n'
        "<title>The packages of Everyrung by layer, with what each imports</title>\n"
        "<style>rect{fill:#fbf7ee;stroke:#22303a;stroke-width:1.5}"
        "text{font:16px sans-serif;text-anchor:middle;fill:#22303a}"
        "path{fill:none;stroke:#5c6f7b;stroke-width:1.3;marker-end:url(#tip)}</style>\n"
        '<rect width="100%" height="100%" style="fill:#ffffff;stroke:none"/>\n'
        '<marker id="tip" viewBox="0 0 8 8" refX="7" refY="4" markerWidth="8" markerHeight="8" orient="auto">'
        '<path d="M0 0 8 4 0 8z" style="fill:#5c6f7b;stroke:none"/></marker>\n'
        + "\n".join([*arrows, *boxes])
        + "\n</svg>\n"
    )


def _arrow(start: tuple[float, float], end: tuple[float, float]) -> str:
    """From the lower edge of a box to the upper edge of one below, bent aside where boxes between would hide it."""
    (x, y), (to_x, to_y) = start, end
    y += HIGH
    if to_y - y < ROW:
        return f'<path d="M{x:.0f} {y:.0f} L{to_x:.0f} {to_y:.0f}"/>'
    aside = (BOX * 0.9 if x >= WIDE / 2 else -BOX * 0.9) if abs(to_x - x) < BOX else 0
    return (
        f'<path d="M{x:.0f} {y:.0f} C{x + 2 * aside:.0f} {y + ROW:.0f} {to_x + 2 * aside:.0f} {to_y - ROW:.0f} '
        f'{to_x:.0f} {to_y:.0f}"/>'
    )
