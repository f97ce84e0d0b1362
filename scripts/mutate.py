"""Mutation tests: one change in the program at a time, and whether some test sees it.

    pip install '.[test,mutation]'
    nice -n 15 python scripts/mutate.py --sample 400          (packages effort, timing, plan, checks, cues)
    nice -n 15 python scripts/mutate.py --packages timing     (every place of one package)
    python scripts/mutate.py --report                         (the tables again, nothing is run)

Works in a copy outside the tree (--work), never in the tree. First the packages' tests (and three of the whole chain)
run once under coverage, each in a context of its own, so that it is known which tests go through which line; what only
another package's tests would see counts as not seen. Then, place by place: cosmic-ray makes one change there, a fork
runs the tests that go through that line, quickest first, until one fails; what has not been seen within BUDGET_S is
tried again with more tests, up to AGAIN_S. Every result is a line of results.jsonl at once: stopped and started again
with the same sample and seed, it goes on where it was.

What counts as a place: a comparison, an operator, a number, True or False, `and`, `or`, `not`, a minus, `break`,
`continue`, a loop that is not entered. One change a place, drawn by the seed. Not changed: texts (what a message says),
annotations and decorators (they fail on import, so they would only flatter), and numbers of 100 or more, which would
move by less than a hundredth. docs/accuracy-tests.md has the results and every survivor with its reason.
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
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from pathlib import Path

TREE = Path(__file__).resolve().parents[1]
PACKAGES = ("effort", "timing", "plan", "checks", "cues")
# Beside the package's own tests.
WHOLE = tuple(f"tests/whole/test_{name}.py" for name in ("reference_session", "examples", "records"))
LEFT_OUT = ("tests/plan/test_mutations.py",)  # sees tracebacks, not values, and takes longer than all others of plan
SKIPPED_OPERATORS = ("RemoveDecorator", "NoOp", "VariableReplacer", "VariableInserter", "ExceptionReplacer")
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
BUDGET_S = 30.0  # of processor time of tests a place, as they took under coverage; chosen: most is seen in five
AGAIN_S = 120.0  # likewise, for what was not seen by then: mostly all tests that go through the line
LONGEST_S = 600.0  # chosen, as five times that on a busy machine; what takes longer counts as seen


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


# ---- which tests go through which line -------------------------------------------------------------------------------


class Recorder:
    """A plugin of pytest: a context of coverage a test, and how long each took."""

    def __init__(self, coverage: object) -> None:
        self.coverage, self.seconds, self.began = coverage, defaultdict(float), 0.0
        self.failing: set[str] = set()

    def pytest_runtest_setup(self, item: object) -> None:
        self.coverage.switch_context(function_of(item.nodeid))
        self.began = time.process_time()  # the machine may be busy with other things

    def pytest_runtest_logfinish(self, nodeid: str) -> None:
        self.seconds[function_of(nodeid)] += time.process_time() - self.began

    def pytest_runtest_logreport(self, report: object) -> None:
        if report.failed:
            self.failing.add(function_of(report.nodeid))


def function_of(nodeid: str) -> str:
    """A test without its parameters, which all run together; those of the whole chain each alone."""
    return nodeid if nodeid.startswith(WHOLE) else nodeid.split("[")[0]


def record(copy: Path, work: Path) -> None:
    """Runs the fast tests once; leaves lines.json: tests by module and line, and their seconds."""
    import coverage
    import pytest

    os.chdir(copy)
    sys.path.insert(0, str(copy / "src"))
    watch = coverage.Coverage(data_file=str(work / "coverage"), source=[f"src/everyrung/{each}" for each in PACKAGES])
    recorder = Recorder(watch)
    asked = [*(f"tests/{each}" for each in PACKAGES), *WHOLE, *(f"--ignore={each}" for each in LEFT_OUT)]
    watch.start()
    code = pytest.main([*asked, "-q", "-m", "not slow", "-p", "no:cacheprovider"], plugins=[recorder])
    watch.stop()
    if code not in (pytest.ExitCode.OK, pytest.ExitCode.TESTS_FAILED):
        raise SystemExit("the tests could not be run")
    if recorder.failing:
        print("fail as they are, so nothing can be learned from them:", *recorder.failing, sep="\n", file=sys.stderr)
    lines: dict[str, dict[int, list[str]]] = {}
    data = watch.get_data()
    for name in data.measured_files():
        contexts = data.contexts_by_lineno(name).items()
        lines[str(Path(name).relative_to(copy))] = {
            at: [test for test in tests if test and test not in recorder.failing] for at, tests in contexts
        }
    known = json.dumps({"lines": lines, "seconds": recorder.seconds})
    (work / "lines.json").write_text(known, encoding="utf-8")


class Covering:
    """Which tests to run for a change on a line."""

    def __init__(self, work: Path, copy: Path) -> None:
        known = json.loads((work / "lines.json").read_text(encoding="utf-8"))
        self.copy, self.seconds = copy, known["seconds"]
        self.lines = {
            module: {int(at): list(filter(_own(module), tests)) for at, tests in by.items()}
            for module, by in known["lines"].items()
        }

    def tests(self, place: Place, budget_s: float) -> list[str]:
        """Quickest first, as many as the budget allows. A line run on import counts for whoever reads its names."""
        by_line = self.lines.get(place.module, {})
        found = set(self._inside(place, by_line))
        if not found:
            found = {test for line in self._readers(place) for test in by_line.get(line, ())}
        if not found:
            found = {test for tests in by_line.values() for test in tests}
        chosen, spent = [], 0.0
        for test in sorted(found, key=lambda each: (self.seconds.get(each, 0.0), each)):
            spent += self.seconds.get(test, 0.0)
            if chosen and spent > budget_s:
                break
            chosen.append(test)
        return chosen

    def _inside(self, place: Place, by_line: dict[int, list[str]]) -> Iterator[str]:
        """Tests through the line, if it is inside a function (what runs on import runs in no test of its own)."""
        tree = ast.parse((self.copy / place.module).read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            if isinstance(node, ast.FunctionDef) and node.body[0].lineno <= place.line <= (node.end_lineno or 0):
                statements = [each for each in ast.walk(node) if isinstance(each, ast.stmt) and each is not node]
                within = [s for s in statements if s.lineno <= place.line <= (s.end_lineno or 0)]
                for line in {place.line, *(each.lineno for each in within)}:
                    yield from by_line.get(line, ())

    def _readers(self, place: Place) -> Iterator[int]:
        """Lines of the module that read a name which the statement on this line gives a value to."""
        tree = ast.parse((self.copy / place.module).read_text(encoding="utf-8"))
        here = [each for each in tree.body if each.lineno <= place.line <= (each.end_lineno or 0)]
        names = {each.id for node in here for each in ast.walk(node) if isinstance(each, ast.Name)}
        names |= {each.name for each in here if isinstance(each, ast.ClassDef | ast.FunctionDef)}
        for node in ast.walk(tree):
            if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load) and node.id in names:
                yield node.lineno


def _own(module: str) -> Callable[[str], bool]:
    """Which tests count for a module: those of its package, and those of the whole chain."""
    counted = (f"tests/{module.split('/')[2]}/", *WHOLE)
    return lambda test: test.startswith(counted)


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
    from everyrung.body.bodies import body_model, reference_grid
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


def tried(copy: Path, place: Place, tests: list[str]) -> tuple[str, str]:
    """What became of one change (killed, survived, late, none), and the change as two lines."""
    from cosmic_ray.mutating import mutate_code
    from cosmic_ray.plugins import get_operator

    path = copy / place.module
    before = path.read_text(encoding="utf-8")
    after = mutate_code(before, get_operator(place.operator)(), place.occurrence)
    if after is None or after == before:
        return "none", ""
    changed = [
        f"{a.strip()}  ->  {b.strip()}" for a, b in zip(before.split("\n"), after.split("\n"), strict=False) if a != b
    ]
    if not tests:
        return "survived", changed[0]
    path.write_text(after, encoding="utf-8")
    try:
        return in_a_fork(copy, place.package, tests), changed[0]
    finally:
        path.write_text(before, encoding="utf-8")


def in_a_fork(copy: Path, package: str, tests: list[str]) -> str:
    child = os.fork()
    if not child:
        os.setpgid(0, 0)
        forget(package)
        run_tests(copy, tests)
    until = time.monotonic() + LONGEST_S
    while time.monotonic() < until:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return "survived" if os.waitstatus_to_exitcode(status) == 0 else "killed"
        time.sleep(0.05)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return "late"


def run_tests(copy: Path, tests: list[str]) -> None:
    """In the fork; does not come back."""
    import pytest

    code = 1
    try:
        os.chdir(copy)
        sys.dont_write_bytecode = True
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, 1)
        os.dup2(nothing, 2)
        os.environ["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"  # no test here asks for a browser or the like
        code = int(pytest.main([*tests, "-x", "-q", "-m", "not slow", "-p", "no:cacheprovider"]))
    finally:
        os._exit(code)


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
    if not (asked.work / "lines.json").exists():
        subprocess.run([sys.executable, "-c", RECORD, str(copy), str(asked.work)], cwd=TREE, check=True)
    covering = Covering(asked.work, copy)
    preload(copy)
    chosen = sampled(places(copy, asked.packages, asked.seed), asked.sample, asked.seed)
    for package in asked.packages:  # or every change would count as seen
        first = next(one for one in chosen if one.package == package)
        if in_a_fork(copy, package, covering.tests(first, BUDGET_S)) != "survived":
            raise SystemExit(f"{package}: its tests fail in a fork with nothing changed")
    for budget_s in (BUDGET_S, AGAIN_S):
        known = {one["key"]: one for one in results(asked.work)}
        for number, place in enumerate(chosen):
            last = known.get(place.key)
            if last and (last["became"] != "survived" or last["budget_s"] >= budget_s):
                continue
            if time.monotonic() > until:
                return
            tests = covering.tests(place, budget_s)
            if last and len(tests) == last["tests"]:
                continue
            became, change = tried(copy, place, tests)
            note(asked.work, place, became=became, change=change, budget_s=budget_s, tests=len(tests))
            print(f"{number + 1}/{len(chosen)} {became} {place.key}", file=sys.stderr, flush=True)


def note(work: Path, place: Place, **what: object) -> None:
    with (work / "results.jsonl").open("a", encoding="utf-8") as file:
        file.write(json.dumps({**asdict(place), "key": place.key, **what}) + "\n")


RECORD = (
    "import sys; sys.path.insert(0, 'scripts'); from pathlib import Path; import mutate; "
    "mutate.record(Path(sys.argv[1]), Path(sys.argv[2]))"
)

if __name__ == "__main__":
    main()
