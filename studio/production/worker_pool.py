"""Work shared among a few processes, with the answers in the order of the tasks.

A worker that dies costs at most its own task: it is replaced, the task is tried once more, and then given up. Only a
bounded number of tasks is ever under way, so memory does not grow with the list.
"""

from __future__ import annotations

import contextlib
import gc
import multiprocessing
import signal
import sys
import threading
import traceback
from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from itertools import chain
from multiprocessing.connection import Connection, wait
from multiprocessing.context import BaseContext
from multiprocessing.process import BaseProcess
from typing import Final, Generic, TypeVar, cast

from studio.basics.errors import StudioError

Task = TypeVar("Task")
Answer = TypeVar("Answer")

TRIES: Final = 2
AHEAD_PER_WORKER: Final = 2
"""Tasks handed to a worker at a time: one to do, one waiting, so that it never waits for the next."""
WINDOW_PER_WORKER: Final = 8
"""Tasks under way or answered and waiting for an earlier one, per worker."""
_PATIENCE_S: Final = 10.0
_COLLECTING: Final = (20_000, 20, 20)
_TURN_S: Final = 0.001


@dataclass(frozen=True, slots=True)
class Broken:
    """What came of a task in place of an answer.

    Attributes:
        message: In a sentence.
        trace: The traceback of a bug, for the log; empty for a worker that died.
    """

    message: str
    trace: str = ""


@dataclass(frozen=True, slots=True)
class _NotSetUp:
    """Sent by a worker that could not start."""

    problem: Exception


@dataclass(slots=True)
class _Worker(Generic[Task]):
    """A process, our end of the pipe to it, and the tasks it holds in the order in which it will answer."""

    process: BaseProcess
    pipe: Connection
    held: deque[tuple[int, Task]] = field(default_factory=deque)


def answers_in_order(
    tasks: Iterable[Task], setup: Callable[[], Callable[[Task], Answer]], *, jobs: int
) -> Generator[tuple[Task, Answer | Broken | StudioError], None, None]:
    """Yield each task with its answer, in the order of the tasks.

    Stopping early (closing the generator, Ctrl+C) lets each worker finish the task in its hands and drops the rest.

    Args:
        tasks: Read no further ahead than needed.
        setup: Called once in each worker, or once before they fork; gives the function that answers a task. It, tasks
            and answers cross process boundaries. Where the function has a method `ready`, that is called with the
            first task before workers fork.
        jobs: How many processes; with one, all is done in this process. Where the function has a method `started`,
            which does most of a task and gives a function for the rest of it, that rest is then done in a second
            thread while the next task is started; it ends before the next one's rest begins.

    Yields:
        The answer; `StudioError` where the work raised one; `Broken` where it raised anything else, or killed its
        worker twice.

    Raises:
        StudioError: `setup` raised it.
    """
    if jobs <= 1:
        work = setup()
        started = getattr(work, "started", None)
        with _collecting_seldom():
            if started is not None:
                yield from _overlapped(tasks, started)
                return
            for task in tasks:
                yield task, _answered(work, task)
        return
    pool: _Pool[Task, Answer] = _Pool(setup, jobs)
    try:
        yield from pool.run(enumerate(tasks))
    finally:
        pool.close()


def _overlapped(
    tasks: Iterable[Task], started: Callable[[Task], Callable[[], Answer]]
) -> Iterator[tuple[Task, Answer | Broken | StudioError]]:
    """Yield answers in order; a task is started while a second thread ends the one before it."""
    with ThreadPoolExecutor(1) as second, _short_turns():
        before: tuple[Task, Future[Answer | Broken | StudioError]] | None = None
        for task in tasks:
            rest = _answered(started, task)
            if before is not None:
                yield before[0], before[1].result()
            before = task, second.submit(_ended, rest)
        if before is not None:
            yield before[0], before[1].result()


def _ended(rest: Callable[[], Answer] | Broken | StudioError) -> Answer | Broken | StudioError:
    return rest if isinstance(rest, Broken | StudioError) else _answered(lambda end: end(), rest)


@contextlib.contextmanager
def _short_turns() -> Iterator[None]:
    """Let two threads take turns oftener: the second one mostly waits for the disk, and each time for its turn."""
    usual = sys.getswitchinterval()
    sys.setswitchinterval(_TURN_S)
    try:
        yield
    finally:
        sys.setswitchinterval(usual)


