from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
from pathlib import Path

import filelock
import pytest

from studio.basics.errors import OutputError
from studio.production.lock import RunLock

ROOT = Path(__file__).parents[2]
HOLD = (
    "import os, sys, time\nfrom pathlib import Path\nfrom studio.production import lock\n"
    "import filelock\nif sys.argv[2] == 'plain': filelock.FileLock = filelock.SoftFileLock\n"
    "with lock.RunLock(Path(sys.argv[1])):\n"
    "    if sys.argv[3] == 'fork' and os.fork() == 0: print('held', os.getpid(), flush=True); time.sleep(60)\n"
    "    elif sys.argv[3] != 'fork': print('held', os.getpid(), flush=True)\n"
    "    time.sleep(60)\n"
)


@pytest.fixture(params=["flock", "plain"])
def kind(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Both ways of holding a folder: a lock of the system's, and a file that names the holder."""
    if request.param == "plain":
        monkeypatch.setattr(filelock, "FileLock", filelock.SoftFileLock)
    return str(request.param)


def holder(folder: Path, kind: str, fork: str = "") -> subprocess.Popen[str]:
    """Start a process that holds a folder, and return once it does."""
    process = subprocess.Popen(
        [sys.executable, "-c", HOLD, str(folder), kind, fork], cwd=ROOT, stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    process.told = process.stdout.readline().split()  # type: ignore[attr-defined]
    assert process.told[0] == "held"  # type: ignore[attr-defined]
    return process


def test_a_second_run_is_told_of_the_first(tmp_path: Path, kind: str) -> None:
    """While one process holds the folder another is refused, and told which process and what to do."""
    with holder(tmp_path, kind) as first:
        with pytest.raises(OutputError, match=f"process {first.pid} on") as caught, RunLock(tmp_path):
            pass
        assert str(tmp_path) in caught.value.message and "another folder" in caught.value.advice
        first.kill()


def test_a_killed_run_leaves_the_folder_free(tmp_path: Path, kind: str) -> None:
    """After kill -9 the next run takes the folder over at once."""
    with holder(tmp_path, kind) as first:
        first.send_signal(signal.SIGKILL)
        first.wait()
    with RunLock(tmp_path):
        pass


def test_a_worker_that_outlives_its_killed_run_holds_nothing(tmp_path: Path) -> None:
    """A forked child of a killed run does not keep the folder locked."""
    with holder(tmp_path, "flock", "fork") as first:
        child = int(first.told[1])  # type: ignore[attr-defined]
        assert child != first.pid
        first.send_signal(signal.SIGKILL)
        first.wait()
        try:
            os.kill(child, 0)
            with RunLock(tmp_path):
                pass
        finally:
            os.kill(child, signal.SIGKILL)


def test_the_same_process_cannot_run_twice_into_a_folder(tmp_path: Path, kind: str) -> None:
    """The studio and a second run in it are kept apart too; other folders are free."""
    with RunLock(tmp_path / "a"):
        with pytest.raises(OutputError, match="Another run"), RunLock(tmp_path / "a"):
            pass
        with RunLock(tmp_path / "b"):
            pass
    with RunLock(tmp_path / "a"):
        pass


def test_a_finished_run_names_no_holder(tmp_path: Path, kind: str) -> None:
    """After the run, also one that failed, nobody is named as holder and the folder is free."""
    with pytest.raises(ZeroDivisionError), RunLock(tmp_path):
        assert (tmp_path / ".sapwood" / "holder.json").exists()
        _ = 1 // 0
    assert not (tmp_path / ".sapwood" / "holder.json").exists()
    with RunLock(tmp_path):
        pass


def test_of_many_that_try_at_once_one_gets_it(tmp_path: Path, kind: str) -> None:
    """Eight threads that try together never hold the folder two at a time, and one gets through."""
    inside, most, got = 0, 0, 0
    start, end = threading.Barrier(8), threading.Barrier(8)

    def attempt() -> None:
        nonlocal inside, most, got
        start.wait()
        try:
            with RunLock(tmp_path):
                inside += 1
                got += 1
                most = max(most, inside)
                end.wait()
                inside -= 1
        except OutputError:
            end.wait()

    threads = [threading.Thread(target=attempt) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert (most, got) == (1, 1)


def test_a_disk_without_locks_has_a_file_in_their_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the system's lock is not to be had, a second run is refused all the same, with the file to delete."""

    class NoLock(filelock.UnixFileLock):
        def acquire(self, *_: object, **__: object) -> filelock.AcquireReturnProxy:  # type: ignore[override]
            raise NotImplementedError

    monkeypatch.setattr(filelock, "FileLock", NoLock)
    with RunLock(tmp_path):
        with pytest.raises(OutputError, match="delete") as caught, RunLock(tmp_path):
            pass
        assert str(tmp_path / ".sapwood" / "lock-by-name") in caught.value.advice
    with RunLock(tmp_path):
        pass


def test_a_folder_that_cannot_be_is_refused_in_words(tmp_path: Path) -> None:
    """A file in place of the folder is an error about writing."""
    (tmp_path / "out").write_bytes(b"")
    with pytest.raises(OutputError, match="is a file, not a folder"), RunLock(tmp_path / "out"):
        pass
