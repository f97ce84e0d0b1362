"""The queue of jobs: a slot has its latest job only, and what is outdated is never taken for current."""

import time
from collections.abc import Iterator
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from typing import Any

import pytest
from by_hand import ByHand

from everyrung.pipeline import AudienceSpec
from everyrung.terms.errors import ProcessEnded
from everyrung.terms.person import Person
from everyrung.web import job_queue
from everyrung.web.job_queue import JobQueue
from everyrung.web.jobs import Job, JobResult, Progress
from everyrung.web.pages import templates
from everyrung.web.workers import TaskCancelled

TEXT = (Path(__file__).parents[1] / "cli" / "small.toml").read_text(encoding="utf-8")
DONE = JobResult(finished=True)


@pytest.fixture
def hand() -> ByHand:
    return ByHand()


@pytest.fixture
def jobs(hand: ByHand) -> JobQueue:
    return JobQueue(hand)


def job(dose: str, people: tuple[Person, ...] = ()) -> Job:
    text = TEXT.replace('dose = "8 reps"', f'dose = "{dose}"')
    return Job(text=text, audience=AudienceSpec(count=200, people=people))


def test_of_a_burst_of_fifty_only_the_first_and_the_last_are_begun(jobs: JobQueue, hand: ByHand) -> None:
    burst = [job(f"{reps} reps") for reps in range(1, 51)]
    for each in burst:
        jobs.submit("here", each)
    assert hand.begun == burst[:1]
    assert hand.given_up == hand.answers  # asked to stop once
    assert [each for each in burst if jobs.progress(each.key)] == burst[-1:]
    hand.answers[0].set_exception(TaskCancelled())
    assert hand.begun == [burst[0], burst[-1]]
    hand.answers[1].set_result(DONE)
    assert [each for each in burst if jobs.result(each.key)] == burst[-1:]


def test_other_slots_wait_their_turn(jobs: JobQueue, hand: ByHand) -> None:
    first, second, third = job("7 reps"), job("8 reps"), job("9 reps")
    for slot, each in (("a", first), ("b", second), ("c", third)):
        jobs.submit(slot, each)
    jobs.cancel("b")
    hand.answers[0].set_result(DONE)
    assert hand.begun == [first, third]


def test_what_two_slots_ask_for_is_computed_once(jobs: JobQueue, hand: ByHand) -> None:
    jobs.submit("a", job("8 reps"))
    jobs.submit("b", job("8 reps"))
    hand.answers[0].set_result(DONE)
    assert len(hand.begun) == 1
    jobs.submit("c", job("8 reps"))
    assert len(hand.begun) == 1


def test_what_was_stopped_and_is_asked_for_again_is_begun_again(jobs: JobQueue, hand: ByHand) -> None:
    jobs.submit("here", job("8 reps"))
    jobs.cancel("here")
    assert jobs.progress(job("8 reps").key) is None
    jobs.submit("here", job("8 reps"))
    hand.answers[0].set_exception(TaskCancelled())
    assert len(hand.begun) == 2


def test_a_page_that_was_left_has_nothing_computed_any_more(
    jobs: JobQueue, hand: ByHand, monkeypatch: pytest.MonkeyPatch
) -> None:
    now_s = [100.0]
    monkeypatch.setattr(job_queue.time, "monotonic", lambda: now_s[0])
    for slot, dose in (("a", "7 reps"), ("b", "8 reps"), ("c", "9 reps")):
        jobs.submit(slot, job(dose), while_asked=True)
    now_s[0] += job_queue.LEFT_S
    hand.hear(Progress(words="people", count=1, total=9))
    assert not hand.given_up
    jobs.submit("c", job("9 reps"), while_asked=True)
    now_s[0] += 1
    hand.hear(Progress(words="people", count=2, total=9))
    assert hand.given_up == hand.answers
    hand.answers[0].set_exception(TaskCancelled())
    assert hand.begun == [job("7 reps"), job("9 reps")]  # not the second, which nobody asked for since
    jobs.submit("a", job("7 reps"), while_asked=True)
    hand.answers[1].set_result(DONE)
    assert hand.begun[2:] == [job("7 reps")]


