from __future__ import annotations

import io
import json
import os
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

import studio
from studio.__main__ import main
from studio.cli.progress import ProgressLine
from studio.render.ascii_art import TONES
from studio.terminal.ansi import ascii_tones, block_lines
from studio.terminal.capabilities import colour_depth

QUICK = ["--artwork", "none", "--blank", "round:80mm", "--dpi", "72", "--surface", "factory"]
"""Options of a sign that is made in no time."""


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


def test_render_writes_four_files_and_tells_how_to_print(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Print, proof, thumbnail and report are written; stdout holds their paths, the last lines say how to print."""
    assert main(["render", "Marlow & Tess", *QUICK, "-o", "out"]) == 0
    told = capsys.readouterr()
    names = ["print.png", "proof.png", "thumbnail.txt", "report.json"]
    assert told.out.split() == [str(Path("out") / f"marlow-tess-{name}") for name in names]
    for words in (
        "98.0 x 98.0 mm (3.86 x 3.86 in)",
        "fits letter and A4",
        "already mirrored",
        "100 %",
        "makers' instr",
    ):
        assert words in told.err
    report = json.loads((tmp_path / "out" / "marlow-tess-report.json").read_text(encoding="utf-8"))
    assert report["files"]["print"] == str(Path("out") / "marlow-tess-print.png")
    assert (report["schema"], report["status"], report["text"]) == (1, "ok", "Marlow & Tess")
    with Image.open(tmp_path / "out" / "marlow-tess-print.png") as image:
        assert image.size == (278, 278)  # 98 mm at 72 dpi
    thumbnail = (tmp_path / "out" / "marlow-tess-thumbnail.txt").read_text(encoding="ascii")
    assert max(map(len, thumbnail.splitlines())) <= 60


def test_print_is_the_mirror_of_the_right_way_round(tmp_path: Path) -> None:
    """The ink of an L stands on the left in the proof's reading and on the right in the print."""
    assert main(["render", "L", *QUICK, "--waste", "0mm", "--face", "Bungee"]) == 0
    with Image.open(tmp_path / "l-print.png") as image:
        dark = np.asarray(image.convert("L")).astype(int) < 110
    rows, columns = np.nonzero(dark)
    middle = (columns.min() + columns.max()) / 2
    upper = columns[rows < rows.min() + (rows.max() - rows.min()) // 2]
    assert upper.mean() > middle


def test_nothing_is_overwritten_unless_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A second run is refused with the option that allows it, before anything is touched."""
    assert main(["render", "Loon", *QUICK]) == 0
    before = {file: file.stat().st_mtime_ns for file in tmp_path.glob("loon-*")}
    assert main(["render", "Loon", *QUICK]) == 5
    assert "--overwrite" in capsys.readouterr().err
    assert {file: file.stat().st_mtime_ns for file in tmp_path.glob("loon-*")} == before
    assert main(["render", "Loon", *QUICK, "--overwrite"]) == 0


def test_refused_sign_has_a_report_and_no_print(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A sign that does not fit leaves its report, with no print in it, and exit code 1."""
    assert main(["render", "Lakeside", *QUICK, "--min-cap", "60mm"]) == 1
    report = json.loads((tmp_path / "lakeside-report.json").read_text(encoding="utf-8"))
    assert report["status"] == "refused"
    assert report["files"]["print"] is None
    assert report["lettering"][0]["glyphs"] == []
    assert not (tmp_path / "lakeside-print.png").exists()
    assert "no-room" in capsys.readouterr().err


def test_strict_turns_warnings_into_refusals() -> None:
    """What passes with a warning is refused under --strict."""
    fine = ["check", "Lakeside", *QUICK, "--spread", "3mm"]
    assert main(fine) == 0
    assert main([*fine, "--strict"]) == 1


def test_check_writes_nothing_and_tells(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The check tells size, strokes and a verdict on stdout, and leaves no file."""
    assert main(["check", "Lakeside", *QUICK]) == 0
    told = capsys.readouterr().out
    assert "capitals" in told
    assert "thinnest stroke" in told
    assert told.splitlines()[-1] == "Good to print."
    assert [file for file in tmp_path.rglob("*") if file.is_file()] == []


def test_check_as_json_is_all_of_stdout(capsys: pytest.CaptureFixture[str]) -> None:
    """With --json stdout is one report and nothing else, narration or not."""
    os.environ["SAPWOOD_BLNK"] = "x"
    try:
        assert main(["check", "Zoë", *QUICK, "--json"]) == 0
    finally:
        del os.environ["SAPWOOD_BLNK"]
    told = capsys.readouterr()
    report = json.loads(told.out)
    assert report["text"] == "Zoë"
    assert report["lettering"][0]["glyphs"][0]["text"] == "Z"
    assert "SAPWOOD_BLNK" in told.err


@pytest.mark.parametrize(
    ("kind", "name"),
    [("blanks", "round-10in"), ("artwork", "pine-ring"), ("faces", "Pacifico"), ("surfaces", "painted")],
)
def test_lists(kind: str, name: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Each list names what there is, as a table and as JSON under its own key."""
    assert main(["list", kind]) == 0
    assert name in capsys.readouterr().out
    assert main(["list", kind, "--json"]) == 0
    things = json.loads(capsys.readouterr().out)[kind]
    assert name in {thing["name"] for thing in things}


def test_preview_is_plain_ascii_when_piped(capsys: pytest.CaptureFixture[str]) -> None:
    """In a pipe the picture is pure ASCII of the width asked for; the words are on stderr."""
    assert main(["preview", "Lakeside", *QUICK, "--width", "44"]) == 0
    told = capsys.readouterr()
    assert told.out.isascii()
    assert 40 <= max(map(len, told.out.splitlines())) <= 44
    assert "capitals" in told.err


def test_preview_as_printed_is_mirrored(capsys: pytest.CaptureFixture[str]) -> None:
    """The printed view of an L has its stem on the other side than the proof's view."""
    sides = []
    for extra in ([], ["--as-printed"]):
        assert (
            main(
                [
                    "preview",
                    "L",
                    *QUICK,
                    "--composition",
                    "largest",
                    "--face",
                    "Bungee",
                    "--color",
                    "#000000",
                    "--width",
                    "60",
                    *extra,
                ]
            )
            == 0
        )
        lines = capsys.readouterr().out.splitlines()
        middle = lines[len(lines) // 2 - 3 : len(lines) // 2 + 1]
        marks = "8dbqP[]IH" if not extra else "%"
        columns = [column for line in middle for column, sign in enumerate(line) if sign in marks]
        sides.append(np.mean(columns))
    assert sides[0] < 29 < 31 < sides[1]


def test_settings_environment_and_options_in_their_order(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """An option beats the environment, that beats the folder's file."""
    (tmp_path / "sapwood.toml").write_text('[sign]\nblank = "round-6in"\nsurface = "bare"\nface = "Lobster"\n')
    monkeypatch.setenv("SAPWOOD_SURFACE", "film")
    monkeypatch.setenv("SAPWOOD_FACE", "Nunito")
    assert main(["check", "Loon", "--face", "Bungee", "--artwork", "none", "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert report["blank"]["name"] == "round-6in"
    assert report["surface"]["name"] == "film"
    assert report["lettering"][0]["face"] == "Bungee"


def test_batch_makes_a_list(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A list is made row by row with its cells over the options; refused rows are told and give exit code 1."""
    (tmp_path / "orders.csv").write_text("name,face,table\nLoon,Bungee,7\nTrout,Nope,8\n", encoding="utf-8")
    assert main(["batch", "orders.csv", *QUICK, "--face", "Lobster", "-o", "out", "--jobs", "1"]) == 1
    told = capsys.readouterr()
    assert told.out.splitlines() == [str(Path("out") / "report.csv"), str(Path("out") / "contact.png")]
    assert "row 2 (line 3) 'Trout'" in told.err
    assert "1 made, 1 refused." in told.err
    assert [file.name for file in (tmp_path / "out" / "prints").iterdir()] == ["0001-loon.png"]


def test_batch_dry_run_and_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A dry run writes its report alone; with --json each row is a line of JSON, the run itself the last."""
    (tmp_path / "orders.csv").write_text("name,table\nLoon,7\nTrout,8\n", encoding="utf-8")
    assert main(["batch", "orders.csv", *QUICK, "--dry-run", "--json", "--jobs", "1"]) == 0
    *rows, run = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert (run["run"]["totals"], run["run"]["rows"]) == ({"fits": 2}, 2)
    assert [(row["row"], row["state"], row["table"]) for row in rows] == [(1, "fits", "7"), (2, "fits", "8")]
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["orders-signs", "orders.csv"]
    assert sorted(entry.name for entry in (tmp_path / "orders-signs").iterdir()) == ["report.csv", "report.jsonl"]


def test_batch_refuses_wrong_options_before_any_row(tmp_path: Path) -> None:
    """What is wrong for the whole run ends it at once: nothing is made, and the code tells what it was."""
    (tmp_path / "orders.csv").write_text("name\nLoon\n", encoding="utf-8")
    (tmp_path / "bad.ttf").write_bytes(b"no font")
    base = ["batch", "orders.csv", "-o", "out"]
    assert main([*base, "--face", "Nope"]) == 2
    assert main([*base, "--face", "bad.ttf"]) == 4
    assert main([*base, "--artwork", "no.png"]) == 3
    assert main([*base, "--on-error", "halt"]) == 2
    assert main([*base, "--rows", "x"]) == 2
    assert main(["batch", "missing.csv"]) == 3
    assert not (tmp_path / "out").exists()


def test_studio_without_a_terminal_names_the_commands(capsys: pytest.CaptureFixture[str]) -> None:
    """Where there is no terminal, the way without one is told."""
    assert main([]) == 2
    assert "sapwood render" in capsys.readouterr().err


def test_help_and_version(capsys: pytest.CaptureFixture[str]) -> None:
    """Help opens with examples, `help render` is `render --help`, and the version is one line."""
    assert main(["--help"]) == 0
    assert capsys.readouterr().out.startswith("Examples:\n  sapwood")
    assert main(["help", "render"]) == 0
    assert capsys.readouterr().out.startswith("Examples:\n  sapwood render")
    assert main(["--version"]) == 0
    assert capsys.readouterr().out == f"sapwood {studio.__version__}\n"


@pytest.mark.parametrize(
    ("environment", "is_terminal", "encoding", "depth"),
    [
        ({"TERM": "xterm-256color", "COLORTERM": "truecolor"}, True, "utf-8", "truecolor"),
        ({"TERM": "xterm-256color"}, True, "UTF-8", "256"),
        ({"TERM": "xterm-256color", "NO_COLOR": "1"}, True, "utf-8", "none"),
        ({"TERM": "xterm-256color", "NO_COLOR": ""}, True, "utf-8", "256"),
        ({"TERM": "dumb", "COLORTERM": "truecolor"}, True, "utf-8", "none"),
        ({"TERM": "xterm-256color"}, False, "utf-8", "none"),
        ({"TERM": "xterm-256color"}, True, "ascii", "none"),
        ({"TERM": "linux"}, True, "utf-8", "16"),
    ],
)
def test_colours_only_where_they_can_be_shown(
    environment: dict[str, str], is_terminal: bool, encoding: str, depth: str
) -> None:
    """Colour needs a terminal, UTF-8 and nobody who asked for none."""
    assert colour_depth(environment, is_terminal=is_terminal, encoding=encoding) == depth


def test_half_blocks_hold_two_pixels_a_character() -> None:
    """The upper pixel is the sign's colour, the lower one the ground's; clear pixels show the terminal."""
    pixels = np.zeros((2, 3, 4), np.uint8)
    pixels[0, 0], pixels[1, 0] = (255, 0, 0, 255), (0, 0, 255, 255)
    pixels[1, 1] = (0, 255, 0, 255)
    assert block_lines(pixels, 3, "half", "truecolor") == (
        "\x1b[38;2;248;0;0;48;2;0;0;248m▀\x1b[0;38;2;0;255;0m▄\x1b[0m\x1b[0m\n"
    )
    assert "38;5;196;48;5;21" in block_lines(pixels, 3, "half", "256")
    assert "\x1b[91;44m▀" in block_lines(pixels, 3, "half", "16")


def test_a_cell_that_is_clear_in_part_shows_the_terminal_there() -> None:
    """Of a quadrant cell with one opaque part, that part alone is drawn, in its own colour."""
    pixels = np.zeros((4, 2, 4), np.uint8)
    pixels[2:, 1] = (255, 0, 0, 255)
    assert block_lines(pixels, 1, "quadrant", "truecolor") == "\x1b[0;38;2;255;0;0m▗\x1b[0m\n"


def test_ascii_tones_run_from_light_to_dark() -> None:
    """White and clear are blank, black is the darkest sign, lines are half as many as columns."""
    pixels = np.full((40, 40, 4), 255, np.uint8)
    pixels[:, 20:, :3] = 0
    lines = ascii_tones(pixels, 20, TONES).splitlines()
    assert lines == [" " * 10 + "%" * 10] * 10


def test_progress_is_silent_where_it_is_piped(monkeypatch: pytest.MonkeyPatch) -> None:
    """A log gets no progress; a terminal gets a line that renews itself, ends at the total, and is wiped."""
    told = []
    for live in (False, True):
        stream = io.StringIO()
        monkeypatch.setattr(stream, "isatty", lambda live=live: live)
        monkeypatch.setattr(sys, "stderr", stream)
        with ProgressLine(200) as progress:
            for done in range(1, 201):
                progress.update(done)
        told.append(stream.getvalue())
    assert told[0] == ""
    assert "\r\x1b[K200 of 200 signs" in told[1]
    assert told[1].endswith("\r\x1b[K") and "\n" not in told[1]
