"""Plain English in what we write: old habits do not come back, and names are nouns and verbs, not participles."""

import ast
import re
import tokenize
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from architecture import PACKAGE, TREE

# A habit and its plain form. Each stood in our texts, mostly translated word by word from another language.
HABITS = {
    r"hang(s|ing)? on\b(?!e)": "depends on",
    r"reckon(s|ed|ing)?": "computes, adds up, estimates",
    r"so many (as|of so many)|of so many|(for|at|with|on|in|when) so many": "this many, `count`, how many",
    r"(is|are|be|was|were) told (with|as|once|in|by|on)\b": "is reported, written, shown",
    r"told how many of how many": "is called with how many are done, of how many",
    r"gone on with|go(es)? on with": "resumed, continues",
    r"(what )?came of (it|writing|them)": "the result",
    r"nought": "zero",
    r"hitherto|whence|wherefore|thereof|therein|albeit": "so far, from where, why, of it, in it, although",
    r"makes? use of": "uses",
    r"in the wise of|in such wise": "in this way",
    r"errands?": "job",
    r"painless(ly)?": "pain-free, no pain",
    r"load (it|the page) anew": "reload",
    r"made up for": "(say what to do: don't try to catch up)",
    r"more,? less grave|and less grave": "less serious",
    r"it is to be (noted|said|seen)": "(leave it out)",
}
PARTICIPLE = re.compile(
    "begun|bound|broken|brought|built|caught|chosen|done|drawn|driven|found|given|gone|heard|held|kept|known|laid|led|lent"
    "|lost|made|meant|met|paid|said|seen|sent|shown|sold|spent|spoken|taken|taught|thought|thrown|told|understood|worn|written"
    "|[a-z]+ed"
)
# Nouns, adjectives and verbs of the trade that end in -ed or are spelt like a participle.
NO_PARTICIPLE = {
    "bound",
    "cut",
    "embed",
    "expected",  # what a fault expected: Fault.expected, Invalid.expected
    "feed",
    "left",
    "lopsided",
    "need",
    "put",
    "read",
    "red",
    "seed",
    "set",
    "shed",
    "speed",
    "spread",
    "sided",
    "wed",
}
PARTS = sorted(
    path.stem for path in PACKAGE.iterdir() if path.suffix == ".py" or (path / "__init__.py").exists()
)  # packages, and modules outside them, in which parameters, local names and attributes are no participles either
# Attributes that stay, by package: keys or columns of what is stored, names in templates or of the public interface.
STORED = {
    "effort": {"taken"},  # of a KnownPerson: as of the advice on a card, which is stored
    "publish": {"found", "gained", "kept", "listed", "lost", "said", "taken", "turned"},  # of templates and the player
    "lookback": {"enabled"},  # of a clip, as OpenTimelineIO calls it
    "runsheet": {"advised", "measured", "met", "timed"},  # of the schema
    "store": {"archived", "asked", "cancelled", "finished", "folded", "sealed"},  # columns
    # Of demands, forecasts, poses, plans and cues: stored, in the JSON, shown by templates or read from move files.
    "terms": {"added", "asked", "failed", "given", "measured", "met", "said", "seen", "stretched", "taken", "wanted"}
    | {"advised", "broken", "moved", "shared", "tethered"},
    "timing": {"gained", "kept", "lost"},  # of a Refit: keys of the JSON; on the page on Python
    "web": {"advised", "finished", "known"},  # of the run sheet, a column, a field of a form
}


@cache
def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def prose() -> Iterator[tuple[str, int, str]]:
    """Comments, docstrings and other texts of the code; pages; and words of templates: file, line, text."""
    for path in sorted(PACKAGE.rglob("*.py")):
        with path.open("rb") as file:
            for token in tokenize.tokenize(file.readline):
                if token.type in (tokenize.COMMENT, tokenize.STRING):
                    for at, line in enumerate(token.string.splitlines()):
                        yield path.relative_to(TREE).as_posix(), token.start[0] + at, line
    pages = [*TREE.glob("docs/*.md"), TREE / "README.md", *PACKAGE.rglob("templates/*.html")]
    for path in sorted(pages):
        for at, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            yield path.relative_to(TREE).as_posix(), at, line


def participles() -> set[str]:
    """Names of functions, methods, classes and modules that are one participle: `found`, `_made`, `Told`."""
    names = {path.stem for path in PACKAGE.rglob("*.py")}
    for path in PACKAGE.rglob("*.py"):
        tree = tree_of(path)
        names |= {node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.ClassDef)}
    return {name for name in names if is_participle(name)}


