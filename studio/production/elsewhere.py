"""Rows made elsewhere, by any `concurrent.futures` executor, with their files sent back: no disk need be shared.

Whatever is known without making it (rows kept, refused, or only listed) is answered at home. Only so many rows are
under way at a time, and their files wait where they were made until the row's turn comes.
"""

from __future__ import annotations

import functools
import hashlib
import pickle
import threading
import traceback
from collections import deque
from collections.abc import Callable, Generator, Iterable
from concurrent.futures import CancelledError, Executor
from dataclasses import replace
from pathlib import Path
from typing import Any, Final, Protocol, TypeAlias

from studio.basics.errors import OutputError, StudioError, VerificationError
from studio.production.make_row import RowAnswer, RowMaker, RowSettings, RowTask, RowWork
from studio.production.worker_pool import Broken
from studio.render.png.bands import BandedFile
from studio.storage.atomic_write import holds, write_whole

TRIES: Final = 2
AHEAD: Final = 16
"""Rows under way at a time where nothing is said."""

Answered: TypeAlias = RowAnswer | Broken | StudioError
_ANSWERS: Final = (RowAnswer, Broken, StudioError)


class Pending(Protocol):
    """An answer to be, as `concurrent.futures.Future` is."""

    def result(self) -> Any:
        """Wait for the answer and return it, or raise what became of it."""
        ...

    def cancel(self) -> object:
        """Give it up."""
        ...


class Submit(Protocol):
    """What hands a call to a worker, as `Executor.submit` does."""

    def __call__(self, call: Callable[[RowTask], Answered], task: RowTask, /) -> Pending:
        """Return the answer to be."""
        ...


class RowWorkElsewhere(RowWork):
    """Makes rows whose files are sent back in their answers, where the run's folder is on another machine."""

    def __init__(self, maker: RowMaker, settings: RowSettings) -> None:
        super().__init__(maker, settings)
        self._files: list[tuple[str, bytes]] = []

    def __call__(self, task: RowTask) -> RowAnswer:
        """Make a row, whatever an earlier run says of it, and return its answer with the files."""
        self._files.clear()
        answer = super().__call__(replace(task, entry=None, keeps=False))
        return replace(answer, files=tuple(self._files))

    def _write(self, name: str, file: BandedFile, check: Callable[[bytes], None]) -> None:
        self._files.append((name, file.data))


class RemoteWork:
    """The work on a run's rows as a value that can be sent to any worker; set up there once for each thread."""

    def __init__(self, maker: Callable[[], RowMaker], settings: RowSettings) -> None:
        """Set up.

        Args:
            maker: What makes a worker's maker; fit to be sent.
            settings: How rows are made; their folder is not looked at.
        """
        self._key = pickle.dumps((maker, settings))

    def __call__(self, task: RowTask) -> Answered:
        """Make a row and return its answer with its files, or what went wrong; nothing is raised."""
        return safely(lambda: _work_here(self._key)(task))


def safely(work: Callable[[], Answered]) -> Answered:
    """Return an answer, or what went wrong as one."""
    try:
        return work()
    except StudioError as error:
        return error
    except Exception as error:
        return Broken(f"{type(error).__name__}: {error}", traceback.format_exc())


_here = threading.local()


def _work_here(key: bytes) -> RowWorkElsewhere:
    """Return the work that this thread has set up for such a run already, so that pictures are read once."""
    works: dict[bytes, RowWorkElsewhere] = _here.__dict__.setdefault("works", {})
    if key not in works:
        if len(works) >= 2:
            works.clear()
        maker, settings = pickle.loads(key)
        works[key] = RowWorkElsewhere(maker(), settings)
    return works[key]


def by_executor(executor: Executor, *, ahead: int = AHEAD) -> functools.partial[Any]:
    """Return a source of answers for `run_orders`: rows are made by an executor of any kind.

    Args:
        executor: Threads, processes, a cluster's own; its workers must have the program installed and see the fonts
            and pictures under the same paths.
        ahead: Rows under way at a time.
    """
    return functools.partial(answers_elsewhere, submit=executor.submit, ahead=lambda: ahead)


