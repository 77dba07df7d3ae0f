"""Rows made on a cluster of machines by dask.distributed, under the same run as at home.

The run's own fonts, pictures and settings travel to each worker once; rows go out one by one and come back with their
files. A lost worker costs its rows a second try, a lost scheduler the time until it is back. An optional extra:
`pip install 'sapwood[cluster]'`.
"""

from __future__ import annotations

import contextlib
import gc
import importlib.util
import logging
import re
import threading
import time
from collections.abc import Callable, Generator, Iterable
from types import TracebackType
from typing import Any, Final

from studio.basics.errors import OutputError, SettingsError, StudioError
from studio.production.elsewhere import Answered, Pending, RowWorkElsewhere, answers_elsewhere, safely
from studio.production.make_row import RowMaker, RowSettings, RowTask, RowWork
from studio.production.packages import Package

LOCAL: Final = "local"
PATIENCE_S: Final = 300.0
"""How long a scheduler that is gone is waited for."""
_ADDRESS: Final = re.compile(r"(tcp|tls|ucx|ws|wss)://[^\s/]+:\d{1,5}")
_LOOK_EVERY_S: Final = 5.0
_TELL_EVERY_S: Final = 30.0
_AHEAD_PER_THREAD: Final = 3
_MOST_AHEAD: Final = 512
_CONNECT_S: Final = 20.0

_LOCAL_CONFIG: Final = {
    "distributed.scheduler.allowed-failures": 1,
    "distributed.scheduler.work-stealing": False,
    "distributed.admin.tick.limit": "1h",
    "distributed.admin.system-monitor.interval": "5s",
    "distributed.admin.system-monitor.disk": False,
    "distributed.admin.system-monitor.gil.enabled": False,
    "distributed.worker.profile.enabled": False,
}
"""Two tries a row; and none of the watching that takes a share of the processor."""
_COLLECTING: Final = (20_000, 20, 20)

_packages: dict[str, Package] = {}
"""On a worker: the packages that came, by key."""
_setups: dict[str, Any] = {}
_unpacking = threading.Lock()
_here = threading.local()


def refuse_no_cluster(address: str) -> None:
    """Raise SettingsError for what is neither `local` nor a scheduler's address, or where dask is not installed."""
    if address != LOCAL and _ADDRESS.fullmatch(address) is None:
        raise SettingsError(
            f"{address[:60]!r} is not a cluster's address.", option="cluster", advice="Write tcp://HOST:8786, or local."
        )
    if importlib.util.find_spec("distributed") is None:
        raise SettingsError(
            "A cluster needs dask.distributed, which is not installed.",
            option="cluster",
            advice="pip install 'sapwood[cluster]'",
        )


class ClusterWork:
    """The work on a run's rows where the run's package has come already: a small value."""

    def __init__(self, key: str, settings: RowSettings, *, writes: bool = False) -> None:
        """Set up.

        Args:
            key: Of the package.
            settings: Of the run.
            writes: Whether workers see the run's folder and write into it; otherwise files come back with the answers.
        """
        self._key = key
        self._settings = settings
        self._writes = writes

    def __call__(self, task: RowTask) -> Answered:
        """Make a row and return its answer with its files, or what went wrong.

        Raises:
            LookupError: The package is not here yet; the row should be handed out again.
        """
        if self._key not in _packages:
            raise LookupError("the run's package is not on this worker yet")
        return safely(lambda: self._work()(task))

    def _work(self) -> RowWork:
        """Return what this thread has set up for the run already."""
        works: dict[Any, RowWork] = _here.__dict__.setdefault("works", {})
        key = (self._key, self._settings, self._writes)
        if key not in works:
            with _unpacking:
                if self._key not in _setups:
                    _setups[self._key] = _packages[self._key].unpacked()
            works.clear()
            kind = RowWork if self._writes else RowWorkElsewhere
            works[key] = kind(_setups[self._key](), self._settings)
        return works[key]


