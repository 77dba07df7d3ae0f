"""Paper on the command line: what is written, what is said, and what is refused with a way out."""

from __future__ import annotations

import csv
import io
import os
from pathlib import Path

import pikepdf
import pytest

from studio.__main__ import main

QUICK = ["--artwork", "none", "--blank", "round:80mm", "--dpi", "72", "--surface", "factory"]
LARGE = ["--blank", "round:10in", "--dpi", "60"]


@pytest.fixture(autouse=True)
def clean_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Run in an empty folder, with nobody's settings and a log of its own."""
    monkeypatch.chdir(tmp_path)
    for name in [name for name in os.environ if name.startswith("SAPWOOD_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("SAPWOOD_SETTINGS", str(tmp_path / "settings"))
    monkeypatch.setenv("SAPWOOD_STATE", str(tmp_path / "state"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("PYTHONUTF8", "1")


def _orders(rows: str) -> None:
    Path("orders.csv").write_text(f"order,text,quantity,blank\n{rows}", encoding="utf-8")


def test_render_writes_the_sheets_beside_the_print(capsys: pytest.CaptureFixture[str]) -> None:
    """`--paper letter` adds NAME-sheets.pdf to the files, and says how many sheets and where the seam is."""
    assert main(["render", "Marlow & Tess", *LARGE, "--paper", "letter", "-o", "out"]) == 0

    told = capsys.readouterr()
    assert str(Path("out") / "marlow-tess-sheets.pdf") in told.out.split()
    assert "2 sheets of letter" in told.err and "clear of the lettering" in told.err
    with pikepdf.open("out/marlow-tess-sheets.pdf") as pdf:
        assert len(pdf.pages) == 2


def test_without_paper_nothing_changes() -> None:
    """Without `--paper` the files are those of before."""
    assert main(["render", "Nora", *QUICK, "-o", "out"]) == 0

    assert sorted(path.name for path in Path("out").iterdir()) == [
        "nora-print.png",
        "nora-proof.png",
        "nora-report.json",
        "nora-thumbnail.txt",
    ]


def test_a_seam_stands_where_it_is_wanted(capsys: pytest.CaptureFixture[str]) -> None:
    """`--seam 40mm` puts the one level seam 40 mm above the centre; `x=-20mm` an upright one, as the sign is read."""
    assert main(["render", "Nora", *LARGE, "--artwork", "none", "--paper", "letter", "--seam", "46mm"]) == 0
    assert "level at y 46.0 mm" in capsys.readouterr().err
    assert (
        main(["render", "Nora", *LARGE, "--artwork", "none", "--paper", "letter", "--seam", "x=-20mm", "-o", "b"]) == 0
    )
    assert "upright at x -20.0 mm" in capsys.readouterr().err


def test_ink_that_fits_goes_on_one_sheet_and_it_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    """Lettering alone fits a sheet that its blank does not: one sheet, and a sentence that says so."""
    argv = ["render", "Nora", *LARGE, "--artwork", "none", "--cap", "30mm", "--paper", "letter", "-o", "out"]
    assert main(argv) == 0

    assert "fits one sheet of letter, though the blank does not" in capsys.readouterr().err


def test_artwork_is_shrunk_to_the_paper_on_purpose(capsys: pytest.CaptureFixture[str]) -> None:
    """`--artwork-fit paper` prints all on one sheet, and what it costs is said."""
    argv = ["render", "Nora", *LARGE, "--artwork-fit", "paper", "--cap", "20mm", "--paper", "letter", "-o", "out"]
    assert main(argv) == 0

    told = capsys.readouterr().err
    assert "one sheet of letter" in told
    assert "no longer reaches the edge" in told


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["--paper", "leter"], "did you mean 'letter'"),
        (["--paper", "8.5x11"], "no unit"),
        (["--paper", "letter", "--printer-margins", "100mm"], "too little for a sign"),
        (["--paper", "letter", "--printer-margins", "300mm"], "is not a margin that a printer has"),
        (["--paper", "letter", "--printer-margins", "3mm,4mm"], "neither one length nor four"),
        (["--paper", "letter", "--overlap", "3mm"], "An overlap of 3 mm does not work"),
        (["--paper", "letter", "--overlap", "150mm"], "An overlap of 150 mm does not work"),
        (["--paper", "letter", "--seam", "here"], "is not a length"),
        (["--paper", "letter", "--seam", "400mm"], "lies beyond the sign"),
        (["--paper", "letter", "--blank", "round:12in", "--seam", "125mm"], "and the sheet takes"),
        (["--seam", "36mm"], "there are none"),
        (["--printer", "inkjet"], "No printer is known"),
        (["--paper", "letter", "--background", "transparent"], "transparent background"),
        (["--artwork-fit", "paper"], "needs a paper"),
        (["--paper", "roll:0in"], "smaller than any"),
        (["--paper", "9000mmx9000mm"], "larger than a page"),
    ],
)
def test_what_cannot_be_is_refused_before_anything_is_written(
    options: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A wrong paper, margin, overlap, seam or printer is told with a way out, exit code 2, and no file is there."""
    code = main(["render", "Nora", *LARGE, *options, "-o", "out"])

    told = capsys.readouterr().err
    assert code == 2
    assert says in told
    assert not Path("out").exists() or list(Path("out").iterdir()) == []


def test_a_printer_of_the_settings_is_used(capsys: pytest.CaptureFixture[str]) -> None:
    """`[printer.NAME]` gives paper, margins and measured scale; its pages carry the one matrix and say so."""
    Path("sapwood.toml").write_text(
        '[printer.inkjet]\npaper = "letter"\nmargins = "3.2mm"\nscale-across = 0.9965\nscale-feed = 1.0042\n'
        'skew = 0.0015\nmeasured = "2026-05-02"\n\n[papers.card]\nsize = "9inx12in"\n',
        encoding="utf-8",
    )
    assert main(["render", "Nora", *QUICK, "--printer", "inkjet", "-o", "out"]) == 0
    with pikepdf.open("out/nora-sheets.pdf") as pdf:
        first = pdf.pages[0].Contents.read_bytes().splitlines()[0].split()
    assert [float(number) for number in first[:4]] == pytest.approx(
        [1 / 0.9965, 0, -0.0015 / 1.0042, 1 / 1.0042], abs=1e-6
    )
    assert main(["render", "Nora", *QUICK, "--paper", "card", "-o", "out2"]) == 0
    assert main(["list", "printers"]) == 0
    assert "measured 2026-05-02" in capsys.readouterr().out


@pytest.mark.parametrize(("key", "value"), [("scale-across", "1.03"), ("skew", "0.5"), ("scale-feed", '"x"')])
def test_a_printer_that_cannot_be_is_refused(key: str, value: str, capsys: pytest.CaptureFixture[str]) -> None:
    """A scale over 2 % is the print dialog's, and is refused with the file's name."""
    Path("sapwood.toml").write_text(f'[printer.inkjet]\npaper = "letter"\n{key} = {value}\n', encoding="utf-8")

    assert main(["render", "Nora", *QUICK, "--printer", "inkjet", "-o", "out"]) == 2
    assert "sapwood.toml: printer inkjet" in capsys.readouterr().err


def test_batch_lays_small_signs_together_and_reports_where(capsys: pytest.CaptureFixture[str]) -> None:
    """A list's small signs share sheets with their quantities, a large one has its own, and the report says so."""
    _orders("A,Nora,2,round:80mm\nB,Tess,1,round:80mm\nC,Bram,1,round:10in\n")
    argv = ["batch", "orders.csv", "-o", "out", "--paper", "letter", "--dpi", "60", "--jobs", "1"]
    assert main(argv) == 0

    rows = list(csv.DictReader(io.StringIO(Path("out/report.csv").read_text(encoding="utf-8-sig"))))
    assert [(row["sheet"], row["place"]) for row in rows] == [("1", "1-2"), ("1", "3"), ("2-3", "1")]
    with pikepdf.open("out/sheets.pdf") as pdf:
        assert len(pdf.pages) == 3
    assert str(Path("out") / "sheets.pdf") in capsys.readouterr().out.split()
    assert not [path for path in Path("out").iterdir() if path.name.endswith(".part")]
    assert main(["batch", "orders.csv", "-o", "out", "--resume", "--dpi", "60", "--jobs", "1"]) == 0
    assert "sheets.pdf is from an earlier run" in capsys.readouterr().err


def test_a_dry_run_tells_how_many_sheets_it_would_take(capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing is made, and the number of sheets is told."""
    _orders("A,Nora,2,round:80mm\nC,Bram,1,round:10in\n")
    argv = ["batch", "orders.csv", "-o", "out", "--paper", "letter", "--artwork", "none", "--dpi", "60", "--dry-run"]
    assert main([*argv, "--jobs", "1"]) == 0

    assert "They take 3 sheets of letter" in capsys.readouterr().err
    assert not Path("out/sheets.pdf").exists()


def test_thousands_of_pieces_are_refused_and_the_prints_stay(capsys: pytest.CaptureFixture[str]) -> None:
    """More signs than are laid at once are told by how many; prints and report are there, no sheet is."""
    _orders("A,Nora,3000,round:80mm\n")
    argv = ["batch", "orders.csv", "-o", "out", "--paper", "letter", "--artwork", "none", "--dpi", "60", "--jobs", "1"]

    assert main(argv) == 2
    assert "3,000 signs are more than are laid on sheets at once (2,000)" in capsys.readouterr().err
    assert Path("out/report.csv").exists() and not Path("out/sheets.pdf").exists()


def test_a_list_without_a_good_sign_has_no_sheets(capsys: pytest.CaptureFixture[str]) -> None:
    """When every sign is refused there is nothing to lay, and that is said."""
    _orders("A,Wilhelmina,1,round:40mm\n")
    argv = ["batch", "orders.csv", "-o", "out", "--paper", "letter", "--artwork", "none", "--min-cap", "60mm"]

    assert main([*argv, "--jobs", "1"]) == 1
    assert "No sheets: no sign was made." in capsys.readouterr().err


def test_a_full_disk_leaves_no_half_file(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """When the disk fills while sheets are written there is a sentence, an exit code, and no part of a file."""
    import errno

    from studio.production import run_sheets

    def full(pages: object, store: object, stream: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(run_sheets, "_write", full)
    _orders("A,Nora,1,round:80mm\n")
    argv = ["batch", "orders.csv", "-o", "out", "--paper", "letter", "--artwork", "none", "--dpi", "60", "--jobs", "1"]

    assert main(argv) == 5
    assert "sheets.pdf" in capsys.readouterr().err
    assert sorted(path.name for path in Path("out").iterdir() if path.suffix in (".pdf", ".part")) == []
