from __future__ import annotations

import functools
import gc
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from studio.basics.errors import FontError, OrderError
from studio.production import worker_pool as workers
from studio.production.worker_pool import Broken, answers_in_order
from studio.storage.processes import process_alive

ROOT = Path(__file__).parents[2]


def square() -> Callable[[int], int]:
    """Return work that takes the longer the earlier the task."""

    def work(task: int) -> int:
        time.sleep(0.002 * (task % 3 == 0))
        return task * task

    return work


def troubled(folder: Path) -> Callable[[int], object]:
    """Return work that goes wrong in a different way for some tasks, and counts its tries in a folder."""

    def work(task: int) -> object:
        (folder / f"{task}-{time.monotonic_ns()}").touch()
        if task == 3:
            os.kill(os.getpid(), signal.SIGKILL)
        if task == 5 and len(list(folder.glob("5-*"))) == 1:
            os._exit(9)
        if task == 7:
            raise OrderError("row 7", advice="mend it")
        if task == 9:
            raise ZeroDivisionError("nine")
        return task

    return work


def no_setup(kind: type[Exception]) -> Callable[[int], int]:
    """Fail to set up."""
    raise kind("no face")


def pid_of() -> Callable[[int], int]:
    """Return work that tells which process does it."""
    return lambda _: os.getpid()


@pytest.mark.parametrize("jobs", [1, 2, 3])
@pytest.mark.parametrize("count", [0, 1, 2, 100])
def test_answers_come_in_the_order_of_the_tasks(jobs: int, count: int) -> None:
    """Whatever the number of processes and the time each task takes, order and answers are the same."""
    assert list(answers_in_order(range(count), square, jobs=jobs)) == [(n, n * n) for n in range(count)]


class TwoParts:
    """Work in two parts that notes what it does, and goes wrong in either part of some tasks."""

    def __init__(self) -> None:
        self.done: list[tuple[str, int, int]] = []

    def __call__(self, task: int) -> int:
        return self.started(task)()

    def started(self, task: int) -> Callable[[], int]:
        """Do the first part."""
        self._note("starts", task)
        if task == 3:
            raise OrderError("row 3", advice="mend it")
        return functools.partial(self._rest, task)

    def _rest(self, task: int) -> int:
        time.sleep(0.002 * (task % 3))
        if task == 5:
            raise ZeroDivisionError("five")
        if task == 7:
            raise FontError("row 7", advice="mend it")
        self._note("ends", task)
        return task * task

    def _note(self, part: str, task: int) -> None:
        self.done.append((part, task, threading.get_ident()))


def test_a_task_is_started_while_another_thread_ends_the_one_before() -> None:
    """Answers and errors come as from work in one part; starts are done here, ends elsewhere and one after another."""
    work, turn = TwoParts(), sys.getswitchinterval()
    got = dict(answers_in_order(range(12), lambda: work, jobs=1))
    assert list(got) == list(range(12))
    assert [got[n] for n in (0, 1, 2, 4, 6, 8, 9, 10, 11)] == [0, 1, 4, 16, 36, 64, 81, 100, 121]
    assert isinstance(got[3], OrderError) and isinstance(got[7], FontError)
    assert isinstance(got[5], Broken) and got[5].message == "ZeroDivisionError: five"
    assert {thread for part, _, thread in work.done if part == "starts"} == {threading.get_ident()}
    assert {thread for part, _, thread in work.done if part == "ends"}.isdisjoint({threading.get_ident()})
    order = [(part, task) for part, task, _ in work.done]
    ends = [task for part, task in order if part == "ends"]
    assert ends == sorted(ends)
    assert all(order.index(("ends", task)) < order.index(("starts", task + 2)) for task in ends if task < 10)
    assert sys.getswitchinterval() == turn


def test_stopping_early_ends_nothing_that_was_only_started() -> None:
    """Where the answers are no longer wanted, a task that was started and not yet asked to end is left so."""
    work = TwoParts()
    answers = answers_in_order(range(12), lambda: work, jobs=1)
    assert [next(answers)[0] for _ in range(2)] == [0, 1]
    answers.close()
    assert [task for part, task, _ in work.done if part == "ends"] == [0, 1]
    assert [task for part, task, _ in work.done if part == "starts"] == [0, 1, 2]


def test_two_processes_share_the_work() -> None:
    """With two jobs two other processes answer, with one this one does."""
    assert len({pid for _, pid in answers_in_order(range(40), pid_of, jobs=2)} - {os.getpid()}) == 2
    assert {pid for _, pid in answers_in_order(range(3), pid_of, jobs=1)} == {os.getpid()}


