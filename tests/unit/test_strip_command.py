"""`sapwood strip` as typed: files, messages and exit codes."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from studio.cli.main import run
from studio.storage.catalogue import known_keys
from studio.storage.settings import read_settings
from studio.storage.surface_entry import surface_of
from tests.strip.simulator import Camera, Press, photographed, pressed


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SAPWOOD_SETTINGS", str(tmp_path / "settings"))
    monkeypatch.chdir(tmp_path)


def test_a_strip_is_printed_read_and_kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Print writes the strip and its page; reading its photo writes entry and picture and keeps the surface."""
    assert run(["strip", "print"]) == 0
    assert capsys.readouterr().out.split() == ["strip-print.png", "strip.txt"]
    assert "grain runs along the long side" in Path("strip.txt").read_text()
    scene = pressed(Path("strip-print.png").read_bytes(), Press(wood="film", texture=0.02), 1)
    codes = photographed(scene, Camera(px_per_mm=12, turn_deg=-160, noise=0.004), 1)
    Image.fromarray(codes).save("photo.jpg", quality=92)

    command = ["strip", "read", "photo.jpg", "--ruler", "100mm=99.4mm", "--surface", "film", "--save", "my-film"]
    assert run(command) == 0
    out, err = capsys.readouterr()
    assert out.startswith("[surfaces.my-film]")
    assert 'mixing = "dye"' in out
    assert "Scale, from the rulers: 99.40% along the long side" in err
    assert "film says 0.17 and 0.17 mm (starting value)" in err
    assert Path("photo-found.png").stat().st_size > 10_000
    surface = surface_of(read_settings(tmp_path / "sapwood.toml", known_keys()).surfaces[0])
    assert surface.name == "my-film"
    assert surface.standing.startswith("measured 20")
    assert abs(surface.spread_along_mm - 0.35) < 0.02

    assert run(["list", "surfaces"]) == 0
    listed = capsys.readouterr().out
    assert "starting value" in listed
    assert surface.standing in listed
    assert run(["strip", "read", "photo.jpg", "--json", "-o", "found"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert document["rings_found"] == 7
    assert document["scale"] is None
    assert {rung["grade"] for rung in document["ladders"]["gap"]} == {"good", "soft", "lost"}
    assert Path("found/photo-found.png").exists()


def test_a_note_by_eye_is_an_estimate(capsys: pytest.CaptureFixture[str]) -> None:
    """Gaps noted by eye make a surface, said to be an estimate within a quarter."""
    command = ["strip", "note", "--gap-along", "0.7mm", "--gap-across", "0.5mm", "--line", "0.4mm", "--save", "eye"]
    assert run(command) == 0
    out, err = capsys.readouterr()
    assert 'spread_along = "0.30mm"' in out
    assert "within 25%" in err
    assert "mixing" not in out


def test_a_picture_of_something_else_ends_with_3(capsys: pytest.CaptureFixture[str]) -> None:
    """A picture without a strip ends with exit code 3, one sentence and what to do; nothing is written."""
    Image.fromarray(np.full((300, 400, 3), 180, np.uint8)).save("wrong.png")
    assert run(["strip", "read", "wrong.png", "--save", "x"]) == 3
    assert "There is no test strip in this picture" in capsys.readouterr().err
    assert sorted(path.name for path in Path().iterdir() if path.is_file()) == ["wrong.png"]


@pytest.mark.parametrize(
    ("argv", "words"),
    [
        (["strip", "prnt"], "did you mean"),
        (["strip", "read"], "no picture to read"),
        (["strip", "print", "x.png"], "more than sapwood strip print takes"),
        (["strip", "note", "--gap-along", "0.7mm"], "needs both gaps"),
        (["strip", "read", "x.png", "--save", "a b"], "not a name for a surface"),
        (["strip", "read", "x.png", "--scanned", "5"], "--scanned"),
        (["strip", "read", "x.png", "--scanned", "600", "--ruler", "100mm=99mm"], "both tell the scale"),
    ],
)
def test_slips_are_told(argv: list[str], words: str, capsys: pytest.CaptureFixture[str]) -> None:
    """A slip on the command line ends with exit code 2 and says what is meant."""
    assert run(argv) == 2
    assert words in capsys.readouterr().err


def test_files_that_are_there_stay(capsys: pytest.CaptureFixture[str]) -> None:
    """Printing twice refuses to replace the strip, unless that is asked for."""
    assert run(["strip", "print"]) == 0
    assert run(["strip", "print"]) == 5
    assert run(["strip", "print", "--overwrite"]) == 0


def test_the_strip_goes_on_paper(capsys: pytest.CaptureFixture[str]) -> None:
    """On letter paper the strip is one page of a PDF at true size, with its name to search."""
    import pypdfium2

    assert run(["strip", "print", "--paper", "letter"]) == 0
    assert "strip-sheet.pdf" in capsys.readouterr().out
    document = pypdfium2.PdfDocument("strip-sheet.pdf")
    assert len(document) == 1
    assert document[0].get_size() == pytest.approx((612, 792), abs=0.5)
    assert "test strip" in document[0].get_textpage().get_text_range()


@pytest.mark.slow
def test_the_strip_shares_a_sheet_with_signs(capsys: pytest.CaptureFixture[str]) -> None:
    """A list's small signs and the test strip stand on one sheet; the report names the signs' places alone."""
    import pypdfium2

    Path("orders.csv").write_text("name,blank,artwork\nIda,round:4in,none\nTom,round:4in,none\n")
    command = ["batch", "orders.csv", "-o", "out", "--paper", "a4", "--with-strip", "--layout", "box", "--jobs", "1"]
    assert run(command) == 0
    document = pypdfium2.PdfDocument("out/sheets.pdf")
    text = document[0].get_textpage().get_text_range()
    assert len(document) == 1
    assert all(name in text for name in ("test strip", "Ida", "Tom"))


def test_a_strip_without_sheets_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    """--with-strip without paper says what to add."""
    Path("orders.csv").write_text("name\nIda\n")
    assert run(["batch", "orders.csv", "-o", "out", "--with-strip"]) == 2
    assert "Add --paper letter" in capsys.readouterr().err
