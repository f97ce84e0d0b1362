"""Mutation tests: one change in the program at a time, and whether some test sees it.

    pip install '.[test,mutation]'
    nice -n 15 python scripts/mutate.py --sample 400          (packages effort, timing, plan, checks, cues)
    nice -n 15 python scripts/mutate.py --packages timing     (every place of one package)
    python scripts/mutate.py --report                         (the tables again, nothing is run)

Works in a copy outside the tree (--work), never in the tree. Place by place: cosmic-ray makes one change there, a fork
runs the records of the whole chain (tests/whole/test_records.py) and those files of the package's own tests that import
the changed module, until one fails. What nobody has seen is tried again with the files that import what imports it;
what only another package's tests would see counts as not seen. Every result is a line of results.jsonl at once: stopped
and started again with the same sample and seed, it goes on where it was.

What counts as a place: a comparison, an operator, a number, True or False, `and`, `or`, `not`, a minus, `break`,
`continue`, a loop that is not entered. One change a place, drawn by the seed. Not changed: texts (what a message says),
annotations and decorators (they fail on import, so they would only flatter), numbers of 100 or more, which would move
by less than a hundredth, `strict` of a zip, which only asserts, `if TYPE_CHECKING`, which no test runs, and `is` to
`==` between members of an enumeration.
docs/accuracy-tests.md has the results and every survivor with its reason.
"""

import argparse
import ast
import importlib
import json
import math
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path
from typing import Any

TREE = Path(__file__).resolve().parents[1]
PACKAGES = ("effort", "timing", "plan", "checks", "cues")
# Beside the package's own tests: the records that a package has a part in, the quickest first, and two files more.
RECORDS = "tests/whole/test_records.py::test_the_chain_says_what_it_said"
_CHAIN = ("many-sided", "in-waves", "faulty", "seated-30", "boathouse-30")
_TEXTS = ("rules", "spoilt", "limits", "edits", "waves")
RECORDED_OF = {
    "plan": (*_CHAIN, "sums", *_TEXTS),
    "timing": (*_CHAIN, "ways", *_TEXTS),
    "effort": ("values", "sums", "people", *_CHAIN, "forecast"),
    "cues": ("values", "stances", *_CHAIN),
    "checks": ("rules", "ladders", *_CHAIN, "ways", "limits", "forecast"),
}
WHOLE = ("tests/whole/test_reference_session.py", "tests/whole/test_examples.py")
LEFT_OUT = ("tests/plan/test_mutations.py",)  # sees tracebacks, not values, and takes longer than all others of plan
SKIPPED_OPERATORS = (
    *("RemoveDecorator", "NoOp", "VariableReplacer", "VariableInserter", "ExceptionReplacer"),
    *("Operator_Is_Eq", "Operator_IsNot_NotEq"),  # no change at all: what is compared so are members of enumerations
)
LARGE = 100  # numbers from here on are left alone
# What the layers of tests/shape/test_imports.py put above each package, and it itself.
_TOP = {"pipeline", "compose", "publish", "web", "cli"}
ABOVE = {
    "plan": {"plan", "timing", "effort", "cues", "checks", *_TOP},
    "timing": {"timing", "effort", "cues", "checks", *_TOP},
    "effort": {"effort", "checks", *_TOP},
    "cues": {"cues", "checks", *_TOP},
    "checks": {"checks", *_TOP},
}
UNREAD = {"publish", "web", "cli", "migrations"}  # not imported beforehand: hardly a test here reads them
LONGEST_S = 600.0  # chosen, as ten times what all of a package's tests take; what takes longer counts as seen


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """One change: which file and line, the operator of cosmic-ray and its occurrence in the file."""

    module: str
    line: int
    column: int
    operator: str
    occurrence: int

    @property
    def package(self) -> str:
        return self.module.split("/")[2]

    @property
    def key(self) -> str:
        return f"{self.module}:{self.line}:{self.column} {self.operator} {self.occurrence}"


def copied(work: Path) -> Path:
    """The tree's own files in the work folder, written once."""
    copy = work / "copy"
    if not copy.exists():
        names = subprocess.run(["git", "ls-files"], cwd=TREE, capture_output=True, text=True, check=True).stdout.split(
            "\n"
        )
        for name in filter(None, names):
            target = copy / name
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(TREE / name, target)
        shutil.copytree(copy / "src", work / "unchanged")
    else:  # a run that was killed may have left a change behind
        shutil.copytree(work / "unchanged", copy / "src", dirs_exist_ok=True)
    return copy


# ---- which tests for which module ------------------------------------------------------------------------------------


