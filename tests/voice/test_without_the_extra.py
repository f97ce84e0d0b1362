"""Where nothing is installed that speaks, that is said in one line, with what to do."""

import subprocess
import sys
from pathlib import Path

import pytest

from everyrung.terms.errors import Invalid, Where, fault_at
from everyrung.voice.clips import Clips
from everyrung.voice.engine import available, synthesise


@pytest.fixture(autouse=True)
def nothing_speaks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "espeakng_loader", None)  # as if it were not installed


def test_it_is_not_available() -> None:
    assert not available()


def test_speaking_is_refused_in_one_line_that_names_the_remedy(tmp_path: Path) -> None:
    for speak in (lambda: synthesise("Lift.", 140), lambda: Clips(tmp_path, 140).clip("Lift.")):
        with pytest.raises(Invalid) as problem:
            speak()
        told = str(fault_at(Where(file="session.toml", line=0, field="voice"), problem.value))
        assert "pip install 'everyrung[voice]'" in told
        assert "\n" not in told
    assert not list(tmp_path.iterdir())


def test_silence_needs_nothing(tmp_path: Path) -> None:
    assert Clips(tmp_path, 140).length_ms("...") == 0


def test_importing_and_asking_load_nothing() -> None:
    code = (
        "import sys\nfrom everyrung.voice.engine import available\nimport everyrung.voice.clips\navailable()\n"
        "print('espeakng_loader' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
