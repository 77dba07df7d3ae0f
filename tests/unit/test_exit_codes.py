from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from studio.__main__ import main
from studio.basics import errors
from studio.basics.errors import StudioError
from studio.cli.diagnostics import CODES, ExitCode, code_of, guarded

QUICK = ["--artwork", "none", "--blank", "round:80mm", "--dpi", "72"]
PROJECT = Path(__file__).parents[2]


@pytest.fixture(autouse=True)
def clean_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Run in an empty folder, with nobody's settings and a log of its own."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SAPWOOD_SETTINGS", str(tmp_path / "settings"))
    monkeypatch.setenv("SAPWOOD_STATE", str(tmp_path / "state"))


def sapwood(*arguments: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """Run the program as a process of its own."""
    environment = os.environ | {"PYTHONPATH": str(PROJECT), "PYTHONUTF8": "1"}
    return subprocess.run(
        [sys.executable, "-m", "studio", *arguments], cwd=folder, env=environment, capture_output=True, text=True
    )


def test_every_kind_of_error_has_its_code() -> None:
    """Each class of error maps to a code by its type or its kind's; one that nobody listed counts as a bug."""
    kinds = {kind for kind in vars(errors).values() if isinstance(kind, type) and issubclass(kind, StudioError)}
    direct = {kind for kind in kinds if StudioError in kind.__bases__}
    assert set(CODES) == direct
    assert all(code_of(kind("x")) != ExitCode.INTERNAL for kind in kinds - {StudioError})
    assert code_of(StudioError("x")) == ExitCode.INTERNAL


def test_codes_are_the_published_ones() -> None:
    """The numbers that scripts rely on stay what they are."""
    assert {code.name: code.value for code in ExitCode} == {
        "OK": 0,
        "SOME_REFUSED": 1,
        "USAGE": 2,
        "INPUT": 3,
        "FONT": 4,
        "OUTPUT": 5,
        "VERIFY": 6,
        "INTERNAL": 70,
        "HUNG_UP": 129,
        "INTERRUPTED": 130,
        "TERMINATED": 143,
    }


def test_0_made() -> None:
    """A sign that fits is made."""
    assert main(["render", "Loon", *QUICK]) == 0


def test_1_refused() -> None:
    """A sign without room is refused."""
    assert main(["render", "Loon", *QUICK, "--min-cap", "70mm"]) == 1


@pytest.mark.parametrize(
    "argv",
    [
        ["rendr", "Loon"],
        ["render", "Loon", "--fce", "x"],
        ["render", "Loon", "--face", "Pacificco"],
        ["render", "Loon", "--cap", "20"],
        ["render", ""],
        ["list", "fonts"],
        ["--frobnicate"],
    ],
)
def test_2_wrong_usage(argv: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """Wrong usage, a wrong value and an unknown name are told in sentences, and nothing goes to stdout."""
    assert main(argv) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith("sapwood: ")


def test_2_mistake_in_settings(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A wrong key in the folder's settings is named with its file and the nearest key."""
    (tmp_path / "sapwood.toml").write_text('[sign]\nblnk = "round-8in"\n')
    assert main(["check", "Loon"]) == 2
    told = capsys.readouterr().err
    assert "sapwood.toml line 2" in told
    assert "'blank'" in told


@pytest.mark.parametrize(
    ("name", "content"),
    [("gone.png", None), ("torn.png", b"\x89PNG\r\n\x1a\n" + bytes(20)), ("odd.jpg", b"hello")],
)
def test_3_pictures(name: str, content: bytes | None, tmp_path: Path) -> None:
    """A missing, a torn and a foreign picture."""
    if content is not None:
        (tmp_path / name).write_bytes(content)
    assert main(["render", "Loon", "--artwork", name]) == 3


def test_3_and_4_places_that_are_no_files() -> None:
    """Folders and devices are neither pictures nor fonts, and nothing waits for their end."""
    for place in ("/", "./..", "/dev/zero"):
        assert main(["check", "Loon", "--artwork", place]) == 3
        assert main(["check", "Loon", "--artwork", "none", "--face", place]) == 4


def test_3_order_list(tmp_path: Path) -> None:
    """A missing and an empty order list."""
    (tmp_path / "empty.csv").write_text("name\n")
    assert main(["batch", "gone.csv"]) == 3
    assert main(["batch", "empty.csv"]) == 3


@pytest.mark.parametrize("content", [None, b"", b"\0\1\0\0" + bytes(60), b"OTTO" + b"\xff" * 500])
def test_4_fonts(content: bytes | None, tmp_path: Path) -> None:
    """A missing, an empty and two damaged font files."""
    if content is not None:
        (tmp_path / "own.ttf").write_bytes(content)
    assert main(["check", "Loon", "--artwork", "none", "--face", "own.ttf"]) == 4


def test_5_cannot_write(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A folder whose place a file takes, and names that are taken."""
    (tmp_path / "file").write_text("x")
    assert main(["render", "Loon", *QUICK, "-o", "file/out"]) == 5
    assert main(["render", "Loon", *QUICK]) == 0
    assert main(["render", "Loon", *QUICK]) == 5
    assert "--overwrite" in capsys.readouterr().err


def test_5_disk_full(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """A full disk is told, and no file nor half of one is left."""

    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    assert main(["render", "Loon", *QUICK, "-o", "out"]) == 5
    assert "disk is full" in capsys.readouterr().err
    assert list((tmp_path / "out").iterdir()) == []


def test_6_does_not_read_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A disk that gives back other bytes than it was given: the file does not take its name."""
    honest = Path.read_bytes

    def forgetful(path: Path) -> bytes:
        data = honest(path)
        return data[:-1] + b"?" if path.suffix == ".part" else data

    monkeypatch.setattr(Path, "read_bytes", forgetful)
    assert main(["render", "Loon", *QUICK, "-o", "out"]) == 6
    assert list((tmp_path / "out").iterdir()) == []


def test_70_bug(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """A bug is told without a traceback, which goes into a log whose path is told."""
    import studio.cli.check as command

    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("the boat leaks")

    monkeypatch.setattr(command, "plan", broken)
    assert main(["check", "Loon", *QUICK]) == 70
    told = capsys.readouterr().err
    log = tmp_path / "state" / "log" / "sapwood.log"
    assert str(log) in told
    assert "Traceback" not in told
    assert "the boat leaks" in log.read_text()


def test_130_interrupted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Ctrl+C while files are written ends with its code, a sentence, and no half file."""

    def struck(handle: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", struck)
    assert main(["render", "Loon", *QUICK, "-o", "out"]) == 130
    assert "Stopped" in capsys.readouterr().err
    assert list((tmp_path / "out").iterdir()) == []


def test_130_from_a_real_signal(tmp_path: Path) -> None:
    """An interrupt sent to the running process, wherever it is just then, gives 130 and no traceback."""
    environment = os.environ | {"PYTHONPATH": str(PROJECT)}
    arguments = [sys.executable, "-m", "studio", "render", "Loon", "--dpi", "600", "-o", "out"]
    process = subprocess.Popen(arguments, cwd=tmp_path, env=environment, stderr=subprocess.PIPE, text=True)
    deadline = time.monotonic() + 30
    while not (tmp_path / "out").exists() and time.monotonic() < deadline:
        time.sleep(0.02)
    process.send_signal(signal.SIGINT)
    told = process.communicate(timeout=60)[1]
    assert process.returncode == 130, told
    assert "Traceback" not in told
    assert list((tmp_path / "out").iterdir()) == []


def test_reader_that_leaves_early_is_no_error(tmp_path: Path) -> None:
    """A closed pipe ends the program quietly."""
    command = f'{sys.executable} -m studio list faces --json | head -c 1; echo " ${{PIPESTATUS[0]}}"'
    environment = os.environ | {"PYTHONPATH": str(PROJECT)}
    ended = subprocess.run(["bash", "-c", command], cwd=tmp_path, env=environment, capture_output=True, text=True)
    assert ended.stdout.strip().endswith(" 0")
    assert ended.stderr == ""


def test_full_stdout_is_told(tmp_path: Path) -> None:
    """Results that cannot be written end with 5 and a sentence."""
    if not Path("/dev/full").exists():
        pytest.skip("this system has no /dev/full")
    environment = os.environ | {"PYTHONPATH": str(PROJECT)}
    with Path("/dev/full").open("w") as full:
        ended = subprocess.run(
            [sys.executable, "-m", "studio", "list", "faces"],
            cwd=tmp_path,
            env=environment,
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
        )
    assert ended.returncode == 5
    assert "could not be written" in ended.stderr
    assert "Traceback" not in ended.stderr


def test_codes_of_a_real_process(tmp_path: Path) -> None:
    """The codes reach the shell."""
    assert sapwood("list", "surfaces", folder=tmp_path).returncode == 0
    assert sapwood("list", "srufaces", folder=tmp_path).returncode == 2
    assert sapwood("check", "Loon", "--artwork", "no.png", folder=tmp_path).returncode == 3
    assert sapwood(folder=tmp_path).returncode == 2


def test_out_of_memory(capsys: pytest.CaptureFixture[str]) -> None:
    """Running out of memory is told with a way out."""

    def hungry() -> int:
        raise MemoryError

    assert guarded(hungry) == 70
    assert "--dpi" in capsys.readouterr().err