class WorkCluster:
    """A connection to a cluster; a context manager and a source of answers for `run_orders`."""

    def __init__(
        self,
        address: str,
        package: Package,
        *,
        workers: int,
        tell: Callable[[str], None],
        patience_s: float = PATIENCE_S,
    ) -> None:
        """Set up.

        Args:
            address: A scheduler's, or `local` for workers of this machine.
            package: What the run needs elsewhere.
            workers: How many processes a local cluster has.
            tell: Takes sentences while it waits.
            patience_s: How long a scheduler that is gone is waited for.

        Raises:
            SettingsError: It is no address, or dask.distributed is not installed.
        """
        refuse_no_cluster(address)
        import distributed

        self._dask: Any = distributed
        self._address = address
        self._package = package
        self._workers = workers
        self._tell = tell
        self._patience_s = patience_s
        self._local: Any = None
        self._client: Any = None
        self._generation = 0
        self._scheduler = ""
        self._threads = 0
        self._looked_s = self._told_s = time.monotonic()

    def __enter__(self) -> WorkCluster:
        """Connect. Raises OutputError where nobody answers."""
        for name in ("asyncio", "tornado", *logging.root.manager.loggerDict):
            if name.partition(".")[0] in ("asyncio", "tornado", "distributed"):
                logging.getLogger(name).setLevel(logging.CRITICAL + 1)  # what goes wrong is told by us
        if self._address == LOCAL:
            import dask

            dask.config.set(_LOCAL_CONFIG)
            self._local = self._dask.LocalCluster(
                n_workers=self._workers,
                threads_per_worker=1,
                processes=True,
                dashboard_address=":0",
                memory_limit=None,
                silence_logs=logging.CRITICAL,
            )
        self._connect()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        for each in (self._client, self._local):
            if each is not None:
                with contextlib.suppress(Exception):
                    each.close(timeout=5)

    def __call__(
        self, tasks: Iterable[RowTask], maker: Callable[[], RowMaker], settings: RowSettings, *, jobs: int
    ) -> Generator[tuple[RowTask, Answered], None, None]:
        """Yield each task with its answer, in order, its files written and read back."""
        work = ClusterWork(self._package.key, settings, writes=self._address == LOCAL)
        return answers_elsewhere(tasks, maker, settings, submit=self.submit, ahead=self.ahead, work=work)

    def submit(self, call: Callable[[RowTask], Answered], task: RowTask) -> Pending:
        """Hand a row to a worker."""
        return _OnCluster(self, call, task)

    def ahead(self) -> int:
        """Return how many rows may be under way now: a few for each thread there is."""
        now = time.monotonic()
        if now - self._looked_s > _LOOK_EVERY_S or not self._threads:
            self._looked_s = now
            with contextlib.suppress(Exception):
                self._threads = sum(self._client.nthreads().values())
        return max(4, min(self._threads * _AHEAD_PER_THREAD, _MOST_AHEAD))

    def handed_out(self, call: Callable[[RowTask], Answered], task: RowTask) -> tuple[Any, int]:
        """Return dask's future for a row, and the connection it belongs to."""
        try:
            return self._client.submit(call, task, pure=False, retries=0), self._generation
        except Exception:
            self.connect_again(self._generation)
            return self._client.submit(call, task, pure=False, retries=0), self._generation

    def is_there(self) -> bool:
        """Return whether the scheduler answers, and is the one that the rows were handed to."""
        try:
            return self._client.status == "running" and self._scheduler_now() == self._scheduler
        except Exception:
            return False

    def connect_again(self, generation: int) -> None:
        """Connect anew where the connection of that number is lost, and wait for the scheduler to come back.

        Raises:
            OutputError: It does not.
        """
        if generation != self._generation:
            return
        with contextlib.suppress(Exception):
            self._client.close(timeout=2)
        if self._address == LOCAL:
            raise OutputError("The local cluster has ended.", advice="Resume the run.", ways=("resume",))
        minutes = f"{self._patience_s / 60:.0f} min"
        self._tell(f"The scheduler at {self._address} is gone; waiting up to {minutes} for it.")
        ends = time.monotonic() + self._patience_s
        while True:
            try:
                self._connect()
            except OutputError:
                if time.monotonic() > ends:
                    raise
                time.sleep(1.0)
            else:
                self._tell(f"The scheduler at {self._address} is back.")
                return

    def tell_if_idle(self) -> None:
        """Say so now and then where no worker is there."""
        now = time.monotonic()
        if now - self._told_s < _TELL_EVERY_S:
            return
        self._told_s = now
        with contextlib.suppress(Exception):
            if not self._client.nthreads():
                self._tell(f"No worker is connected to {self._address}; waiting for one.")

    @property
    def generation(self) -> int:
        """The number of the connection."""
        return self._generation

    @property
    def killed_worker(self) -> type[Exception]:
        """What dask raises for a row whose workers were lost too often."""
        kind: type[Exception] = self._dask.KilledWorker
        return kind

    def _connect(self) -> None:
        try:
            where = self._local if self._local is not None else self._address
            self._client = self._dask.Client(where, timeout=_CONNECT_S, set_as_default=False)
            self._client.register_plugin(_plugin(self._package), name=f"sapwood-{self._package.key[:24]}")
            self._scheduler = self._scheduler_now()
        except Exception as problem:
            raise OutputError(
                f"No cluster answers at {self._address} ({type(problem).__name__}).",
                advice="Start one: dask scheduler, and dask worker tcp://HOST:8786 on each machine; or use local.",
            ) from problem
        self._generation += 1
        self._threads = 0

    def _scheduler_now(self) -> str:
        """Return what tells the scheduler that answers from one before it at the same address."""
        told = self._client.sync(self._client.scheduler.identity, callback_timeout=10)
        return str(told["id"])


