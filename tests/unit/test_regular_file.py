"""Only regular files are opened, whatever they were meant to be, and none without a bound."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from studio.basics.errors import PictureError, SettingsError
from studio.storage.regular_file import regular_bytes

PIPE_WAIT_S = 60
"""A pipe that nobody writes to would be waited for without end."""


def _read(path: Path, most_bytes: int = 100, first: int | None = None) -> bytes:
    return regular_bytes(path, most_bytes=most_bytes, what="settings file", error=SettingsError, first=first)


def test_a_regular_file_is_read_whole(tmp_path: Path) -> None:
    """A file comes back byte for byte up to the limit itself; its beginning is there to be had alone."""
    file = tmp_path / "a"
    file.write_bytes(bytes(range(100)))

    assert _read(file) == bytes(range(100))
    assert _read(file, first=33) == bytes(range(33))
    assert _read(file, most_bytes=10, first=33) == bytes(range(10))


def test_a_larger_file_is_refused(tmp_path: Path) -> None:
    """One byte over the limit is refused, with the size and the limit."""
    file = tmp_path / "a"
    file.write_bytes(bytes(2_500_001))

    with pytest.raises(SettingsError, match=r"2\.5 MB.*at most 2\.5 MB"):
        _read(file, most_bytes=2_500_000)


def test_what_is_no_regular_file_is_refused_by_its_kind(tmp_path: Path) -> None:
    """A folder, a pipe and a device are told by what they are, and not opened."""
    os.mkfifo(tmp_path / "pipe")
    for path, says in ((tmp_path, "a folder"), (tmp_path / "pipe", "a named pipe"), (Path("/dev/zero"), "a device")):
        with pytest.raises(SettingsError, match=f"is {says}, not a settings file"):
            _read(path)


def test_what_is_not_there_is_left_to_the_caller(tmp_path: Path) -> None:
    """A missing file raises what the system says."""
    with pytest.raises(FileNotFoundError):
        _read(tmp_path / "none")


def test_a_file_that_hides_its_size_is_bounded() -> None:
    """A file of the kernel's that states no size is held to the limit all the same."""
    if not Path("/proc/self/maps").exists():
        pytest.skip("no such files here")
    with pytest.raises(PictureError, match=r"over 0\.0001 MB"):
        regular_bytes(Path("/proc/self/maps"), most_bytes=100, what="picture", error=PictureError)


@pytest.mark.parametrize(
    ("name", "options", "code"),
    [
        ("sapwood.toml", [], 2),
        ("pipe.png", ["--artwork", "pipe.png"], 3),
        ("pipe.ttf", ["--face", "./pipe.ttf"], 4),
    ],
)
def test_a_named_pipe_is_not_waited_for(name: str, options: list[str], code: int, tmp_path: Path) -> None:
    """A pipe in the place of settings, artwork or a font ends at once with a sentence and the code of its kind."""
    os.mkfifo(tmp_path / name)
    done = subprocess.run(
        [sys.executable, "-m", "studio", "check", "Ada", *options],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=PIPE_WAIT_S,
        env={**os.environ, "HOME": str(tmp_path)},
    )

    assert "is a named pipe" in done.stderr
    assert done.returncode == code
