"""Work on a Dask cluster of this machine's own: the answers of before, whatever ends; and words for what is wrong."""

import asyncio
import os
import socket
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path
from typing import Any

import dask
import pytest
from chunk_tasks import end, note, refuse, slow_square, square, squares, who
from distributed.security import Security
from loopback import Loopback, loopback

from everyrung.body.mechanics import Job, curves, in_job_order
from everyrung.body.reference_grid import reference_grid
from everyrung.cli import main
from everyrung.executors import cluster as on_cluster
from everyrung.executors.address import VARIABLE
from everyrung.executors.tasks import map_tasks, worker_count
from everyrung.moves.library import standard_library
from everyrung.pipeline import AudienceSpec, Options, run
from everyrung.publish.video.write import write_video
from everyrung.store.cache import default_cache
from everyrung.terms.errors import Invalid, ProcessEnded
from everyrung.terms.forecast import Forecast
from everyrung.terms.person import Person
from everyrung.web.remedies import MendRequest, find_remedies
from everyrung.weeks.lines import library_lines
from everyrung.weeks.night import Policy
from everyrung.weeks.season import Calendar
from everyrung.weeks.season_tally import season_tally

DEMO = Path(__file__).parents[2] / "examples" / "boathouse-30.toml"


@pytest.fixture(scope="module")
def two(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Loopback]:
    with loopback(tmp_path_factory.mktemp("cluster"), 2) as made:
        yield made


@pytest.fixture
def cluster(two: Loopback, monkeypatch: pytest.MonkeyPatch) -> Loopback:
    monkeypatch.setenv(VARIABLE, two.address)
    return two


def test_answers_come_in_order_from_both_workers(cluster: Loopback) -> None:
    assert list(map_tasks(square, range(100), chunk=7)) == [value * value for value in range(100)]
    seen = set(map_tasks(who, range(8), chunk=1))
    assert seen == {each.pid for each in cluster.workers}
    assert list(map_tasks(square, [], chunk=1)) == []


def test_what_a_task_raises_comes_whole(cluster: Loopback) -> None:
    assert cluster.address
    with pytest.raises(Invalid) as caught:
        list(map_tasks(refuse, range(8), chunk=2))
    problem = caught.value
    assert (problem.field, problem.got, problem.nearest, problem.remedy) == ("dose", 3, "8", "Write 8.")
    assert "Write 8." in problem.__notes__


def test_a_worker_gives_nothing_on(cluster: Loopback) -> None:
    """Its own work would wait for itself; it starts no processes either."""
    assert cluster.address
    assert list(map_tasks(squares, [3], chunk=1)) == [[0, 1, 4]]


def test_who_leaves_off_has_the_rest_dropped(cluster: Loopback, tmp_path: Path) -> None:
    assert cluster.address
    answers = map_tasks(partial(note, tmp_path), range(400), chunk=1)
    assert next(answers) == 0
    answers.close()  # type: ignore[attr-defined]
    begun = len(list(tmp_path.iterdir()))
    time.sleep(0.3)  # what a worker was at when it was told
    assert len(list(tmp_path.iterdir())) <= begun + 2
    assert begun < 20
    assert list(map_tasks(square, range(3), chunk=1)) == [0, 1, 4]


def test_a_worker_is_ended_and_nothing_is_lost(cluster: Loopback) -> None:
    answers = map_tasks(slow_square, range(60), chunk=2)
    found = [next(answers), next(answers)]
    ended = cluster.workers.pop()
    ended.kill()
    found += answers
    assert ended.wait() < 0
    assert found == [value * value for value in range(60)]
    cluster.add(1)
    cluster.wait(2)


def test_workers_with_another_version_are_named(cluster: Loopback, monkeypatch: pytest.MonkeyPatch) -> None:
    assert worker_count() == 2
    other = on_cluster.facts() | {"everyrung": "9.9", "numpy": "0.1"}
    monkeypatch.setattr(on_cluster, "facts", lambda: other)
    with pytest.raises(Invalid, match=r"everyrung 0\.1\.0 instead of 9\.9, numpy [\d.]+ instead of 0\.1") as caught:
        list(map_tasks(square, range(3), chunk=1))
    assert "same version of Everyrung" in caught.value.remedy
    with pytest.raises(Invalid, match="instead of"):
        worker_count()
    assert cluster.address


def test_a_task_that_workers_do_not_have_is_no_traceback(cluster: Loopback, monkeypatch: pytest.MonkeyPatch) -> None:
    """As from a worker without Everyrung: it cannot even read what to do."""
    assert cluster.address
    monkeypatch.setattr(on_cluster, "do_chunk", at_home)
    with pytest.raises(Invalid, match="workers that compute as this machine does, got") as caught:
        list(map_tasks(square, range(3), chunk=1))
    assert "\n" not in str(caught.value)


