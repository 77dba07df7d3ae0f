"""The commands `press` and `ruler`, and `render --with`: what they write, say, refuse, and end with."""

from __future__ import annotations

import io
import json
import os
from pathlib import Path

import pikepdf
import pypdfium2
import pytest

from studio.__main__ import main
from studio.storage.catalogue import read_catalogue
from studio.storage.workspace import open_shop

QUICK = ["--artwork", "none", "--blank", "round:80mm", "--dpi", "72", "--surface", "film"]


@pytest.fixture(autouse=True)
def clean_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Run in an empty folder, with nobody's settings."""
    monkeypatch.chdir(tmp_path)
    for name in [name for name in os.environ if name.startswith("SAPWOOD_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("SAPWOOD_SETTINGS", str(tmp_path / "settings"))
    monkeypatch.setenv("SAPWOOD_STATE", str(tmp_path / "state"))


def test_press_prints_the_card_in_plain_text(capsys: pytest.CaptureFixture[str]) -> None:
    """`sapwood press --surface film` writes the card to stdout, cautions first; without a terminal nothing is asked."""
    assert main(["press", "--surface", "film"]) == 0
    told = capsys.readouterr()

    assert told.out.startswith("Press card: film\n\n! The instructions of the makers")
    assert " 3  Film on: 320 °F (160 °C), 20 s\n" in told.out
    assert " 9  Press: 380 °F (193 °C), 50 s\n" in told.out
    assert max(map(len, told.out.splitlines())) <= 80
    assert told.err == ""


def test_press_takes_the_surface_of_the_settings(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without --surface the settings' own surface is pressed."""
    (tmp_path / "sapwood.toml").write_text('[sign]\nsurface = "laminate"\n', encoding="utf-8")
    assert main(["press"]) == 0

    assert capsys.readouterr().out.startswith("Press card: laminate")


def test_press_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    """--json gives heat in °F and times in seconds for programs."""
    assert main(["press", "--surface", "film", "--json"]) == 0
    card = json.loads(capsys.readouterr().out)

    timed = [(step["heat_f"], step["least_s"], step["most_s"]) for step in card["steps"] if step["least_s"]]
    assert timed == [(380, 50, 50), (320, 20, 20), (None, 300, 600), (380, 50, 50)]


def test_press_writes_its_page(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """-o writes the card's page; a second time it is refused, and replaced with --overwrite."""
    assert main(["press", "--surface", "laminate", "--painted", "-o", "out"]) == 0
    file = tmp_path / "out" / "press-card-laminate-on-painted-wood.pdf"
    assert len(pypdfium2.PdfDocument(file.read_bytes())) == 1
    assert main(["press", "--surface", "laminate", "--painted", "-o", "out"]) == 5
    assert main(["press", "--surface", "laminate", "--painted", "-o", "out", "--overwrite"]) == 0


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["press", "--surface", "fim"], "did you mean 'film'?"),
        (["press", "--surface", "factory", "--painted"], "come coated and are not painted"),
        (["ruler"], "--printer"),
        (["ruler", "--printer", "../x"], "not a name for a printer"),
        (["ruler", "--printer", "k", "--paper", "roll:24in"], "is a roll"),
        (["ruler", "--printer", "k", "--paper", "4inx6in"], "needs a sheet of 205 x 275 mm"),
        (["ruler", "--printer", "k", "--across", "9@245", "--feed", "7@246"], "It would fit --feed (240 mm)"),
        (["ruler", "--printer", "k", "--across", "171", "--feed", "228"], "The print dialog scaled the page"),
        (["ruler", "--printer", "k", "--across", "180"], "There is no reading for --feed"),
        (["ruler", "--printer", "k", "--across", "180", "--feed", "240", "--ac", "300"], "There is --ac but no --bd"),
        (["ruler", "--printer", "k", "--left", "16"], "--left: '16' is not a whole number from 1 to 15"),
        (["render", "Loon", "--with", "crad"], "did you mean 'card'?"),
        (["render", "Loon", "--with", "one-file"], "No page is named"),
    ],
)
def test_what_cannot_be_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], typed: list[str], said: str
) -> None:
    """Wrong names and readings that cannot be end with 2, a sentence and what to do; no file is left."""
    assert main(typed) == 2
    told = capsys.readouterr().err

    assert said in told
    assert "Traceback" not in told
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


