from __future__ import annotations

import csv
import hashlib
import io
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from studio.basics.errors import OutputError, RunExistsError, SettingsError
from studio.model.finding import Finding
from studio.model.options import option_keys
from studio.model.sign import Sign
from studio.orders.order_list import OrderList, read_orders
from studio.orders.order_row import OrderRow
from studio.production.lock import RunLock
from studio.production.make_row import BAD_ROW
from studio.production.row_result import RunRow
from studio.production.run import RowDone, RunOptions, run_orders
from studio.production.sign_source import ShopMaker, ShopMakerSetup
from studio.storage.catalogue import Catalogue
from studio.storage.workspace import open_shop

ROOT = Path(__file__).parents[2]
SMALL = {"blank": "round:4in", "artwork": "none", "dpi": "60"}
"""Small and bare, so that a sign takes a few milliseconds."""
LIST = (
    "name,order,qty,cabin,max cap,face\n"
    "Ida,P-1,1,Birch,,\n"
    "Tom & Bo,P-2,2,Pine,,Lobster\n"
    "Zoë,P-3,1,=Fir,12mm,\n"
    "Bad,P-4,1,Oak,12,\n"
    "Marlow,P-5,x,Ash,,\n"
    "Anna,P-6,1,Elm,,\n"
)
NOT_MADE = {4, 5}


class Killer(ShopMaker):
    """Dies on one text, meets a bug on another."""

    def sign_of(self, order: OrderRow) -> Sign:
        """Return the order's sign, or do harm."""
        if order.text == "Tom & Bo":
            os.kill(os.getpid(), signal.SIGKILL)
        if order.text == "Ida":
            raise ZeroDivisionError("a bug")
        return super().sign_of(order)


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The shop's catalogue, from a folder without settings."""
    return open_shop(folder=ROOT / "tests", environment={}).catalogue


@pytest.fixture(scope="module")
def maker(catalogue: Catalogue) -> Callable[[], ShopMaker]:
    """Makers of small signs."""
    return ShopMakerSetup(catalogue, SMALL)


def orders_of(text: str = LIST) -> OrderList:
    """Return a list's orders."""
    return read_orders(text.encode(), option_names=option_keys())


def ran(maker: Callable[[], ShopMaker], options: RunOptions, text: str = LIST) -> list[RowDone]:
    """Make a list and return all its rows."""
    return list(run_orders(orders_of(text), maker, options))


def files_in(folder: Path) -> dict[str, bytes]:
    """Return every file below a folder but the run's own memory."""
    return {
        str(file.relative_to(folder)): file.read_bytes()
        for file in sorted(folder.rglob("*"))
        if file.is_file() and ".sapwood" not in file.parts
    }


def without_seconds(folder: Path) -> dict[str, object]:
    """Return every file, the reports parsed and without their seconds."""
    files: dict[str, object] = dict(files_in(folder))
    table = list(csv.DictReader(io.StringIO((folder / "report.csv").read_bytes().decode("utf-8-sig"), newline="")))
    lines = [json.loads(line) for line in (folder / "report.jsonl").read_bytes().splitlines()]
    for record in (*table, *lines):
        record["seconds"] = ""
    return files | {"report.csv": table, "report.jsonl": lines}


def lines_of(folder: Path) -> list[dict[str, object]]:
    """Return the JSON report."""
    return [json.loads(line) for line in (folder / "report.jsonl").read_bytes().splitlines()]