class _OnCluster:
    """A row that is made on the cluster: waits for it through lost workers and schedulers."""

    def __init__(self, cluster: WorkCluster, call: Callable[[RowTask], Answered], task: RowTask) -> None:
        self._cluster = cluster
        self._call = call
        self._task = task
        self._future, self._generation = cluster.handed_out(call, task)

    def result(self) -> Answered:
        """Return the row's answer.

        Raises:
            Exception: Its workers were lost too often.
            OutputError: The scheduler is gone for good.
        """
        while True:
            if self._generation != self._cluster.generation:
                self._future, self._generation = self._cluster.handed_out(self._call, self._task)
            try:
                answer: Answered = self._future.result(timeout=_LOOK_EVERY_S)
            except TimeoutError:
                self._cluster.tell_if_idle()
                if not self._cluster.is_there():
                    self._cluster.connect_again(self._generation)
                continue
            except (StudioError, self._cluster.killed_worker):
                raise
            except LookupError:
                time.sleep(0.2)
                self._future, self._generation = self._cluster.handed_out(self._call, self._task)
                continue
            except BaseException as problem:
                if isinstance(problem, KeyboardInterrupt | SystemExit):
                    raise
                if self._cluster.is_there():
                    raise
                self._cluster.connect_again(self._generation)
                continue
            self._future = None
            return answer

    def cancel(self) -> object:
        """Give the row up."""
        if self._future is not None:
            with contextlib.suppress(Exception):
                self._future.cancel()
        return None


def _plugin(package: Package) -> Any:
    """Return what brings a package to each worker, those that come later too."""
    from distributed import WorkerPlugin

    class Bringer(WorkerPlugin):
        """Keeps a run's package on a worker."""

        def __init__(self, package: Package) -> None:
            self.package = package

        def __reduce__(self) -> tuple[object, ...]:
            return (_plugin, (self.package,))

        def setup(self, worker: Any) -> None:
            """Take the package."""
            keep_package(self.package)

    return Bringer(package)


def keep_package(package: Package) -> None:
    """Keep a run's package on this worker, in place of those of runs before."""
    gc.set_threshold(*_COLLECTING)  # rows leave next to nothing in cycles, and what is kept is much
    for key in [key for key in _packages if key != package.key]:
        _packages.pop(key, None)
        _setups.pop(key, None)
    _packages[package.key] = package