def test_a_printer_is_measured_and_kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Readings of the page go into sapwood.toml with all else as it was, a proof page is written, and both are told."""
    assert main(["ruler", "--printer", "kitchen"]) == 0
    assert capsys.readouterr().out == "kitchen-ruler.pdf\n"
    (tmp_path / "sapwood.toml").write_text('# my shop\n[sign]\nface = "Lobster"  # as ever\n', encoding="utf-8")

    readings = ["--across", "7@186", "--feed", "9@249", "--ac", "300.4", "--bd", "300.2"]
    assert main(["ruler", "--printer", "kitchen", *readings]) == 0
    told = capsys.readouterr()
    assert told.out == "kitchen-ruler-proof.pdf\n"
    assert "across: 0.99839 of true size; a 10 in sign came out 0.41 mm too small" in told.err
    assert "along the feed: 1.00363 of true size; a 10 in sign came out 0.92 mm too large" in told.err
    assert "skew: none" in told.err  # 0.2 mm apart without the ticks

    kept = (tmp_path / "sapwood.toml").read_text(encoding="utf-8")
    assert kept.startswith('# my shop\n[sign]\nface = "Lobster"  # as ever\n')
    printer = open_shop().catalogue.printer("kitchen")
    assert (printer.scale_across, printer.scale_feed, printer.skew) == (0.99839, 1.003628, 0.0)
    assert printer.measured_paper == "letter" and printer.measured[:2] == "20"


def test_readings_are_replaced_never_applied_twice(tmp_path: Path) -> None:
    """A second reading takes the place of the first, whatever that was."""
    for across in ("179.0", "180.9"):
        assert main(["ruler", "--printer", "k", "--across", across, "--feed", "240"]) == 0

    assert open_shop().catalogue.printer("k").scale_across == pytest.approx(180.9 / 180, abs=1e-6)


def test_margins_from_the_ladders(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Margins are kept by themselves; an edge that was not read keeps what is known, and the scale stays."""
    assert main(["ruler", "--printer", "k", "--across", "179", "--feed", "240"]) == 0
    assert main(["ruler", "--printer", "k", "--left", "3", "--bottom", "13"]) == 0
    printer = open_shop().catalogue.printer("k")

    edges = printer.margins
    assert (edges.left_mm, edges.bottom_mm, edges.right_mm, edges.top_mm) == (3, 13, 6.35, 3.2)
    assert printer.scale_across == pytest.approx(179 / 180, abs=1e-6)
    assert "Margins: left 3 mm, bottom 13 mm, right 6.35 mm, top 3.2 mm." in capsys.readouterr().err


def test_a_printer_stays_in_the_file_that_has_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A printer of the person's own settings is measured there, though the folder has settings too."""
    own = tmp_path / "settings" / "sapwood.toml"
    own.parent.mkdir()
    own.write_text('[printer.k]\npaper = "a4"\n', encoding="utf-8")
    (tmp_path / "sapwood.toml").write_text("[sign]\n", encoding="utf-8")
    assert main(["ruler", "--printer", "k", "--across", "180", "--feed", "240"]) == 0

    assert "scale_across" in own.read_text(encoding="utf-8")
    assert (tmp_path / "sapwood.toml").read_text(encoding="utf-8") == "[sign]\n"
    assert open_shop().catalogue.printer("k").measured_paper == "A4"


def test_settings_that_cannot_be_written_are_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Where the settings' place is taken by a folder the readings are refused with a sentence."""
    (tmp_path / "sapwood.toml").mkdir()
    code = main(["ruler", "--printer", "k", "--across", "180", "--feed", "240"])

    assert code in (2, 5)
    assert "sapwood.toml" in capsys.readouterr().err


