"""Modules become one script that means the same; what is not understood is refused with its place."""

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from everyrung.publish.player.bundle import bundle

Command = Callable[..., "subprocess.CompletedProcess[str]"]

MODULES = {
    "main.js": 'import { twice as double } from "./show/sum.js";\nimport "./show/noted.js";\n\n'
    "shown(double(3), await 4);\n",
    "show/sum.js": '// Sums.\nimport { BASE } from "../base.js";\n\n/** @param {number} x */\n'
    "export function twice(x) { return 2 * x + BASE; } // doubled\n",
    "show/noted.js": 'import { BASE } from "../base.js";\nnoted.push(BASE);\n',
    "base.js": 'export const BASE = 10;\nnoted.push("base");\n',
}


def write(folder: Path, modules: dict[str, str] = MODULES) -> Path:
    for name, text in modules.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def test_each_module_stands_once_before_those_that_import_it(tmp_path: Path) -> None:
    script = bundle("main.js", write(tmp_path))
    assert script.count("BASE = 10") == 1
    assert script.index("BASE = 10") < script.index("function twice") < script.index("shown(")
    assert "import" not in script
    assert "export" not in script


def test_comments_that_fill_their_lines_are_left_out_and_no_others(tmp_path: Path) -> None:
    script = bundle("main.js", write(tmp_path))
    assert "Sums." not in script
    assert "@param" not in script
    assert "// doubled" in script


@pytest.mark.parametrize(
    "line",
    ['import base from "./base.js";', 'import * as base from "./base.js";', "export default 3;", "export { x };"],
)
def test_what_is_not_understood_is_refused_with_file_and_line(tmp_path: Path, line: str) -> None:
    write(tmp_path, MODULES | {"main.js": f"const x = 1;\n\n{line}\n"})
    with pytest.raises(ValueError, match=r"main\.js, line 3: expected a named import or export, got '"):
        bundle("main.js", tmp_path)


def test_modules_that_import_each_other_are_refused(tmp_path: Path) -> None:
    write(tmp_path, MODULES | {"base.js": 'import { twice } from "./show/sum.js";\nexport const BASE = twice;\n'})
    with pytest.raises(
        ValueError, match=r"imports itself: .*base\.js -> show/sum\.js -> base\.js|show/sum\.js -> base"
    ):
        bundle("main.js", tmp_path)


def test_a_bundle_does_what_its_modules_do_each_once_and_in_order(node: Command, tmp_path: Path) -> None:
    script = tmp_path / "run.js"
    head = "const noted = [], shown = (...values) => console.log(JSON.stringify([noted, values]));\n"
    script.write_text(head + bundle("main.js", write(tmp_path)), encoding="utf-8")
    ran = node(script)
    assert json.loads(ran.stdout or "null") == [["base", 10], [16, 4]], ran.stderr