def at_home(*_: Any) -> None:
    raise AssertionError


def test_an_address_where_nothing_answers(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    monkeypatch.setenv(VARIABLE, f"tcp://127.0.0.1:{port}")
    begun_s = time.monotonic()
    with pytest.raises(Invalid, match="Connection refused") as caught:
        list(map_tasks(square, range(3), chunk=1))
    assert time.monotonic() - begun_s < on_cluster.ANSWER_S
    assert "dask scheduler" in caught.value.remedy
    assert main(["studio", "--no-browser", "--cluster", f"tcp://127.0.0.1:{port}"]) == 2
    said = capsys.readouterr().err
    assert said.startswith("command line: cluster: expected the address of a Dask scheduler")
    assert len(said.splitlines()) == 1


def test_something_else_that_listens(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(on_cluster, "ANSWER_S", 0.5)
    with socket.create_server(("127.0.0.1", 0)) as other:
        monkeypatch.setenv(VARIABLE, f"tcp://127.0.0.1:{other.getsockname()[1]}")
        with pytest.raises(Invalid, match="no answer in time"):
            list(map_tasks(square, range(3), chunk=1))


def test_it_is_asked_out_of_a_running_loop_too_as_in_a_notebook(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(VARIABLE, "tcp://127.0.0.1:1")

    async def cell() -> None:
        with pytest.raises(Invalid, match=r"127\.0\.0\.1:1: "):
            list(map_tasks(square, range(3), chunk=1))

    with ThreadPoolExecutor(1) as aside:  # a browser's tests in the same process leave a loop running in this thread
        aside.submit(asyncio.run, cell()).result()


@pytest.mark.parametrize("written", ["127.0.0.1", "http://127.0.0.1:8786", "tcp://a b:1", "tcp://h:0", "tcp://h:99999"])
def test_what_is_no_address(written: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setenv(VARIABLE, written)
    with pytest.raises(Invalid, match=r"tcp://192\.0\.2\.7:8786"):
        list(map_tasks(square, range(3), chunk=1))
    with pytest.raises(SystemExit):
        main(["rehearse", "plan.toml", "--cluster", written])
    assert "argument --cluster: expected the address" in capsys.readouterr().err


@pytest.mark.slow
def test_a_scheduler_without_workers_and_then_without_itself(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(on_cluster, "LOOK_S", 0.1)
    monkeypatch.setattr(on_cluster, "FETCH_S", 0.1)
    with loopback(tmp_path, 0) as made:
        monkeypatch.setenv(VARIABLE, made.address)
        monkeypatch.setattr(on_cluster, "ANSWER_S", 0.5)
        with pytest.raises(Invalid, match="a scheduler with workers"):
            list(map_tasks(square, range(3), chunk=1))
        monkeypatch.setattr(on_cluster, "ANSWER_S", 5.0)
        made.add(1)
        made.wait(1)
        answers = map_tasks(slow_square, range(100), chunk=2)
        assert next(answers) == 0
        made.workers[0].kill()
        monkeypatch.setattr(on_cluster, "WORKER_S", 0.3)
        with pytest.raises(ProcessEnded, match="has no workers any more"):
            list(answers)
        made.add(1)
        made.wait(1)
        answers = map_tasks(slow_square, range(100), chunk=2)
        assert next(answers) == 0
        made.scheduler.kill()
        with pytest.raises(ProcessEnded, match="scheduler does not answer any more"):
            list(answers)


@pytest.mark.slow
def test_a_cluster_with_certificates(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As Dask's settings have them: https://distributed.dask.org/en/stable/tls.html."""
    made, settings = Security.temporary(), {"ca-file": tmp_path / "ca.pem"}
    settings["ca-file"].write_text(made.tls_ca_file)
    for role in ("scheduler", "worker", "client"):
        for part in ("key", "cert"):
            settings[f"{role}.{part}"] = tmp_path / f"{role}-{part}.pem"
            settings[f"{role}.{part}"].write_text(getattr(made, f"tls_{role}_{part}"))
    for name, path in settings.items():
        setting = f"comm.tls.{name}".replace(".", "__").replace("-", "_").upper()
        monkeypatch.setenv(f"DASK_DISTRIBUTED__{setting}", str(path))
    known = {f"distributed.comm.tls.{name}": str(path) for name, path in settings.items()}
    with dask.config.set(known), loopback(tmp_path, 1, "tls") as cluster:
        assert cluster.address.startswith("tls://")
        monkeypatch.setenv(VARIABLE, cluster.address)
        assert list(map_tasks(square, range(5), chunk=2)) == [0, 1, 4, 9, 16]
        monkeypatch.setattr(on_cluster, "ANSWER_S", 1.0)
        monkeypatch.setenv(VARIABLE, cluster.address.replace("tls", "tcp"))
        with pytest.raises(Invalid, match="a Dask scheduler"):
            list(map_tasks(square, range(5), chunk=2))


@pytest.mark.slow
def test_work_that_ends_every_worker_is_given_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with loopback(tmp_path, 5) as made:
        monkeypatch.setenv(VARIABLE, made.address)
        with pytest.raises(ProcessEnded, match="several workers ended over the same work"):
            list(map_tasks(end, range(1), chunk=1))


def test_nothing_is_left_in_the_environment() -> None:
    assert VARIABLE not in os.environ


@pytest.mark.slow
def test_remedies_are_the_same(cluster: Loopback, monkeypatch: pytest.MonkeyPatch) -> None:
    text = DEMO.read_text(encoding="utf-8").replace("slot_minutes = 30", "slot_minutes = 24")
    known, sent, pack = Person(name="Sunniva Lind", stature_m=1.7), [], on_cluster.pack
    monkeypatch.setattr(on_cluster, "pack", lambda *given: sent.append(pack(*given)) or sent[-1])
    given = Options(audience=AudienceSpec(count=50, people=(known,)), on_people=lambda *_: None)
    steps: list[tuple[int, int]] = []
    there = find_remedies(text, MendRequest(), standard_library(), given, lambda *step: steps.append(step))
    assert any(there.values())
    assert steps[-1] == (len(there), len(there))
    assert sent
    assert b"Sunniva" not in b"".join([task + b"".join(chunks) for task, chunks in sent])  # known people stay here
    assert cluster.address
    monkeypatch.delenv(VARIABLE)
    assert there == find_remedies(text, MendRequest(), standard_library(), given, lambda *_: None)


@pytest.mark.slow
def test_a_forecast_is_the_same_though_a_worker_ends(cluster: Loopback, monkeypatch: pytest.MonkeyPatch) -> None:
    steps: list[int] = []

    def step(done: int, _total: int) -> None:
        steps.append(done)
        if len(steps) == 3:
            ended = cluster.workers.pop()
            ended.kill()
            ended.wait()

    def forecast(on_people: Callable[[int, int], None] | None) -> Forecast | None:
        options = Options(audience=AudienceSpec(count=5500), cache=default_cache(), on_people=on_people)
        return run(DEMO, options=options).forecast

    there = forecast(step)
    assert steps == [1000, 2000, 3000, 4000, 5000, 5500]
    monkeypatch.delenv(VARIABLE)
    assert there == forecast(None)
    cluster.add(1)
    cluster.wait(2)


@pytest.mark.slow
def test_a_film_is_the_same_byte_for_byte(cluster: Loopback, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    small, told = run(DEMO.parents[1] / "tests" / "cli" / "small.toml"), []

    def film(name: str) -> bytes:
        path = tmp_path / name
        write_video(small, path, part_ms=(0, 130_000), progress=lambda *step: told.append(step), cache=default_cache())
        return path.read_bytes()

    there = film("there.mp4")
    assert told == [(0, 3250), (1500, 3250), (3000, 3250), (3250, 3250)]
    assert cluster.address
    monkeypatch.delenv(VARIABLE)
    assert there == film("here.mp4")


@pytest.mark.slow
def test_bodies_are_the_same_to_the_last_bit(cluster: Loopback, monkeypatch: pytest.MonkeyPatch) -> None:
    library = standard_library()
    rungs = [library.rung("squat", "base").form, library.rung("hip-hinge", "base").form]
    jobs = [Job(form=form, layer=library.pose(form), size=size) for form in rungs for size in reference_grid()[:3]]
    there = in_job_order(curves(jobs))
    assert cluster.address
    monkeypatch.delenv(VARIABLE)
    assert there == in_job_order(curves(jobs))


@pytest.mark.slow
def test_seasons_of_simulated_people_are_the_same(cluster: Loopback, monkeypatch: pytest.MonkeyPatch) -> None:
    """As many as are wanted, a thousand at a time: docs/accuracy/weeks.py with a cluster."""
    lines = library_lines(("overhead-press",), standard_library())
    there = season_tally(lines, Policy.ASKED, Calendar(weeks=5, evenings=1), 1100, 4)
    assert there.first_sets > 0.8 * 1100 * 3 * 0.85
    assert cluster.address
    monkeypatch.delenv(VARIABLE)
    assert there == season_tally(lines, Policy.ASKED, Calendar(weeks=5, evenings=1), 1100, 4)