def test_a_task_that_kills_its_worker_costs_itself_only(tmp_path: Path) -> None:
    """A worker that dies is replaced; its task is tried once more, then given up; errors stay with their tasks."""
    got = dict(answers_in_order(range(12), functools.partial(troubled, tmp_path), jobs=2))
    assert list(got) == list(range(12))
    assert [got[n] for n in (0, 1, 2, 4, 5, 6, 8, 10, 11)] == [0, 1, 2, 4, 5, 6, 8, 10, 11]
    assert isinstance(got[3], Broken) and "died 2 times (SIGKILL)" in got[3].message
    assert isinstance(got[7], OrderError) and got[7].advice == "mend it"
    assert isinstance(got[9], Broken) and "nine" in got[9].message and "Traceback" in got[9].trace
    assert [len(list(tmp_path.glob(f"{n}-*"))) for n in (3, 5, 7)] == [2, 2, 1]


@pytest.mark.parametrize("jobs", [1, 2])
def test_a_setup_that_fails_ends_all(jobs: int) -> None:
    """When the work cannot even be set up, its error comes out, and no answer."""
    with pytest.raises(FontError, match="no face"):
        list(answers_in_order(range(5), functools.partial(no_setup, FontError), jobs=jobs))
    with pytest.raises((RuntimeError, KeyError), match="no face"):
        list(answers_in_order(range(5), functools.partial(no_setup, KeyError), jobs=jobs))


def test_tasks_are_read_only_as_far_ahead_as_needed() -> None:
    """However long the list, only a window of it is read before the first answers are taken."""
    read = 0

    def tasks() -> Iterator[int]:
        nonlocal read
        while read < 100_000:
            read += 1
            yield read

    answers = answers_in_order(tasks(), square, jobs=2)
    for taken in range(1, 60):
        next(answers)
        assert read <= taken + 2 * workers.WINDOW_PER_WORKER
    answers.close()


def test_stopping_early_leaves_no_process() -> None:
    """Closing the answers, as Ctrl+C does, ends every worker."""
    answers = answers_in_order(range(1000), pid_of, jobs=2)
    pids = {next(answers)[1] for _ in range(30)}
    answers.close()
    assert not any(process_alive(pid) for pid in pids if isinstance(pid, int))


class Kept:
    """Work that tells where it was got ready, and for which task."""

    def __init__(self) -> None:
        self.readied: list[tuple[int, int]] = []

    def ready(self, task: int) -> None:
        """Take note of process and task; then fail, which must cost nothing."""
        self.readied.append((os.getpid(), task))
        raise OrderError("not now", advice="later")

    def __call__(self, task: int) -> list[tuple[int, int]]:
        """Tell."""
        return self.readied


@pytest.mark.skipif(sys.platform != "linux", reason="workers fork on Linux")
def test_workers_begin_with_what_was_got_ready_before_they_forked() -> None:
    """The work is got ready once, here, for the first task, and every worker has it; garbage is collected as before."""
    told = [answer for _, answer in answers_in_order(range(7, 27), Kept, jobs=2)]
    assert told == [[(os.getpid(), 7)]] * 20
    assert gc.get_freeze_count() == 0
    assert list(answers_in_order(iter(()), Kept, jobs=2)) == []


def test_with_threads_about_workers_start_afresh() -> None:
    """In a process with other threads, such as the studio, workers are not forked, and answer just the same."""
    stop = threading.Event()
    thread = threading.Thread(target=stop.wait)
    thread.start()
    try:
        assert workers._context().get_start_method() == "spawn"
        assert list(answers_in_order(range(6), functools.partial(str_of, "x"), jobs=2)) == [
            (n, f"x{n}") for n in range(6)
        ]
    finally:
        stop.set()
        thread.join()


def str_of(prefix: str) -> Callable[[int], str]:
    """Return work that a fresh process can find by name."""
    return lambda task: f"{prefix}{task}"


def test_workers_of_a_killed_run_end_by_themselves(tmp_path: Path) -> None:
    """After kill -9 of the run no worker stays behind, though each inherited what the others listen on."""
    script = (
        "import os, time\nfrom studio.production.worker_pool import answers_in_order\n"
        "def setup():\n    return lambda task: (time.sleep(0.01), os.getpid())[1]\n"
        "for task, pid in answers_in_order(range(10**6), setup, jobs=3):\n    print(pid, flush=True)\n"
    )
    with subprocess.Popen([sys.executable, "-c", script], cwd=ROOT, stdout=subprocess.PIPE, text=True) as run:
        assert run.stdout is not None
        pids = {int(run.stdout.readline()) for _ in range(12)}
        assert len(pids) == 3 and all(map(process_alive, pids))
        run.kill()
        run.wait()
        for _ in range(500):
            if not any(map(process_alive, pids)):
                break
            time.sleep(0.01)
    assert not any(map(process_alive, pids))
