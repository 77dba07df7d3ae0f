"""A list that would be a guess: asked about on a terminal, stopped elsewhere, told by options, known again."""

from __future__ import annotations

import contextlib
import json
import os
import pty
import subprocess
import sys
import time
from pathlib import Path

import pytest

from studio.__main__ import main

ROOT = Path(__file__).parents[2]
QUICK = [
    "--blank",
    "round:30mm",
    "--artwork",
    "none",
    "--dpi",
    "36",
    "--face",
    "Nunito",
    "--min-cap",
    "1mm",
    "--jobs",
    "1",
]
SHOP = "Name,Email,Lineitem quantity,Note Attributes,Weight\n#1001,a@b.co,2,Ida,350\n#1002,c@d.co,1,Bo,350\n"


@pytest.fixture(autouse=True)
def clean_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Run in an empty folder with a shop's list, with nobody's settings."""
    monkeypatch.chdir(tmp_path)
    for name in [name for name in os.environ if name.startswith("SAPWOOD_")]:
        monkeypatch.delenv(name)
    for name in ("SAPWOOD_SETTINGS", "SAPWOOD_STATE", "XDG_DATA_HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home" / name))
    Path("shop.csv").write_text(SHOP, encoding="utf-8")


def made() -> list[tuple[str, int]]:
    """Return the texts and pieces of the report in the folder `out`."""
    lines = [json.loads(line) for line in Path("out/report.jsonl").read_bytes().splitlines()]
    return [(line["text"], line["quantity"]) for line in lines if line["state"].startswith("made")]


def test_where_nobody_can_be_asked_it_stops_and_says_what_to_type(capsys: pytest.CaptureFixture[str]) -> None:
    """A guess ends with 3 before anything is made; what it says to type then makes the list."""
    assert main(["batch", "shop.csv", "-o", "out", *QUICK]) == 3
    said = capsys.readouterr().err
    assert not Path("out").exists()
    assert "'Note Attributes'" in said and "--columns" in said and "Weight" in said
    told = ["--columns", "text='Note Attributes',ignore=Weight"]
    assert main(["batch", "shop.csv", "-o", "out", *QUICK, *told]) == 0
    assert made() == [("Ida", 2), ("Bo", 1)]


def test_answers_are_kept_and_the_list_is_known_again(capsys: pytest.CaptureFixture[str]) -> None:
    """What is kept under a name holds for every list with the same headers, in whatever order, and for no other."""
    told = ["--columns", "text='Note Attributes',pass=Weight", "--keep-list", "web-shop"]
    assert main(["batch", "shop.csv", "-o", "out", *QUICK, *told, "--dry-run"]) == 0
    assert "[lists.web-shop]" in Path("sapwood.toml").read_text(encoding="utf-8")
    turned = "Weight,Note Attributes,Lineitem quantity,Email,Name\n500,Kari,3,e@f.co,#1003\n400,Lin,1,e@f.co,#1004\n"
    Path("next.csv").write_text(turned, encoding="utf-8")
    assert main(["batch", "next.csv", "-o", "out", *QUICK]) == 0
    assert made() == [("Kari", 3), ("Lin", 1)] and "[lists.web-shop]" in capsys.readouterr().err
    Path("other.csv").write_text(turned.replace("Email", "E-mail address"), encoding="utf-8")
    assert main(["batch", "other.csv", "-o", "other", *QUICK]) == 3


@pytest.mark.parametrize(
    ("columns", "signs"),
    [
        ("text='First name'+'Last name'", ["Ida Lee", "Bo Ray"]),
        ('text="First name"/#2', ["Ida\nLee", "Bo\nRay"]),
        ("text=#2", ["Lee", "Ray"]),
    ],
)
def test_columns_are_joined(columns: str, signs: list[str]) -> None:
    """Two columns are joined with a space or with a line end; a column is named by header or number."""
    Path("names.csv").write_text("First name,Last name\nIda,Lee\nBo,Ray\n", encoding="utf-8")
    assert main(["batch", "names.csv", "-o", "out", *QUICK, "--columns", columns]) == 0
    assert [text for text, _ in made()] == signs


@pytest.mark.parametrize(
    ("options", "code"),
    [
        (["--columns", "text"], 2),
        (["--columns", "txet=Name"], 2),
        (["--columns", "text=Nmae"], 3),
        (["--header", "x"], 2),
        (["--delimiter", "ab"], 2),
        (["--columns", "text='Name"], 2),
        (["--list", "nope"], 2),
        (["--without", "prints"], 2),
        (["--cluster", "nowhere"], 2),
        (["--sheet", "May"], 3),
    ],
)
def test_what_makes_no_sense_is_refused(options: list[str], code: int, capsys: pytest.CaptureFixture[str]) -> None:
    """Wrong words about a list end with a sentence and a code, and make nothing."""
    assert main(["batch", "shop.csv", "-o", "out", *QUICK, *options]) == code
    assert not Path("out").exists() and "Traceback" not in capsys.readouterr().err


def test_a_list_without_header_in_another_code_page() -> None:
    """Header, delimiter and encoding that are told are not asked about."""
    Path("bare.txt").write_bytes("Bjørn~2\nÅse~1\n".encode("cp850"))
    told = ["--header", "none", "--delimiter", "~", "--encoding", "cp850", "--columns", "text=#1,quantity=#2"]
    assert main(["batch", "bare.txt", "-o", "out", *QUICK, *told]) == 0
    assert made() == [("Bjørn", 2), ("Åse", 1)]


def test_the_run_is_the_last_object_and_all_is_utf_8(monkeypatch: pytest.MonkeyPatch) -> None:
    """Lines for programs are UTF-8 whatever the terminal has; the last one tells of the run as a whole."""
    Path("names.csv").write_text("order,name\n1,Zoë\n2,\n3,Łukasz\n", encoding="utf-8")
    environment = os.environ | {"PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "ascii"}
    command = [
        sys.executable,
        "-m",
        "studio",
        "batch",
        "names.csv",
        "-o",
        "out",
        *QUICK,
        "--json",
        "--without",
        "proofs",
    ]
    done = subprocess.run(command, env=environment, capture_output=True, timeout=120)
    assert done.returncode == 1
    *rows, run = [json.loads(line) for line in done.stdout.decode("utf-8").splitlines()]
    assert [row["text"] for row in rows] == ["Zoë", "", "Łukasz"]
    assert b"".join(line + b"\n" for line in done.stdout.splitlines()[:-1]) == Path("out/report.jsonl").read_bytes()
    told = run["run"]
    assert told["totals"]["refused"] == 1 and told["kept"] == [] and told["exit_code"] == 1
    assert told["pages"] == ["contact.png", "contact-check.png"]
    assert {column["use"]: column["header"] for column in told["taken_for"]["columns"]} == {
        "order": "order",
        "text": "name",
    }
    assert not list(Path("out/proofs").iterdir())


@pytest.mark.parametrize(
    ("typed", "signs"), [("\n2\n\n", ["Ida", "Bo"]), ("2\n1\nshop\n", ["#1001", "#1002"]), ("q\n", None)]
)
def test_a_terminal_is_asked(typed: str, signs: list[str] | None) -> None:
    """On a terminal each guess is a question with numbers; Enter takes the first, q stops with 3, a name keeps it."""
    ours, theirs = pty.openpty()
    command = [sys.executable, "-m", "studio", "batch", "shop.csv", "-o", "out", *QUICK]
    environment = os.environ | {"PYTHONPATH": str(ROOT), "TERM": "xterm"}
    with subprocess.Popen(command, env=environment, stdin=theirs, stdout=subprocess.DEVNULL, stderr=theirs) as run:
        os.close(theirs)
        said = b""
        for line in typed.splitlines(keepends=True):
            before = said.count(b": ")
            deadline = time.monotonic() + 90
            while not said.rstrip(b" ").endswith(b":") or said.count(b": ") == before:
                assert time.monotonic() < deadline, said
                try:
                    said += os.read(ours, 4096)
                except OSError:
                    break
            said += b"\n"
            os.write(ours, line.encode())
        with contextlib.suppress(OSError):
            while more := os.read(ours, 4096):
                said += more
        code = run.wait(timeout=120)
    os.close(ours)
    assert b"Which column holds the text" in said and b"Traceback" not in said
    assert code == (3 if signs is None else 0), said.decode(errors="replace")
    if signs is None:
        assert not Path("out").exists()
    else:
        assert [text for text, _ in made()] == signs
    assert Path("sapwood.toml").exists() is ("shop" in typed)
