"""Sheet sizes against the standards and a program that knows them."""

from __future__ import annotations

import shutil
import subprocess

import pytest

from studio.storage.catalogue import read_catalogue

SHEETS_MM = {paper.name: (paper.width_mm, paper.height_mm) for paper in read_catalogue().papers if not paper.is_roll}


def test_a_sizes_halve() -> None:
    """Each A size is the one before folded once. Source: ISO 216, the rule of its series (from memory)."""
    for number in range(6):
        short, long = SHEETS_MM[f"A{number}"]
        assert SHEETS_MM[f"A{number + 1}"] == (long // 2, short)


@pytest.mark.parametrize(
    ("name", "short_in", "long_in"),
    [("letter", 8.5, 11), ("legal", 8.5, 14), ("tabloid", 11, 17), ("C", 17, 22), ("D", 22, 34), ("13x19in", 13, 19)],
)
def test_inch_sizes(name: str, short_in: float, long_in: float) -> None:
    """Inch sheets are 25.4 mm an inch. Source: ANSI/ASME Y14.1 for C and D; common trade sizes for the others."""
    assert SHEETS_MM[name] == pytest.approx((short_in * 25.4, long_in * 25.4))


@pytest.mark.parametrize("name", ["A0", "A1", "A2", "A3", "A4", "A5", "A6", "B5", "letter", "legal", "tabloid"])
def test_sizes_agree_with_paperconf(name: str) -> None:
    """The paperconf program gives the same size within a millimetre. Source: libpaper, where it is installed."""
    program = shutil.which("paperconf")
    if program is None:
        pytest.skip("paperconf is not installed on this machine")
    told = subprocess.run([program, "-p", name.lower(), "-s", "-m"], capture_output=True, text=True, check=True)
    sizes = sorted(float(part) for part in told.stdout.replace("mm", "").split())
    assert sizes == pytest.approx(SHEETS_MM[name], abs=1)