def tests_of(copy: Path, module: str, *, further: bool) -> list[str]:
    """The records that the module has a part in, then the files of its package's tests that have its name or import it;
    `further`, those that import what imports it, themselves or by their conftest.py.
    """
    package = module.split("/")[2]
    found = [f"{RECORDS}[{name}]" for name in RECORDED_OF[package]]
    importers = {module_name(module)}
    while further:
        above = {
            module_name(str(path.relative_to(copy)))
            for path in (copy / "src" / "everyrung" / package).glob("*.py")
            if imported(path) & importers
        }
        if above <= importers:
            break
        importers |= above
    files = sorted((copy / "tests" / package).glob("test_*.py"), key=lambda each: each.stat().st_size)
    shared = imported(copy / "tests" / package / "conftest.py") if further else frozenset()
    mine = [
        str(path.relative_to(copy))
        for path in files
        if path.stem == f"test_{Path(module).stem}" or (imported(path) | shared) & importers
    ]
    return [each for each in [*found, *mine, *(WHOLE if further else ())] if each not in LEFT_OUT]


def module_name(path: str) -> str:
    return path.removeprefix("src/").removesuffix(".py").replace("/", ".")


@cache
def imported(path: Path) -> frozenset[str]:
    """The modules that a file imports, or imports from."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8") if path.exists() else "")):
        if isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
        elif isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
    return frozenset(found)


# ---- places ----------------------------------------------------------------------------------------------------------


def places(copy: Path, packages: list[str], seed: int) -> list[Place]:
    """One change for every place of these packages, drawn by the seed."""
    from cosmic_ray.ast import ast_nodes, get_ast_from_path
    from cosmic_ray.plugins import get_operator, operator_names

    operators = {name: get_operator(name) for name in operator_names() if not name.endswith(SKIPPED_OPERATORS)}
    operators = {name: found() for name, found in operators.items() if not found.arguments()}
    draw, chosen = random.Random(seed), []
    for package in packages:
        for path in sorted((copy / "src" / "everyrung" / package).glob("*.py")):
            module, shut = str(path.relative_to(copy)), untouched(path)
            ways: dict[tuple[int, int], list[Place]] = defaultdict(list)
            nodes = list(ast_nodes(get_ast_from_path(path)))
            for name, operator in operators.items():
                starts = (start for node in nodes for start, _ in operator.mutation_positions(node))
                for occurrence, (line, column) in enumerate(starts):
                    if not any(begin <= (line, column) < end for begin, end in shut):
                        one = Place(module=module, line=line, column=column, operator=name, occurrence=occurrence)
                        ways[line, column].append(one)
            chosen += [draw.choice(ways[at]) for at in sorted(ways)]
    return chosen


def untouched(path: Path) -> list[tuple[tuple[int, int], tuple[int, int]]]:
    """Where nothing is changed: annotations, decorators, large numbers."""
    tree, found = ast.parse(path.read_text(encoding="utf-8")), []
    for node in ast.walk(tree):
        left = [getattr(node, name, None) for name in ("annotation", "returns")]
        left += list(getattr(node, "decorator_list", ()))
        left += [each.value for each in getattr(node, "keywords", ()) if each.arg == "strict"]
        left += [node.test] if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING" else []
        if isinstance(node, ast.Constant) and isinstance(node.value, int | float) and abs(node.value) >= LARGE:
            left.append(node)
        if isinstance(node, ast.Assign) and isinstance(node.value, ast.BinOp | ast.Subscript) and node in tree.body:
            left += [node.value] if is_type(node.value) else []
        found += [((e.lineno, e.col_offset), (e.end_lineno or 0, e.end_col_offset or 0)) for e in left if e is not None]
    return found


def is_type(node: ast.expr) -> bool:
    """`Grip = Mass | None`: a name for a type."""
    if isinstance(node, ast.BinOp):
        return isinstance(node.op, ast.BitOr) and is_type(node.left) and is_type(node.right)
    named = isinstance(node, ast.Name) and node.id[:1].isupper() and not node.id.isupper()
    return named or isinstance(node, ast.Subscript) or (isinstance(node, ast.Constant) and node.value is None)


def sampled(every: list[Place], count: int, seed: int) -> list[Place]:
    """A sample in proportion to the places of each package, in an order that mixes them; all of them for 0."""
    draw, by_package = random.Random(seed), defaultdict(list)
    for one in every:
        by_package[one.package].append(one)
    chosen = []
    for package in sorted(by_package):
        share = round(count * len(by_package[package]) / len(every)) if count else len(by_package[package])
        chosen += draw.sample(by_package[package], min(share, len(by_package[package])))
    draw.shuffle(chosen)
    return chosen


# ---- one change after the other --------------------------------------------------------------------------------------


def preload(copy: Path) -> None:
    """What is slow to import and is not changed, once for all forks: libraries, the program, its bodies and moves."""
    import hypothesis  # noqa: F401
    import ortools.sat.python.cp_model  # noqa: F401
    import pytest  # noqa: F401
    import scipy.integrate
    import scipy.sparse  # noqa: F401

    sys.path.insert(0, str(copy / "src"))
    for path in sorted((copy / "src" / "everyrung").glob("*/**/*.py")):
        name = ".".join(path.relative_to(copy / "src").with_suffix("").parts).removesuffix(".__init__")
        if not UNREAD & set(name.split(".")):
            importlib.import_module(name)
    from everyrung.body.bodies import body_model
    from everyrung.body.reference_grid import reference_grid
    from everyrung.moves.library import standard_library

    standard_library()
    for size in reference_grid():
        body_model(size)


def forget(package: str) -> None:
    """In the fork: the changed package and what may have read it are imported anew; what lies below stays."""
    above = ABOVE[package]
    for name in [each for each in sys.modules if each.startswith("everyrung.")]:
        if name.split(".")[1] in above:
            del sys.modules[name]
            parent, _, short = name.rpartition(".")
            if parent in sys.modules and hasattr(sys.modules[parent], short):
                delattr(sys.modules[parent], short)


class Tests:
    """Runs tests in forks; knows which fail with nothing changed, from which nothing can be learned."""

    def __init__(self, work: Path, copy: Path) -> None:
        self.copy, self.failed = copy, work / "failed"
        self.sound: dict[str, bool] = {}

    def see(self, package: str, tests: list[str]) -> tuple[str, str]:
        """What became of a change (killed, survived, late), and the first test that failed."""
        while True:
            tests = [each for each in tests if self.sound.get(each, True)]
            became, test = self._in_a_fork(package, tests) if tests else ("survived", "")
            if became != "killed" or not test or self._sound(package, test, tests):
                return became, test

    def _sound(self, package: str, test: str, tests: list[str]) -> bool:
        """Whether a test passes with nothing changed; asked while a change is there, so that is put back first."""
        asked = next(each for each in tests if test == each or test.startswith(f"{each}::"))
        if asked not in self.sound:
            with unchanged(self.copy):
                self.sound[asked] = self._in_a_fork(package, [asked])[0] == "survived"
            if not self.sound[asked]:
                print(f"fails with nothing changed, so it is left out: {asked}", file=sys.stderr)
        return self.sound[asked]

    def _in_a_fork(self, package: str, tests: list[str]) -> tuple[str, str]:
        self.failed.write_text("", encoding="utf-8")
        child = os.fork()
        if not child:
            os.setpgid(0, 0)
            forget(package)
            self._run(tests)
        until = time.monotonic() + LONGEST_S
        while time.monotonic() < until:
            done, status = os.waitpid(child, os.WNOHANG)
            if done:
                killed = os.waitstatus_to_exitcode(status) != 0
                return "killed" if killed else "survived", self.failed.read_text(encoding="utf-8")
            time.sleep(0.05)
        os.killpg(child, signal.SIGKILL)
        os.waitpid(child, 0)
        return "late", ""

    def _run(self, tests: list[str]) -> None:
        """In the fork; does not come back."""
        import hypothesis
        import pytest

        code = 1
        try:
            os.chdir(self.copy)
            sys.dont_write_bytecode = True
            nothing = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nothing, 1)
            os.dup2(nothing, 2)
            os.environ["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"  # no test here asks for a browser or the like
            hypothesis.settings.register_profile(
                "here", deadline=None, derandomize=True
            )  # a busy machine is no failure
            hypothesis.settings.load_profile("here")
            asked = [*tests, "-x", "-q", "-m", "not slow", "-p", "no:cacheprovider"]
            code = int(pytest.main(asked, plugins=[self]))
        finally:
            os._exit(code)

    def pytest_runtest_logreport(self, report: Any) -> None:
        if report.failed:
            self.failed.write_text(report.nodeid, encoding="utf-8")


@contextmanager
def changed(path: Path, text: str) -> Iterator[None]:
    """The file with other text for a while."""
    before = path.read_text(encoding="utf-8")
    path.write_text(text, encoding="utf-8")
    try:
        yield
    finally:
        path.write_text(before, encoding="utf-8")


@contextmanager
def unchanged(copy: Path) -> Iterator[None]:
    """The one changed file as it is in the tree, for a while."""
    sources = copy.parent / "unchanged"
    found = [each for each in sources.rglob("*.py") if each.read_bytes() != _copied(copy, sources, each).read_bytes()]
    with ExitStack() as stack:
        for each in found:
            stack.enter_context(changed(_copied(copy, sources, each), each.read_text(encoding="utf-8")))
        yield


def _copied(copy: Path, sources: Path, path: Path) -> Path:
    return copy / "src" / path.relative_to(sources)


def tried(tests: Tests, place: Place, files: list[str]) -> dict[str, str]:
    """What became of one change, the test that saw it first, and the change as two lines."""
    from cosmic_ray.mutating import mutate_code
    from cosmic_ray.plugins import get_operator

    path = tests.copy / place.module
    before = path.read_text(encoding="utf-8")
    after = mutate_code(before, get_operator(place.operator)(), place.occurrence)
    if after is None or after == before:
        return {"became": "none", "change": "", "test": ""}
    lines = zip(before.split("\n"), after.split("\n"), strict=False)
    change = next(f"{a.strip()}  ->  {b.strip()}" for a, b in lines if a != b)
    with changed(path, after):
        became, test = tests.see(place.package, files)
    return {"became": became, "change": change, "test": test}


# ---- what came of it -------------------------------------------------------------------------------------------------


def results(work: Path) -> list[dict]:
    """The last result of every place."""
    path = work / "results.jsonl"
    lines = path.read_text(encoding="utf-8").splitlines() if path.exists() else []
    return list({one["key"]: one for one in map(json.loads, lines)}.values())


def between(part: int, of: int) -> tuple[float, float]:
    """The 95 % interval of Wilson (1927) for a share, per cent."""
    z, p = 1.96, part / of
    middle, width = p + z * z / 2 / of, z * math.sqrt(p * (1 - p) / of + z * z / 4 / of / of)
    return tuple(100 * (middle + side * width) / (1 + z * z / of) for side in (-1, 1))


def report(found: list[dict]) -> None:
    print(
        "| package or module | changes | seen | of them late | not seen | seen, % (95 %) |\n|---|---|---|---|---|---|"
    )
    groups: dict[str, list[dict]] = defaultdict(list)
    for one in found:
        module = one["module"].removeprefix("src/everyrung/")
        for name in ("all", module.split("/")[0], module):
            groups[name].append(one)
    for name in sorted(groups, key=lambda each: (each != "all", each)):
        each = groups[name]
        alive, late = (sum(one["became"] == word for one in each) for word in ("survived", "late"))
        low, high = between(len(each) - alive, len(each))
        share = f"{100 * (1 - alive / len(each)):.0f} ({low:.0f} to {high:.0f})"
        print(f"| {name} | {len(each)} | {len(each) - alive} | {late} | {alive} | {share} |")
    print()
    for one in sorted(found, key=lambda each: (each["module"], each["line"])):
        if one["became"] == "survived":
            print(f"- `{one['module'].removeprefix('src/everyrung/')}:{one['line']}` `{one['change']}`")


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--packages", nargs="+", default=list(PACKAGES), choices=PACKAGES)
    parser.add_argument("--sample", type=int, default=0, help="so many places, in proportion (0: every place)")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=math.inf, help="stop after so many, to go on another time")
    parser.add_argument("--work", type=Path, default=Path(tempfile.gettempdir()) / "everyrung-mutations")
    parser.add_argument("--report", action="store_true")
    asked = parser.parse_args()
    asked.work.mkdir(parents=True, exist_ok=True)
    if not asked.report:
        run(asked)
    report([one for one in results(asked.work) if one["became"] != "none"])


def run(asked: argparse.Namespace) -> None:
    until = time.monotonic() + 60 * asked.minutes
    copy = copied(asked.work)
    preload(copy)
    chosen = sampled(places(copy, asked.packages, asked.seed), asked.sample, asked.seed)
    tests = Tests(asked.work, copy)
    for further in (False, True):
        known = {one["key"]: one for one in results(asked.work)}
        for number, place in enumerate(chosen):
            last = known.get(place.key)
            if last and (last["became"] != "survived" or last["further"] >= further):
                continue
            if time.monotonic() > until:
                return
            files = tests_of(copy, place.module, further=further)
            if further:
                files = [each for each in files if each not in tests_of(copy, place.module, further=False)]
            result = tried(tests, place, files)
            note(asked.work, place, further=further, **result)
            print(
                f"{number + 1}/{len(chosen)} {result['became']} {place.key} {result['test']}",
                file=sys.stderr,
                flush=True,
            )


def note(work: Path, place: Place, **what: object) -> None:
    with (work / "results.jsonl").open("a", encoding="utf-8") as file:
        file.write(json.dumps({**asdict(place), "key": place.key, **what}) + "\n")


if __name__ == "__main__":
    main()