def test_sheets_of_a_measured_printer_are_corrected(tmp_path: Path) -> None:
    """What the ruler keeps is the matrix of the sheets of that printer."""
    assert main(["ruler", "--printer", "k", "--across", "179.37", "--feed", "241.008"]) == 0
    assert main(["render", "Loon", *QUICK, "--paper", "letter", "--printer", "k", "-o", "out"]) == 0
    assert main(["render", "Loon", *QUICK, "--paper", "letter", "-o", "plain"]) == 0
    measured, plain = ((tmp_path / folder / "loon-sheets.pdf").read_bytes() for folder in ("out", "plain"))

    streams = []
    for data in (measured, plain):
        with pikepdf.open(io.BytesIO(data)) as pdf:
            streams.append(pdf.pages[0].Contents.read_bytes().decode("latin-1"))
    assert "1.003512 0 0 0.995818" in streams[0]  # 180 / 179.37 and 240 / 241.008
    assert "1.003512" not in streams[1]


def test_no_correction_on_other_paper(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A printer measured on letter is corrected there, named or by its size, and not on A4, which is said."""
    assert main(["ruler", "--printer", "k", "--across", "179.37", "--feed", "241.008"]) == 0
    for paper, is_corrected in (("letter", True), ("8.5inx11in", True), ("a4", False)):
        assert main(["render", "Loon", *QUICK, "--paper", paper, "--printer", "k", "-o", paper]) == 0
        with pikepdf.open(tmp_path / paper / "loon-sheets.pdf") as pdf:
            assert (b"1.003512" in pdf.pages[0].Contents.read_bytes()) == is_corrected
        said = "k was measured on letter; on A4 its prints are not corrected" in capsys.readouterr().err
        assert said != is_corrected
    assert main(["render", "Loon", *QUICK, "--printer", "k", "-o", "usual"]) == 0  # the paper it was measured on


def test_render_writes_the_pages_asked_for(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--with writes each page as a file of its own, named in stdout and in the report."""
    assert main(["render", "Loon", *QUICK, "--with", "template,card,approval,hanging", "-o", "out"]) == 0
    told = capsys.readouterr()
    endings = ["template.pdf", "press-card.pdf", "approval.pdf", "hanging.pdf", "approval.png"]

    for ending in endings:
        assert (tmp_path / "out" / f"loon-{ending}").is_file()
        assert str(Path("out") / f"loon-{ending}") in told.out
    assert "Template: print it on plain paper; never press it." in told.err
    report = json.loads((tmp_path / "out" / "loon-report.json").read_text(encoding="utf-8"))
    assert report["files"]["card"] == str(Path("out") / "loon-press-card.pdf")


def test_one_file_holds_sheets_and_pages(tmp_path: Path) -> None:
    """`one-file` puts the pages behind the sheets in their PDF; only the approval's picture is apart."""
    assert main(["render", "Loon", *QUICK, "--paper", "letter", "--with", "all,one-file", "-o", "out"]) == 0

    assert sorted(path.name for path in (tmp_path / "out").glob("*.pdf")) == ["loon-sheets.pdf"]
    assert len(pypdfium2.PdfDocument((tmp_path / "out" / "loon-sheets.pdf").read_bytes())) == 5
    assert (tmp_path / "out" / "loon-approval.png").is_file()


def test_pages_that_are_there_are_not_replaced(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A page of the same name refuses the run before anything is made."""
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "loon-press-card.pdf").write_bytes(b"mine")

    assert main(["render", "Loon", *QUICK, "--with", "card", "-o", "out"]) == 5
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["loon-press-card.pdf"]
    assert "loon-press-card.pdf" in capsys.readouterr().err


def test_a_surface_without_figures_refuses_its_card_first(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A shop's own surface without press figures refuses --with card before a file is written."""
    (tmp_path / "sapwood.toml").write_text('[surfaces.slate]\nspread = "0.1mm"\n', encoding="utf-8")

    assert main(["render", "Loon", *QUICK[:-1], "slate", "--with", "card", "-o", "out"]) == 2
    assert "[press.slate]" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_every_shipped_surface_has_figures() -> None:
    """No surface that ships is without a press card."""
    catalogue = read_catalogue()

    assert {figures.surface for figures in catalogue.press} == {surface.name for surface in catalogue.surfaces}