def inner_names(tree: ast.AST) -> Iterator[tuple[str, bool]]:
    """What is named inside functions and classes, and whether it is a field or an attribute, or else a parameter or a
    local name.
    """
    classes = [node for node in ast.walk(tree) if isinstance(node, ast.ClassDef)]
    fields = {each.target for node in classes for each in node.body if isinstance(each, ast.AnnAssign)}
    for node in ast.walk(tree):
        match node:
            case ast.Attribute(attr=name, ctx=ast.Store()):
                yield name, True
            case (
                ast.arg(arg=name)
                | ast.Name(id=name, ctx=ast.Store())
                | ast.ExceptHandler(name=str(name))
                | ast.MatchAs(name=str(name))
                | ast.MatchStar(name=str(name))
                | ast.alias(asname=str(name))
            ):
                yield name, node in fields


def inner_participles(package: str) -> Iterator[tuple[str, str, bool]]:
    """File, name and whether it is an attribute, of a package's or a module's inner names that are one participle."""
    for path in sorted((PACKAGE / package).rglob("*.py")) or [PACKAGE / f"{package}.py"]:
        for name, is_attribute in inner_names(tree_of(path)):
            if is_participle(name):
                yield path.relative_to(PACKAGE).as_posix(), name, is_attribute


def is_participle(name: str) -> bool:
    word = name.strip("_")
    one_word = word[1:].islower()  # neither TwoWords nor two_words
    return one_word and word.lower() not in NO_PARTICIPLE and PARTICIPLE.fullmatch(word.lower()) is not None


def test_old_habits_do_not_come_back() -> None:
    texts = list(prose())
    assert {"docs/tutorial.md", "src/everyrung/pipeline.py", "src/everyrung/web/templates/write.html"} <= {
        file for file, _, _ in texts
    }
    habits = {re.compile(rf"\b(?:{pattern})\b", re.IGNORECASE): plain for pattern, plain in HABITS.items()}
    seen = [
        f"{file}:{at}: {match[0]!r}; write: {plain}"
        for file, at, line in texts
        for pattern, plain in habits.items()
        for match in pattern.finditer(line)
    ]
    assert seen == []


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("found", True),
        ("_made", True),
        ("Told", True),
        ("calibrated", True),
        ("ProcessEnded", False),
        ("need", False),
        ("rung_demand", False),
        ("solve", False),
    ],
)
def test_a_participle_is_known(name: str, expected: bool) -> None:
    assert is_participle(name) is expected


def test_no_function_class_or_module_has_a_participle_for_its_name() -> None:
    assert sorted(participles()) == []


@pytest.mark.parametrize(
    ("code", "is_attribute"),
    [
        ("def f(found): ...", False),
        ("def f(*, found=1): ...", False),
        ("f = lambda found: 1", False),
        ("found = 1", False),
        ("first, (*found, last) = rows", False),
        ("rows = [1 for found in rows]", False),
        ("for found in rows: ...", False),
        ("with f() as found: ...", False),
        ("try: ...\nexcept ValueError as found: ...", False),
        ("f(found := 1)", False),
        ("match row:\n    case [int() as found]: ...", False),
        ("match row:\n    case [1, *found]: ...", False),
        ("import row as found", False),
        ("class Row:\n    found: int", True),
        ("class Row:\n    def __init__(self): self.found = 1", True),
        ("class Row:\n    def f(self):\n        found: int = 1", False),
    ],
)
def test_a_name_inside_is_seen(code: str, is_attribute: bool) -> None:
    assert [each for each in inner_names(ast.parse(code)) if each[0] == "found"] == [("found", is_attribute)]


@pytest.mark.parametrize("code", ["row.found()", "f(found=1)", "f(found)", "del row['found']"])
def test_what_is_only_used_is_no_name_of_ours(code: str) -> None:
    assert "found" not in dict(inner_names(ast.parse(code)))


@pytest.mark.parametrize("package", PARTS)
def test_no_parameter_local_name_or_attribute_is_a_participle(package: str) -> None:
    stays = STORED.get(package, set())
    seen = list(inner_participles(package))
    assert [f"{file}: {name}" for file, name, is_attribute in seen if not (is_attribute and name in stays)] == []
    assert {name for _, name, _ in seen} == stays  # none is on the list that is not there any more