@pytest.fixture(scope="module")
def whole(maker: Callable[[], ShopMaker], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the list made in one piece."""
    folder = tmp_path_factory.mktemp("whole")
    ran(maker, RunOptions(folder, jobs=1))
    return folder


def test_a_run_leaves_what_it_promises(whole: Path) -> None:
    """Prints and proofs by row, both reports with a line per row, and the contact sheets; nothing else in sight."""
    names = {f"{row:04d}-p-{row}-{slug}.png" for row, slug in ((1, "ida"), (2, "tom-bo"), (3, "zoë"), (6, "anna"))}
    assert {file.name for file in (whole / "prints").iterdir()} == names
    assert {file.name for file in (whole / "proofs").iterdir()} == names
    top = {file.name for file in whole.iterdir()}
    sheets = {"contact.png", "contact-check.png", "contact.txt", "contact.html"}
    assert top == {".sapwood", "prints", "proofs", *sheets, "report.csv", "report.jsonl"}
    assert not list(whole.rglob("*.part")) and not (whole / ".sapwood" / "holder.json").exists()


def test_the_report_has_a_line_for_every_row_in_list_order(whole: Path) -> None:
    """Rows, lines, states and the columns passed through stand as in the list; digests are those of the files."""
    lines = lines_of(whole)
    assert [(line["row"], line["line"], line["order"]) for line in lines] == [(n, n + 1, f"P-{n}") for n in range(1, 7)]
    assert [line["cabin"] for line in lines] == ["Birch", "Pine", "=Fir", "Oak", "Ash", "Elm"]
    assert {line["row"] for line in lines if line["state"] == "refused"} == NOT_MADE
    assert [line["quantity"] for line in lines] == [1, 2, 1, 1, 1, 1]
    for line in lines:
        made = line["row"] not in NOT_MADE
        assert (line["print"] is not None) is made
        if made:
            data = (whole / str(line["print"])).read_bytes()
            assert line["sha256"] == hashlib.sha256(data).hexdigest()
            assert line["cap_height_mm"] and line["thinnest_stroke_mm"]
            assert Image.open(io.BytesIO(data)).size == (283, 283)  # 4 in + 2 x (3 + 6) mm at 60 dpi: 282.52
            assert line["width_mm"] == line["height_mm"] == 119.6


def test_a_row_that_cannot_be_made_says_why(whole: Path) -> None:
    """A wrong option and a wrong quantity are refused with their reason, and the rows after them are made."""
    lines = lines_of(whole)
    for row, says in ((4, "max-cap: '12' has no unit"), (5, "quantity 'x'")):
        findings = lines[row - 1]["findings"]
        assert isinstance(findings, list)
        assert findings[0]["code"] == BAD_ROW and says in findings[0]["message"]


def test_cells_win_over_what_holds_for_the_run(whole: Path) -> None:
    """A cell of an option column decides for its own row."""
    lines = lines_of(whole)
    assert float(str(lines[2]["cap_height_mm"])) <= 12.001 < float(str(lines[0]["cap_height_mm"]))


def test_two_processes_make_the_same_bytes(whole: Path, tmp_path: Path, maker: Callable[[], ShopMaker]) -> None:
    """With two processes every file has the same bytes as with one, but for the seconds."""
    ran(maker, RunOptions(tmp_path, jobs=2))
    assert without_seconds(tmp_path) == without_seconds(whole)


def test_resuming_a_finished_run_makes_nothing(tmp_path: Path, maker: Callable[[], ShopMaker]) -> None:
    """A finished run resumed touches no print, and its reports keep every byte, the seconds of made rows too."""
    ran(maker, RunOptions(tmp_path, jobs=1))
    before = files_in(tmp_path)
    stamps = {file: file.stat().st_mtime_ns for file in (tmp_path / "prints").iterdir()}
    done = ran(maker, RunOptions(tmp_path, jobs=1, resume=True))
    assert {row.row.row for row in done if row.kept} == {1, 2, 3, 6}
    assert files_in(tmp_path) == before
    assert {file: file.stat().st_mtime_ns for file in (tmp_path / "prints").iterdir()} == stamps


@pytest.mark.parametrize("stop_after", [0, 1, 3, 6])
@pytest.mark.parametrize("jobs", [1, 2])
def test_a_run_stopped_anywhere_and_resumed_ends_the_same(
    whole: Path, tmp_path: Path, maker: Callable[[], ShopMaker], stop_after: int, jobs: int
) -> None:
    """Stopped after any row, as by Ctrl+C, a run can be resumed, and ends with the same files."""
    rows = run_orders(orders_of(), maker, RunOptions(tmp_path, jobs=jobs))
    for _ in range(stop_after):
        next(rows)
    rows.close()  # type: ignore[attr-defined]
    assert not list(tmp_path.rglob("*.part"))
    ran(maker, RunOptions(tmp_path, jobs=jobs, resume=True))
    assert without_seconds(tmp_path) == without_seconds(whole)


def test_what_was_changed_or_lost_is_made_again(whole: Path, tmp_path: Path, maker: Callable[[], ShopMaker]) -> None:
    """A print overwritten, a proof deleted, a torn journal line and lost tiles are all made good by resuming."""
    ran(maker, RunOptions(tmp_path, jobs=1))
    (tmp_path / "prints" / "0001-p-1-ida.png").write_bytes(b"x")
    (tmp_path / "proofs" / "0002-p-2-tom-bo.png").unlink()
    (tmp_path / ".sapwood" / "tiles.bin").write_bytes(b"rubbish")
    journal = tmp_path / ".sapwood" / "journal.jsonl"
    journal.write_bytes(journal.read_bytes()[:-40])
    done = ran(maker, RunOptions(tmp_path, jobs=1, resume=True))
    assert {row.row.row for row in done if row.kept} == {3}
    assert without_seconds(tmp_path) == without_seconds(whole)


def test_only_changed_rows_are_made_again(tmp_path: Path, maker: Callable[[], ShopMaker]) -> None:
    """After a change of one text, one option and one remark, the two signs are made again, the remark is taken over."""
    ran(maker, RunOptions(tmp_path, jobs=1))
    changed = LIST.replace("Ida,", "Ivy,").replace("12mm", "11mm").replace("Elm", "Yew")
    done = ran(maker, RunOptions(tmp_path, jobs=1, resume=True), changed)
    assert {row.row.row for row in done if row.kept} == {2, 6}
    assert done[5].row.passed == (("cabin", "Yew"),)
    names = {file.name for file in (tmp_path / "prints").iterdir()}
    assert "0001-p-1-ivy.png" in names and "0001-p-1-ida.png" not in names
    fresh = tmp_path / "fresh"
    ran(maker, RunOptions(fresh, jobs=1), changed)
    assert without_seconds(fresh)["prints/0003-p-3-zoë.png"] == files_in(tmp_path)["prints/0003-p-3-zoë.png"]


def test_a_shorter_list_takes_its_own_files_back_and_no_others(tmp_path: Path, maker: Callable[[], ShopMaker]) -> None:
    """Files of rows that are gone are removed when the run made them, and stay when somebody changed them."""
    ran(maker, RunOptions(tmp_path, jobs=1))
    (tmp_path / "proofs" / "0006-p-6-anna.png").write_bytes(b"mine")
    ran(maker, RunOptions(tmp_path, jobs=1, resume=True), "".join(LIST.splitlines(keepends=True)[:-1]))
    assert not (tmp_path / "prints" / "0006-p-6-anna.png").exists()
    assert (tmp_path / "proofs" / "0006-p-6-anna.png").read_bytes() == b"mine"
    assert len(lines_of(tmp_path)) == 5


def test_other_settings_make_every_row_again(tmp_path: Path, catalogue: Catalogue) -> None:
    """A run resumed with another option for all keeps nothing."""
    ran(ShopMakerSetup(catalogue, SMALL), RunOptions(tmp_path, jobs=1))
    done = ran(ShopMakerSetup(catalogue, SMALL | {"dpi": "61"}), RunOptions(tmp_path, jobs=1, resume=True))
    assert not any(row.kept for row in done)


def test_chosen_rows_alone_are_made(whole: Path, tmp_path: Path, maker: Callable[[], ShopMaker]) -> None:
    """Chosen rows are made and listed under their own numbers; resuming with others adds to them in list order."""
    ran(maker, RunOptions(tmp_path, jobs=1, chosen=frozenset({2, 6})))
    assert [line["row"] for line in lines_of(tmp_path)] == [2, 6]
    done = ran(maker, RunOptions(tmp_path, jobs=1, chosen=frozenset({1}), resume=True))
    assert [(row.row.row, row.kept) for row in done] == [(1, False), (2, True), (6, True)]
    done = ran(maker, RunOptions(tmp_path, jobs=1, chosen=frozenset({2}), resume=True, overwrite=True))
    assert [(row.row.row, row.kept) for row in done] == [(1, True), (2, False), (6, True)]
    ran(maker, RunOptions(tmp_path, jobs=1, resume=True))
    assert without_seconds(tmp_path) == without_seconds(whole)
    with pytest.raises(SettingsError, match="no row 7, 9; it has 6"):
        ran(maker, RunOptions(tmp_path, chosen=frozenset({1, 9, 7})))


def test_a_folder_with_a_run_is_left_alone_unless_told(tmp_path: Path, maker: Callable[[], ShopMaker]) -> None:
    """A second run into a folder is refused with the ways out, and replaces all with overwrite."""
    ran(maker, RunOptions(tmp_path, jobs=1))
    before = files_in(tmp_path)
    with pytest.raises(RunExistsError, match=r"already holds a run.*Resume it, replace it"):
        ran(maker, RunOptions(tmp_path, jobs=1))
    assert files_in(tmp_path) == before
    done = ran(maker, RunOptions(tmp_path, jobs=1, overwrite=True))
    assert not any(row.kept for row in done)


def test_a_strangers_file_of_the_same_name_is_not_overwritten(tmp_path: Path, maker: Callable[[], ShopMaker]) -> None:
    """A print of that name from elsewhere stops the run, and keeps its bytes."""
    (tmp_path / "prints").mkdir()
    (tmp_path / "prints" / "0002-p-2-tom-bo.png").write_bytes(b"mine")
    with pytest.raises(OutputError, match="there already"):
        ran(maker, RunOptions(tmp_path, jobs=1))
    assert (tmp_path / "prints" / "0002-p-2-tom-bo.png").read_bytes() == b"mine"


def test_a_second_run_at_the_same_time_is_told(tmp_path: Path, maker: Callable[[], ShopMaker]) -> None:
    """While a run holds the folder another stops before doing anything."""
    with RunLock(tmp_path), pytest.raises(OutputError, match="Another run"):
        ran(maker, RunOptions(tmp_path, jobs=1))


def test_a_dry_run_writes_its_report_alone(tmp_path: Path, maker: Callable[[], ShopMaker]) -> None:
    """A dry run tells which rows fit, writes the reports and nothing else; a run into the folder takes over from it."""
    done = ran(maker, RunOptions(tmp_path / "out", jobs=2, dry_run=True))
    assert [row.row.state for row in done if row.row.row in NOT_MADE] == ["refused", "refused"]
    assert all(row.row.state.startswith("fits") for row in done if row.row.row not in NOT_MADE)
    assert all(row.row.print is None and row.row.sha256 is None for row in done)
    assert {file.name for file in (tmp_path / "out").iterdir()} == {"report.csv", "report.jsonl"}
    assert [line["row"] for line in lines_of(tmp_path / "out")] == [1, 2, 3, 4, 5, 6]
    ran(maker, RunOptions(tmp_path / "out", jobs=1))
    made = files_in(tmp_path / "out")
    ran(maker, RunOptions(tmp_path / "out", jobs=1, dry_run=True))
    assert files_in(tmp_path / "out") == made


def test_stopping_at_the_first_error(tmp_path: Path, maker: Callable[[], ShopMaker]) -> None:
    """When told to stop on errors, the run ends after the first row that is not made."""
    done = ran(maker, RunOptions(tmp_path, jobs=2, stop_on_error=True))
    assert [row.row.row for row in done] == [1, 2, 3, 4]
    assert len(lines_of(tmp_path)) == 4


def test_a_row_that_kills_its_process_costs_itself_only(tmp_path: Path, catalogue: Catalogue) -> None:
    """A killed worker and a bug fail their own rows, with the bug's traceback for the log; the rest is made."""
    done = list(run_orders(orders_of(), lambda: Killer(catalogue, SMALL), RunOptions(tmp_path, jobs=2)))
    states = {row.row.row: row.row.state for row in done}
    assert (states[1], states[2]) == ("failed", "failed")
    assert all(states[row].startswith("made") for row in (3, 6))
    assert "a bug" in done[0].row.findings[0].message and "ZeroDivisionError" in done[0].trace
    assert "died" in done[1].row.findings[0].message
    assert len(lines_of(tmp_path)) == 6


def test_a_killed_run_can_be_resumed(tmp_path: Path, whole: Path, maker: Callable[[], ShopMaker]) -> None:
    """After kill -9 of run and workers there is no half file under a final name, and resuming ends the same."""
    script = (
        "import sys\nfrom pathlib import Path\nfrom studio.model.options import option_keys\n"
        "from studio.orders.order_list import read_orders\nfrom studio.storage.workspace import open_shop\n"
        "from studio.production.run import RunOptions, run_orders\n"
        "from studio.production.sign_source import ShopMakerSetup\n"
        "catalogue = open_shop(folder=Path('tests'), environment={}).catalogue\n"
        "orders = read_orders(Path(sys.argv[1]).read_bytes(), option_names=option_keys())\n"
        f"maker = ShopMakerSetup(catalogue, {SMALL!r})\n"
        "for done in run_orders(orders, maker, RunOptions(Path(sys.argv[2]), jobs=2)):\n"
        "    print(done.row.row, flush=True)\n"
    )
    out, file = tmp_path / "out", tmp_path / "orders.csv"
    file.write_text(LIST, encoding="utf-8")
    command = [sys.executable, "-c", script, str(file), str(out)]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True, start_new_session=True) as run:
        assert run.stdout is not None
        for _ in range(2):
            run.stdout.readline()
        os.killpg(run.pid, signal.SIGKILL)
        run.wait()
    for picture in (*out.glob("prints/*.png"), *out.glob("proofs/*.png")):
        with Image.open(picture) as opened:
            opened.load()
    deadline = time.monotonic() + 20
    while True:
        try:
            ran(maker, RunOptions(out, jobs=1, resume=True))
            break
        except OutputError:  # a process of the killed group may take a moment to go
            assert time.monotonic() < deadline
            time.sleep(0.05)
    assert without_seconds(out) == without_seconds(whole)
    assert not list(out.rglob("*.part"))


