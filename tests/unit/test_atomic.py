from __future__ import annotations

import errno
import os
import resource
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from studio.basics.errors import OutputError, VerificationError
from studio.storage import atomic_write as atomic
from studio.storage.atomic_write import (
    holds,
    let_go,
    ready_folder,
    remove_stale_parts,
    settle_files,
    stale_parts,
    write_whole,
)
from studio.storage.processes import host_tag, process_alive

ROOT = Path(__file__).parents[2]


def names_in(folder: Path) -> list[str]:
    """Return the names of all files in a folder, hidden ones too."""
    return sorted(entry.name for entry in folder.iterdir())


@pytest.mark.parametrize("durable", [True, False])
@pytest.mark.parametrize("data", [b"", b"pine", bytes(range(256)) * 5000])
def test_all_bytes_arrive_and_nothing_else(tmp_path: Path, data: bytes, durable: bool) -> None:
    """The target holds exactly the bytes given, and no part file stays."""
    target = tmp_path / "a.png"
    write_whole(target, data, durable=durable)
    assert target.read_bytes() == data
    assert names_in(tmp_path) == ["a.png"]


@pytest.mark.parametrize("length", [0, 1, 131_071, 131_072, 131_073, 300_000])
def test_a_file_is_compared_to_its_last_byte(tmp_path: Path, length: int) -> None:
    """A file holds its bytes and no others: not one more, one less, or one that differs at either end."""
    file, data = tmp_path / "a", bytes(range(256)) * (length // 256) + bytes(range(length % 256))
    file.write_bytes(data)
    assert holds(file, data)
    assert not holds(file, data + b"x")
    if length:
        assert not holds(file, data[:-1])
        assert not holds(file, data[:-1] + bytes([data[-1] ^ 1])) and not holds(file, bytes([data[0] ^ 1]) + data[1:])


@pytest.mark.parametrize("taken", [1_000_000, 70_000, 1])
@pytest.mark.parametrize("lengths", [(), (0,), (1, 0, 3), (524_288, 1), (600_000, 5, 600_000), (40,) * 1200])
def test_parts_arrive_in_their_order(
    tmp_path: Path, lengths: tuple[int, ...], taken: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file given in parts holds them one after the other, also where the system takes less than it was handed."""
    parts = tuple(bytes([number % 251]) * length for number, length in enumerate(lengths))
    writev = os.writev
    monkeypatch.setattr(os, "writev", lambda handle, views: writev(handle, [b"".join(views)[:taken]]))
    write_whole(tmp_path / "a", parts, durable=False, verify=lambda part: holds(part, parts) or pytest.fail("other"))
    assert (tmp_path / "a").read_bytes() == b"".join(parts)
    assert holds(tmp_path / "a", parts) and not holds(tmp_path / "a", (*parts, b"x"))
    if sum(lengths):
        assert not holds(tmp_path / "a", (b"".join(parts)[:-1],))


def test_a_file_let_go_of_is_still_whole(tmp_path: Path) -> None:
    """Giving a file's memory back changes nothing in it; one that has gone meanwhile is passed over."""
    write_whole(tmp_path / "a", b"pine" * 100_000, durable=False)
    let_go(tmp_path / "a")
    let_go(tmp_path / "gone")
    assert (tmp_path / "a").read_bytes() == b"pine" * 100_000
    assert names_in(tmp_path) == ["a"]


def test_the_file_gets_the_usual_permissions(tmp_path: Path) -> None:
    """A written file is as readable as one made by `open`, not private like a temporary one."""
    (tmp_path / "plain").write_bytes(b"")
    write_whole(tmp_path / "whole", b"x")
    assert (tmp_path / "whole").stat().st_mode == (tmp_path / "plain").stat().st_mode


def test_an_existing_file_stays_without_overwrite(tmp_path: Path) -> None:
    """A taken name is refused with both ways out, and the file in place keeps its bytes."""
    target = tmp_path / "a.png"
    target.write_bytes(b"old")
    with pytest.raises(OutputError) as caught:
        write_whole(target, b"new")
    assert target.read_bytes() == b"old"
    assert caught.value.ways == ("overwrite", "out") and "another folder" in str(caught.value)
    assert str(target) in caught.value.message
    assert names_in(tmp_path) == ["a.png"]


def test_overwrite_replaces(tmp_path: Path) -> None:
    """With overwrite the new bytes take the name."""
    target = tmp_path / "a.png"
    target.write_bytes(b"old")
    write_whole(target, b"new", overwrite=True)
    assert target.read_bytes() == b"new"


def test_a_file_that_appears_meanwhile_is_not_lost(tmp_path: Path) -> None:
    """A name taken between the first look and the rename is refused, not overwritten."""
    target = tmp_path / "a.png"
    with pytest.raises(OutputError, match="there already"):
        write_whole(target, b"mine", verify=lambda _: target.write_bytes(b"theirs") and None)
    assert target.read_bytes() == b"theirs"
    assert names_in(tmp_path) == ["a.png"]


@pytest.mark.parametrize("taken_meanwhile", [False, True])
def test_a_disk_without_hard_links_is_served(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, taken_meanwhile: bool
) -> None:
    """Where hard links are not known the file still gets its name, and a taken one is still refused."""
    target = tmp_path / "a.png"

    def no_links(self: Path, other: Path) -> None:
        if taken_meanwhile:
            target.write_bytes(b"theirs")
        raise OSError(errno.EPERM, "no hard links")

    monkeypatch.setattr(Path, "hardlink_to", no_links)
    if taken_meanwhile:
        with pytest.raises(OutputError, match="there already"):
            write_whole(target, b"mine")
    else:
        write_whole(target, b"mine")
    assert target.read_bytes() == (b"theirs" if taken_meanwhile else b"mine")
    assert names_in(tmp_path) == ["a.png"]


@pytest.mark.parametrize("problem", [KeyboardInterrupt(), VerificationError("wrong"), MemoryError()])
def test_what_stops_the_check_leaves_nothing(tmp_path: Path, problem: BaseException) -> None:
    """Ctrl+C or a failed check leaves the folder as it was."""

    def verify(part: Path) -> None:
        assert part.read_bytes() == b"new"
        raise problem

    (tmp_path / "old.png").write_bytes(b"old")
    with pytest.raises(type(problem)):
        write_whole(tmp_path / "new.png", b"new", verify=verify)
    with pytest.raises(type(problem)):
        write_whole(tmp_path / "old.png", b"new", verify=verify, overwrite=True)
    assert names_in(tmp_path) == ["old.png"]
    assert (tmp_path / "old.png").read_bytes() == b"old"


def test_interrupting_the_write_itself_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl+C while the bytes go to the disk leaves no part file."""

    def interrupted(_: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_whole(tmp_path / "a.png", b"new")
    assert names_in(tmp_path) == []


def test_a_part_that_cannot_be_read_again_is_a_failed_verification(tmp_path: Path) -> None:
    """A disk error while re-reading counts as a file that did not read back."""

    def verify(_: Path) -> None:
        raise OSError(errno.EIO, "Input/output error")

    with pytest.raises(VerificationError, match="could not be read again"):
        write_whole(tmp_path / "a.png", b"new", verify=verify)
    assert names_in(tmp_path) == []


@pytest.mark.parametrize(
    ("number", "says"),
    [
        (errno.ENOSPC, "disk is full"),
        (errno.EACCES, "have permission to write"),
        (errno.EROFS, "only be read"),
        (errno.EFBIG, "larger than"),
        (errno.EIO, "could not be written"),
    ],
)
def test_the_system_complaint_becomes_a_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, says: str
) -> None:
    """Each way a write can fail names the file and a way out, and leaves nothing."""

    def fails(_: int) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "fsync", fails)
    with pytest.raises(OutputError, match=says) as caught:
        write_whole(tmp_path / "a.png", b"new")
    assert str(tmp_path) in caught.value.message
    assert caught.value.advice
    assert names_in(tmp_path) == []


def test_a_file_size_limit_leaves_nothing(tmp_path: Path) -> None:
    """A write that the system cuts off half-way leaves neither target nor part file."""
    script = (
        "import resource, sys\nfrom pathlib import Path\nfrom studio.basics.errors import OutputError\n"
        "from studio.storage.atomic_write import write_whole\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, resource.RLIM_INFINITY))\n"
        "try:\n    write_whole(Path(sys.argv[1]), bytes(1_000_000))\n"
        "except OutputError as problem:\n    print(problem.message)\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", script, str(tmp_path / "a.png")], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert "larger than" in ran.stdout
    assert names_in(tmp_path) == []
    assert resource.getrlimit(resource.RLIMIT_FSIZE)[1] == resource.RLIM_INFINITY


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("x" * 300, "too long"),
        ("a\0b", "cannot be the name"),
        ("a\udc80\ud800b", "cannot be the name"),
        ("missing/a.png", "not there"),
        ("file/a.png", "is a file, not a folder"),
        ("folder", "is a folder"),
    ],
)
@pytest.mark.parametrize("overwrite", [True, False])
def test_impossible_targets_are_refused_in_words(tmp_path: Path, name: str, says: str, overwrite: bool) -> None:
    """A name that cannot be had is refused with the reason, and nothing is left behind."""
    (tmp_path / "file").write_bytes(b"old")
    (tmp_path / "folder").mkdir()
    with pytest.raises(OutputError, match=says):
        write_whole(tmp_path / name, b"new", overwrite=overwrite)
    assert names_in(tmp_path) == ["file", "folder"]
    assert (tmp_path / "file").read_bytes() == b"old"


def test_a_folder_is_made_and_proved(tmp_path: Path) -> None:
    """A run's folder is made with its parents, and the proof that it can be written leaves nothing."""
    ready_folder(tmp_path / "a" / "b")
    ready_folder(tmp_path / "a" / "b")
    assert names_in(tmp_path / "a" / "b") == []


def test_a_file_in_place_of_the_folder_is_named(tmp_path: Path) -> None:
    """A file where the folder, or one above it, should be is named in the message."""
    (tmp_path / "out").write_bytes(b"old")
    for folder in (tmp_path / "out", tmp_path / "out" / "deeper"):
        with pytest.raises(OutputError, match="is a file, not a folder") as caught:
            ready_folder(folder)
        assert f"{tmp_path / 'out'} is" in caught.value.message


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may write anywhere")
def test_a_folder_without_permission_is_named(tmp_path: Path) -> None:
    """A folder that may not be written is refused before any work."""
    tmp_path.chmod(0o500)
    with pytest.raises(OutputError, match="may not write"):
        ready_folder(tmp_path)


def test_a_folder_the_system_keeps_is_refused() -> None:
    """A folder in which nobody can make files is refused in words, with no trace of the system's own."""
    with pytest.raises(OutputError) as caught:
        ready_folder(Path("/proc/self"))
    assert "/proc/self" in caught.value.message
    assert caught.value.advice


def test_many_writers_of_one_name_leave_one_whole_file(tmp_path: Path) -> None:
    """Of eight writers racing for a name exactly one succeeds, and the file is wholly its own."""
    target, won, refused = tmp_path / "a.png", [], []

    def write(number: int) -> None:
        try:
            write_whole(target, bytes([number]) * 50_000, durable=False)
            won.append(number)
        except OutputError:
            refused.append(number)

    threads = [threading.Thread(target=write, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert (len(won), len(refused)) == (1, 7)
    assert target.read_bytes() == bytes([won[0]]) * 50_000
    assert names_in(tmp_path) == ["a.png"]


def test_a_killed_writer_leaves_no_target_and_a_part_known_as_stale(tmp_path: Path) -> None:
    """After kill -9 before the rename no target exists, the part is known as a dead writer's, and goes."""
    script = (
        "import sys, time\nfrom pathlib import Path\nfrom studio.storage.atomic_write import write_whole\n"
        "def stall(part):\n    print('stalled', flush=True)\n    time.sleep(60)\n"
        "write_whole(Path(sys.argv[1]), bytes(100_000), verify=stall)\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", script, str(tmp_path / "a.png")], cwd=ROOT, stdout=subprocess.PIPE
    ) as writer:
        assert writer.stdout is not None
        assert writer.stdout.readline() == b"stalled\n"
        assert process_alive(writer.pid)
        assert stale_parts(tmp_path) == ()
        writer.send_signal(signal.SIGKILL)
        writer.wait()
    assert not process_alive(writer.pid)
    left = names_in(tmp_path)
    assert len(left) == 1 and left[0].endswith(".part") and left[0].startswith(".")
    assert [part.name for part in stale_parts(tmp_path)] == left
    assert remove_stale_parts(tmp_path) == 1
    assert names_in(tmp_path) == []


def test_a_part_older_than_the_process_of_its_number_is_stale(tmp_path: Path) -> None:
    """A part written an hour before the process that now has its writer's number began is a dead writer's."""
    now, before = (tmp_path / f".sapwood-{host_tag()}-{os.getpid()}-{turn}.part" for turn in (7, 8))
    for file in (now, before):
        file.write_bytes(b"")
    began = time.time() - 3600 - time.clock_gettime(time.CLOCK_BOOTTIME)  # older than anything that runs here
    os.utime(before, (began, began))
    assert stale_parts(tmp_path) == (before,)


def test_living_and_foreign_parts_are_left_alone(tmp_path: Path) -> None:
    """Only dead writers' parts count as stale: no living one's, no other machine's of today, no other file."""
    alive = tmp_path / f".sapwood-{host_tag()}-{os.getpid()}-7.part"
    foreign = tmp_path / ".sapwood-elsewhere9-1-7.part"
    old = tmp_path / ".sapwood-elsewhere9-1-8.part"
    other = tmp_path / ".hidden.part"
    for file in (alive, foreign, old, other):
        file.write_bytes(b"")
    os.utime(old, (0, 0))
    assert stale_parts(tmp_path) == (old,)
    assert stale_parts(tmp_path / "nowhere") == ()


def test_settling_passes_over_what_has_gone(tmp_path: Path) -> None:
    """Forcing files to the disk afterwards keeps them as they are and does not mind a missing one."""
    write_whole(tmp_path / "a", b"x", durable=False)
    settle_files((tmp_path / "a", tmp_path / "gone"))
    assert names_in(tmp_path) == ["a"]


def test_a_short_file_is_not_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A part file shorter than what was written is refused."""
    whole = atomic._write_part

    def cut(target: Path, data: bytes, *, durable: bool) -> Path:
        part = whole(target, data, durable=durable)
        os.truncate(part, 3)
        return part

    monkeypatch.setattr(atomic, "_write_part", cut)
    with pytest.raises(VerificationError, match="3 bytes long in place of 4"):
        write_whole(tmp_path / "a", b"pine")
    assert names_in(tmp_path) == []