def test_what_was_asked_for_by_hand_is_computed_whoever_looks(
    jobs: JobQueue, hand: ByHand, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(job_queue, "LEFT_S", -1.0)
    jobs.submit("a", job("7 reps"), while_asked=True)
    jobs.submit("b", job("7 reps"))
    hand.hear(Progress(words="people", count=1, total=9))
    assert not hand.given_up  # by another place
    hand.answers[0].set_result(DONE)
    jobs.submit("c", job("8 reps"))
    hand.hear(Progress(words="people", count=1, total=9))
    assert not hand.given_up


def test_what_a_job_given_up_still_tells_is_not_heard(jobs: JobQueue, hand: ByHand) -> None:
    first, second = job("8 reps"), job("9 reps")
    jobs.submit("here", first)
    outdated = hand.hear
    outdated(Progress(words="people", count=1, total=2))
    assert jobs.progress(first.key) == Progress(words="people", count=1, total=2)
    jobs.submit("here", second)
    outdated(JobResult())
    hand.answers[0].set_result(DONE)  # it was done before it heard
    assert jobs.result(first.key) is None
    outdated(JobResult())
    assert jobs.result(second.key) is None


@pytest.mark.parametrize("problem", [BrokenProcessPool("killed"), MemoryError()], ids=["killed", "memory"])
def test_a_job_that_was_ended_says_so_and_is_tried_again_when_asked_for_later(
    problem: Exception, jobs: JobQueue, hand: ByHand, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    now_s = 100.0
    monkeypatch.setattr(job_queue.time, "monotonic", lambda: now_s)
    jobs.submit("here", job("8 reps"))
    hand.answers[0].set_exception(problem)
    found = jobs.result(job("8 reps").key)
    assert found
    assert found.finished
    assert "short of memory" in found.problem
    assert type(problem).__name__ in capsys.readouterr().err
    jobs.submit("here", job("8 reps"))  # by a page that asks by itself
    assert len(hand.begun) == 1
    now_s += 5
    jobs.submit("here", job("8 reps"))
    assert len(hand.begun) == 2


def test_what_a_lost_cluster_says_is_said(jobs: JobQueue, hand: ByHand) -> None:
    jobs.submit("here", job("8 reps"))
    hand.answers[0].set_exception(
        ProcessEnded("The cluster at tcp://192.0.2.7:8786 is lost: it has no workers any more.")
    )
    found = jobs.result(job("8 reps").key)
    assert found
    assert found.problem.endswith("it has no workers any more. Reload the page to try again.")


def test_any_other_problem_is_told_in_plain_words(jobs: JobQueue, hand: ByHand) -> None:
    jobs.submit("here", job("8 reps"))
    hand.answers[0].set_exception(ZeroDivisionError("Sunniva"))
    found = jobs.result(job("8 reps").key)
    assert found
    assert found.problem.startswith("This could not be computed.")
    assert "Sunniva" not in found.problem


def test_jobs_with_people_are_forgotten_at_once(jobs: JobQueue, hand: ByHand) -> None:
    her = Person(name="Sunniva", stature_m=1.7)
    jobs.submit("a", job("8 reps", (her,)))
    jobs.submit("b", job("9 reps", (her,)))
    jobs.submit("c", job("9 reps"))
    jobs.forget_people()
    assert hand.answers[0].done()
    assert hand.begun == [job("8 reps", (her,)), job("9 reps")]


def test_a_closed_queue_begins_nothing(jobs: JobQueue, hand: ByHand) -> None:
    jobs.submit("a", job("8 reps"))
    jobs.submit("b", job("9 reps"))
    jobs.close()
    assert hand.closed
    hand.answers[0].set_exception(TaskCancelled())
    assert len(hand.begun) == 1


# Real computing from here on.


@pytest.fixture
def real(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[JobQueue]:
    monkeypatch.setenv("EVERYRUNG_HOME", str(tmp_path))
    made = JobQueue()
    yield made
    made.close()


def finished(jobs: JobQueue, key: str, most_s: float = 120) -> JobResult:
    until = time.monotonic() + most_s
    while time.monotonic() < until:
        found = jobs.result(key)
        if found and found.finished:
            return found
        time.sleep(0.02)
    raise AssertionError("no result")


def under_way(jobs: JobQueue, key: str) -> None:
    """Waits until its process computes."""
    until = time.monotonic() + 60
    while (jobs.progress(key) or job_queue.STARTING) == job_queue.STARTING:
        assert time.monotonic() < until
        time.sleep(0.01)


def test_a_plan_that_cannot_be_led_is_answered_in_words(real: JobQueue) -> None:
    wrong = Job(text='title = "x"', audience=AudienceSpec(count=10))
    real.submit("here", wrong)
    assert "slot_minutes" in finished(real, wrong.key).problem


@pytest.mark.slow
def test_the_next_job_of_a_slot_takes_the_place_of_the_one_before(real: JobQueue) -> None:
    first, second = job("8 reps"), job("9 reps")
    real.submit("here", first)
    under_way(real, first.key)
    real.submit("here", second)
    result = finished(real, second.key)
    assert result.forecast
    assert result.forecast.people == 200
    known = real.result(first.key)
    assert known is None or not known.finished  # given up, or not begun
    assert real.progress(second.key) is None


@pytest.mark.slow
def test_a_job_whose_process_was_killed_says_so_and_the_next_one_is_computed(real: JobQueue) -> None:
    first, second = job("8 reps"), job("9 reps")
    real.submit("here", first)
    under_way(real, first.key)
    real._workers._process.end()  # type: ignore[attr-defined]
    assert "short of memory" in finished(real, first.key).problem
    real.submit("here", second)
    assert finished(real, second.key).forecast


def test_how_far_a_job_has_come_is_shown_with_its_numbers_and_the_time_to_go() -> None:
    page = templates().get_template("_progress.html")
    shown = page.render(progress=Progress(words="bodies", count=1_200, total=3_000, left_s=40.0))
    assert "Bodies: 1,200 of 3,000, " in shown
    assert '<progress max="3000" value="1200"' in shown
    assert page.render(progress=None).strip() == ""
