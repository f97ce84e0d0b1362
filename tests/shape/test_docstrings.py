"""What the docstrings of public functions and classes say beyond the signature, as far as it can be read off the code:
something of its own, the axes of arrays, the units of numbers, the errors, the sources by key; and that examples run.
"""

import ast
import doctest
import re
from importlib import import_module

import pytest
from architecture import PACKAGE, TREE
from docstrings import Public, publics, publics_of, said_errors

PACKAGES = ("timing", "effort", "plan", "cues", "checks", "body")
LEAST_EXAMPLES = 3  # functions with an example a package; chosen
LEAST_NEWS = 2  # words that the signature has not; chosen, because with one it can still be an adjective

ARRAYS = re.compile(r"\b(NDArray|Array|Counts|Ended|Flags|Names|Vector)\b")  # and the names that packages have for them
AXIS = "body|caution|load|motion|muscle|offer|person|phase|point|repetition|rung"
AXES = re.compile(rf"\b(axis|axes)\b|\b(by|an?|each|every) ({AXIS})\b|\(({AXIS})[,):]", re.IGNORECASE)
UNITS = re.compile(
    r"\b(ms|milliseconds?|s|seconds?|minutes?|kg|kilograms?|m|mm|cm|rad|degrees?|N m|N|W|joules|METs?|kcal|beats)\b"
    r"|\b(1/s|years?)\b|%"
    r"|\b(?i:points|units?|parts?|shares?|fractions?|factors?|ratios?|times|multipl\w+|repetitions?|logarithms?)\b"
)
UNIT_IN_NAME = re.compile(r"_(ms|s|kg|m|met|bpm|kcal|share|reps|seconds|factors?|part)$")
AUTHOR_YEAR = re.compile(r"\b[A-Z][a-z]+(?: and [A-Z][\w-]+| et al\.?)?,? ((?:19|20)\d\d)\b")
KEY = re.compile(r"\b[a-z]+(?:19|20)\d\d[a-z]*\b")
KEYS = set(re.findall(r"^@\w+\{(\w+),", (TREE / "REFERENCES.bib").read_text(encoding="utf-8"), re.MULTILINE))
NO_NEWS = set(re.findall(r"\w+", "a an and as at by for from in is it its of on or that the this to with what which"))


def test_every_public_name_says_something_of_its_own() -> None:
    found = publics(PACKAGES)
    assert len(found) > 20
    assert [each.where for each in found if len(news(each)) < LEAST_NEWS] == []


def news(public: Public) -> set[str]:
    """The words of a docstring that neither the name, nor the arguments, nor the types have already."""
    name = public.where.rsplit(": ", 1)[1]
    head = public.types if isinstance(public.node, ast.FunctionDef) else ""
    return _words(public.says) - _words(f"{name} {head}") - NO_NEWS


def _words(text: str) -> set[str]:
    """Plain words without their plural s, also of names in either case."""
    parts = re.findall(r"[a-z]+|\d+", re.sub(r"([a-z])([A-Z])", r"\1 \2", text).lower())
    return {part.removesuffix("s") for part in parts}


def test_arrays_name_their_axes() -> None:
    assert [each.where for each in publics(PACKAGES) if ARRAYS.search(each.types) and not AXES.search(each.says)] == []


def test_numbers_have_their_unit_in_the_name_or_in_the_docstring() -> None:
    assert [each.where for each in publics(PACKAGES) if is_number(each) and not has_unit(each)] == []


def is_number(public: Public) -> bool:
    return re.search(r"\b(float|Array)\b", public.returns) is not None


def has_unit(public: Public) -> bool:
    return bool(UNIT_IN_NAME.search(public.node.name) or UNITS.search(public.says))


def test_what_is_raised_is_said() -> None:
    silent = [(each.where, sorted(each.raised - said_errors(each.says))) for each in publics(PACKAGES)]
    assert [(where, errors) for where, errors in silent if errors] == []


def test_sources_are_named_by_their_key() -> None:
    wrong = [(each.where, unsourced(each.says)) for each in publics(PACKAGES)]
    assert [(where, sources) for where, sources in wrong if sources] == []


def unsourced(says: str) -> list[str]:
    """Keys that REFERENCES.bib lacks, and authors with a year whose key is not beside them."""
    keys = set(KEY.findall(says))
    years = {re.sub(r"\D", "", key) for key in keys & KEYS}
    return [*sorted(keys - KEYS), *(source[0] for source in AUTHOR_YEAR.finditer(says) if source[1] not in years)]


def modules_with_examples() -> list[str]:
    paths = [path for path in sorted(PACKAGE.rglob("*.py")) if ">>> " in path.read_text(encoding="utf-8")]
    return [path.relative_to(PACKAGE.parent).with_suffix("").as_posix().replace("/", ".") for path in paths]


@pytest.mark.parametrize("module", modules_with_examples())
def test_the_examples_in_the_docstrings_run(module: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(TREE)
    failed, tried = doctest.testmod(import_module(module))
    assert tried > 0
    assert failed == 0


@pytest.mark.parametrize("package", PACKAGES)
def test_each_package_has_examples(package: str) -> None:
    shown = [each for each in publics(PACKAGES) if each.where.startswith(f"{package}/") and ">>> " in each.says]
    assert len(shown) >= LEAST_EXAMPLES


SILENT = '''
from everyrung.terms.errors import require

def peak_load(loads: Array, session: Session) -> Array:
    """The peak load of the loads of a session (Borges 1989)."""
    require(True, "loads", "some", loads)
    _check(loads)

def usual_load() -> float:
    """One of 20 kg, which nobody can write wrong."""
    return require(True, "loads", "some", 20.0)

def _check(loads):
    try:
        raise KeyError("caught here")
    except KeyError:
        raise TypeError("not caught")
'''
FULL = "The highest of some loads, a part of strength by person (borges1989). Raises Invalid or TypeError for none."


def test_a_docstring_that_says_no_more_than_the_signature_is_seen() -> None:
    silent, usual = publics_of(ast.parse(SILENT), "here.py")
    full, _ = publics_of(ast.parse(SILENT.replace(silent.says, FULL)), "here.py")
    assert silent.raised == full.raised == {"Invalid", "TypeError"}
    assert usual.raised == set()
    assert ARRAYS.search(silent.types)
    assert is_number(silent)
    assert news(silent) == {"borge", "1989"}
    assert len(news(full)) > LEAST_NEWS
    assert [bool(AXES.search(each.says)) for each in (silent, full)] == [False, True]
    assert [has_unit(each) for each in (silent, full)] == [False, True]
    assert [said_errors(each.says) for each in (silent, full)] == [set(), {"Invalid", "TypeError"}]
    assert [unsourced(each.says) for each in (silent, full)] == [["Borges 1989"], []]