def test_a_long_list_goes_over_several_pages(tmp_path: Path) -> None:
    """Every sign stands on the contact sheet once: full pages of 60, numbered and padded, then the rest."""
    from studio.production.contact_sheet import PER_PAGE, ContactSheet

    row = RunRow(1, 2, "", "Ida", "made")
    assert PER_PAGE == 60
    with ContactSheet(tmp_path, total=PER_PAGE + 3) as sheet:
        for number in range(1, PER_PAGE + 4):
            sheet.add(replace(row, row=number, state="refused" if number == 2 else "made"), None)
        sheet.finish()
    pages = ["contact-01.png", "contact-02.png", "contact-check-01.png"]
    assert sorted(file.name for file in tmp_path.iterdir()) == [*pages, "contact.html", "contact.txt"]
    heads = [line for line in (tmp_path / "contact.txt").read_text().splitlines() if "made" in line]
    numbers = [word for line in heads for word in line.split() if word.isdigit()]
    assert numbers == [str(number) for number in range(1, PER_PAGE + 4)]


def test_the_contact_sheet_shows_each_sign(whole: Path) -> None:
    """Tiles of made signs hold lettering, those of rows that could not be made are plain boxes, marked in red."""
    pixels = np.asarray(Image.open(whole / "contact.png").convert("RGB")).astype(int)
    cells = [pixels[16:176, 16 + 176 * n : 176 + 176 * n] for n in range(6)]
    captions = [pixels[176:212, 16 + 176 * n : 176 + 176 * n] for n in range(6)]
    for number, (cell, caption) in enumerate(zip(cells, captions, strict=True), 1):
        dark = (cell.sum(axis=2) < 300).sum()
        red = ((caption[..., 0] - caption[..., 1]) > 80).sum()
        assert bool(dark > 100) is (number not in NOT_MADE)
        assert bool(red > 10) is (number in NOT_MADE)
    text = (whole / "contact.txt").read_text()
    assert "Tom & Bo" in text and max(map(len, text.splitlines())) <= 122


def test_bad_rows_carry_findings(maker: Callable[[], ShopMaker], tmp_path: Path) -> None:
    """A refused row's finding is of the refusing kind, with the remedy apart from the message."""
    done = ran(maker, RunOptions(tmp_path, jobs=1, chosen=frozenset({4})))
    finding = done[0].row.findings[0]
    assert isinstance(finding, Finding)
    assert (finding.severity, finding.remedy) == ("refuse", "Write 12mm or 12in.")