class _Pool(Generic[Task, Answer]):
    """The workers, the tasks not yet handed out, and the answers that wait for earlier ones."""

    def __init__(self, setup: Callable[[], Callable[[Task], Answer]], jobs: int) -> None:
        self._setup = setup
        self._jobs = jobs
        self._context = _context()
        self._workers: list[_Worker[Task]] = []
        self._again: deque[tuple[int, Task]] = deque()
        self._tries: dict[int, int] = {}
        self._done: dict[int, tuple[Task, Answer | Broken | StudioError]] = {}

    def run(self, tasks: Iterator[tuple[int, Task]]) -> Iterator[tuple[Task, Answer | Broken | StudioError]]:
        turn, handed, more = 0, 0, True
        first = next(tasks, None)
        if first is None:
            return
        self._get_ready(first[1])
        tasks = chain((first,), tasks)
        while True:
            while self._again and (worker := self._free()):
                self._hand(worker, self._again.popleft())
            while more and handed - turn < self._jobs * WINDOW_PER_WORKER and (worker := self._free()):
                numbered = next(tasks, None)
                if numbered is None:
                    more = False
                    break
                handed += 1
                self._hand(worker, numbered)
            while turn in self._done:
                yield self._done.pop(turn)
                self._tries.pop(turn, None)
                turn += 1
            if turn == handed and not more:
                return
            if turn < handed:
                self._listen()

    def _get_ready(self, first: Task) -> None:
        """Set the work up here where workers are forks, so that all of them begin with what it has at hand by then."""
        if self._context.get_start_method() != "fork":
            return
        try:
            work = self._setup()
        except StudioError:
            raise
        except Exception:
            raise RuntimeError(f"A worker could not start.\n{traceback.format_exc()}") from None
        ready = getattr(work, "ready", None)
        if ready is not None:
            with contextlib.suppress(Exception):  # the worker that gets the task will say what is wrong
                ready(first)
        gc.freeze()  # else each fork copies what it looks through for garbage
        self._setup = lambda: work

    def close(self) -> None:
        """Let every worker finish what it is doing, then end them all."""
        for worker in self._workers:
            worker.pipe.close()
        for worker in self._workers:
            worker.process.join(_PATIENCE_S)
            if worker.process.is_alive():
                worker.process.kill()
                worker.process.join()
            worker.process.close()
        self._workers.clear()
        gc.unfreeze()

    def _free(self) -> _Worker[Task] | None:
        """Return the worker with the least to do, a new one while there are too few; `None` when all have enough."""
        least = min(self._workers, key=lambda worker: len(worker.held), default=None)
        if len(self._workers) < self._jobs and (least is None or least.held):
            return self._start()
        return least if least is not None and len(least.held) < AHEAD_PER_WORKER else None

    def _start(self) -> _Worker[Task]:
        ours, theirs = self._context.Pipe()
        forks = self._context.get_start_method() == "fork"
        inherited = (*(worker.pipe for worker in self._workers), ours) if forks else ()
        process = cast(
            "BaseProcess",
            self._context.Process(  # type: ignore[attr-defined]
                target=_work, args=(theirs, inherited, self._setup), daemon=True, name="sapwood-worker"
            ),
        )
        process.start()
        theirs.close()
        worker: _Worker[Task] = _Worker(process, ours)
        self._workers.append(worker)
        return worker

    def _hand(self, worker: _Worker[Task], numbered: tuple[int, Task]) -> None:
        worker.held.append(numbered)
        with contextlib.suppress(OSError):  # a dead worker is found out while listening
            worker.pipe.send(numbered[1])

    def _listen(self) -> None:
        """Wait until a worker answers or dies, and take note of either."""
        ready = set(wait([worker.pipe for worker in self._workers]))
        for worker in [worker for worker in self._workers if worker.pipe in ready]:
            try:
                answer = worker.pipe.recv()
            except (EOFError, OSError):
                self._bury(worker)
                continue
            if isinstance(answer, _NotSetUp):
                raise answer.problem
            number, task = worker.held.popleft()
            self._done[number] = (task, answer)

    def _bury(self, worker: _Worker[Task]) -> None:
        """Take a dead worker's tasks back; the one it had in its hands has one try less."""
        self._workers.remove(worker)
        worker.pipe.close()
        worker.process.join()
        code = worker.process.exitcode
        worker.process.close()
        if worker.held:
            number, task = worker.held[0]
            self._tries[number] = self._tries.get(number, 0) + 1
            if self._tries[number] >= TRIES:
                worker.held.popleft()
                self._done[number] = (task, Broken(f"The process at work on it died {TRIES} times ({_cause(code)})."))
        self._again.extendleft(reversed(worker.held))


def _context() -> BaseContext:
    """Fork where that is safe: workers then share what is loaded already. With threads about, start afresh."""
    forks = sys.platform == "linux" and threading.active_count() == 1
    return multiprocessing.get_context("fork" if forks else "spawn")


def _work(pipe: Connection, inherited: tuple[Connection, ...], setup: Callable[[], Callable[[Task], Answer]]) -> None:
    """Answer tasks until our side of the pipe is closed, also by the death of the process on the other side."""
    for name, then in (("SIGINT", signal.SIG_IGN), ("SIGHUP", signal.SIG_IGN), ("SIGTERM", signal.SIG_DFL)):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), then)
    for other in inherited:
        other.close()
    with contextlib.suppress(EOFError, OSError):
        try:
            work = setup()
        except StudioError as error:
            pipe.send(_NotSetUp(error))
            return
        except Exception:
            pipe.send(_NotSetUp(RuntimeError(f"A worker could not start.\n{traceback.format_exc()}")))
            return
        with _collecting_seldom():
            while True:
                task = pipe.recv()
                pipe.send(_answered(work, task))


@contextlib.contextmanager
def _collecting_seldom() -> Iterator[None]:
    """Look for garbage in cycles seldom while tasks are done: they leave next to none, and what is kept is much."""
    usual = gc.get_threshold()
    gc.set_threshold(*_COLLECTING)
    try:
        yield
    finally:
        gc.set_threshold(*usual)


def _answered(work: Callable[[Task], Answer], task: Task) -> Answer | Broken | StudioError:
    try:
        return work(task)
    except StudioError as error:
        return error
    except Exception as error:
        return Broken(f"{type(error).__name__}: {error}", traceback.format_exc())


def _cause(code: int | None) -> str:
    """Return why a process ended, in words."""
    if code is not None and code < 0:
        with contextlib.suppress(ValueError):
            return signal.Signals(-code).name
    return f"code {code}"