def answers_elsewhere(
    tasks: Iterable[RowTask],
    maker: Callable[[], RowMaker],
    settings: RowSettings,
    *,
    jobs: int = 0,
    submit: Submit,
    ahead: Callable[[], int],
    work: Callable[[RowTask], Answered] | None = None,
) -> Generator[tuple[RowTask, Answered], None, None]:
    """Yield each task with its answer, in order, its files written and read back.

    Args:
        tasks: Read no further ahead than needed.
        maker: What makes a maker, here and elsewhere.
        settings: Of the run; `folder` is at home.
        jobs: Not looked at: how many workers there are is their owner's business.
        submit: Hands a call to a worker.
        ahead: How many rows may be under way now.
        work: What makes a row elsewhere; by default from `maker` and `settings`.
    """
    home = RowWork(maker(), settings)
    work = work or RemoteWork(maker, settings)
    waiting: deque[tuple[RowTask, str, Answered | Pending]] = deque()
    try:
        for task in tasks:
            waiting.append((task, *_begun(task, home, submit, work)))
            while waiting and (_under_way(waiting) >= ahead() or isinstance(waiting[0][2], _ANSWERS)):
                yield _ended(*waiting.popleft(), settings, submit, work)
        while waiting:
            yield _ended(*waiting.popleft(), settings, submit, work)
    finally:
        for _, _, answer in waiting:
            if not isinstance(answer, _ANSWERS):
                answer.cancel()


def _under_way(waiting: Iterable[tuple[RowTask, str, object]]) -> int:
    return sum(not isinstance(answer, _ANSWERS) for _, _, answer in waiting)


def _begun(
    task: RowTask, home: RowWork, submit: Submit, work: Callable[[RowTask], Answered]
) -> tuple[str, Answered | Pending]:
    """Return a row's digest, and its answer, or the one to be."""
    try:
        answer, digest = home.settled(task)
    except StudioError as error:
        return "", error
    except Exception as error:
        return "", Broken(f"{type(error).__name__}: {error}", traceback.format_exc())
    return digest, submit(work, replace(task, entry=None, keeps=False)) if answer is None else answer


def _ended(
    task: RowTask,
    digest: str,
    answer: Answered | Pending,
    settings: RowSettings,
    submit: Submit,
    work: Callable[[RowTask], Answered],
) -> tuple[RowTask, Answered]:
    """Wait for a row and write its files; one whose worker was lost is tried once more."""
    if isinstance(answer, _ANSWERS):
        return task, answer
    for attempt in range(1, TRIES + 1):
        try:
            found: Answered = answer.result()
            break
        except (Exception, CancelledError) as problem:
            if isinstance(problem, StudioError):
                return task, problem
            if attempt == TRIES:
                return task, Broken(f"The worker at it was lost {attempt} times ({type(problem).__name__}: {problem}).")
            try:
                answer = submit(work, replace(task, entry=None, keeps=False))
            except Exception as again:
                return task, Broken(f"No worker is left ({type(again).__name__}: {again}).")
    if not isinstance(found, RowAnswer):
        return task, found
    try:
        return task, written(found, digest, settings)
    except OutputError as error:
        return task, error
    except VerificationError as error:
        return task, Broken(f"{error}")


def written(answer: RowAnswer, digest: str, settings: RowSettings) -> RowAnswer:
    """Write the files that an answer brings, read them back, and return the answer without them.

    Args:
        answer: From elsewhere.
        digest: Of the order, as it is reckoned at home.
        settings: Where to, and whether files may be replaced.

    Raises:
        OutputError: A file cannot be written.
        VerificationError: A file is not what was made, or does not read back.
    """
    result = answer.entry.result
    expected = {result.print: result.sha256, result.proof: answer.entry.proof_sha256}
    for name, data in answer.files:
        if hashlib.sha256(data).hexdigest() != expected.get(name):
            raise VerificationError(f"{name} was changed on its way here.", advice="Make the row again.")

        def read_back(part: Path, name: str = name, data: bytes = data) -> None:
            if not holds(part, (data,)):
                raise VerificationError(f"{name} did not read back as it was made.", advice="Check the disk.")

        write_whole(settings.folder / name, data, verify=read_back, overwrite=settings.overwrite, durable=False)
    entry = replace(answer.entry, digest=digest if answer.entry.digest else "")
    return replace(answer, entry=entry, files=())
