"""What a second run into a folder does to the first: files are those of the report, and nobody else's are touched."""

from __future__ import annotations

import csv
import io
import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from studio.basics.errors import OutputError
from studio.model.options import option_keys
from studio.orders.order_list import read_orders
from studio.production.run import RowDone, RunOptions, RunRecord, run_orders
from studio.production.sign_source import ShopMaker, ShopMakerSetup
from studio.storage.processes import host_tag
from studio.storage.workspace import open_shop

ROOT = Path(__file__).parents[2]
SMALL = {"blank": "round:30mm", "artwork": "none", "dpi": "36", "face": "Nunito", "min_cap": "1mm", "margin": "1mm"}
COUNT = 24
Lines = list[tuple[str, str]]
FIRST: Lines = [(f"A-{number}", f"Guest {chr(65 + number % 26)}{number}") for number in range(1, COUNT + 1)]


def csv_of(lines: Lines) -> bytes:
    """Return a list of orders and names as a file holds it."""
    stream = io.StringIO(newline="")
    csv.writer(stream).writerows([("order", "name"), *lines])
    return stream.getvalue().encode()


def respelled(lines: Lines) -> Lines:
    """Spell the third name otherwise."""
    return [*lines[:2], (lines[2][0], "Guest Three"), *lines[3:]]


def emptied(lines: Lines) -> Lines:
    """Take the fifth name out."""
    return [*lines[:4], (lines[4][0], ""), *lines[5:]]


def cut(lines: Lines) -> Lines:
    """Keep the first ten."""
    return lines[:10]


def on_top(lines: Lines) -> Lines:
    """Put a new order on top."""
    return [("A-0", "Newcomer"), *lines]


def reordered(lines: Lines) -> Lines:
    """Turn the list round."""
    return lines[::-1]


CHANGES: list[Callable[[Lines], Lines]] = [list, respelled, emptied, cut, on_top, reordered]
FLAGS = [{"resume": True}, {"overwrite": True}, {"resume": True, "overwrite": True}]


@pytest.fixture(scope="module")
def maker() -> ShopMakerSetup:
    """Makers of tiny signs."""
    return ShopMakerSetup(open_shop(folder=ROOT / "tests", environment={}).catalogue, SMALL)


def run(
    maker: Callable[[], ShopMaker], lines: Lines, folder: Path, record: RunRecord | None = None, **flags: object
) -> list[RowDone]:
    """Make a list as the command does and return its rows."""
    orders = read_orders(csv_of(lines), option_names=option_keys())
    options = RunOptions(folder, jobs=1, contact=False, list_name="/shop/orders.csv", **flags)  # type: ignore[arg-type]
    return list(run_orders(orders, maker, options, record=record))


@pytest.fixture(scope="module")
def first(maker: ShopMakerSetup, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the first run."""
    folder = tmp_path_factory.mktemp("first") / "out"
    run(maker, FIRST, folder)
    return folder


@pytest.fixture
def out(first: Path, tmp_path: Path) -> Path:
    """A copy of that folder, with a file of somebody else's among the prints."""
    shutil.copytree(first, tmp_path / "out")
    (tmp_path / "out/prints/0003-z-9-mine.png").write_bytes(b"mine")
    return tmp_path / "out"


def reported(folder: Path) -> list[dict[str, object]]:
    """Return the report's rows."""
    return [json.loads(line) for line in (folder / "report.jsonl").read_bytes().splitlines()]


def pictures(folder: Path) -> set[str]:
    """Return the prints and proofs there are, but for the one of somebody else's."""
    found = {f"{file.parent.name}/{file.name}" for file in folder.glob("pr*/*.png")}
    assert (folder / "prints/0003-z-9-mine.png").read_bytes() == b"mine"
    return found - {"prints/0003-z-9-mine.png"}


def agrees(folder: Path) -> bool:
    """Return whether the files are exactly those of the report."""
    named = {str(row[kind]) for row in reported(folder) for kind in ("print", "proof") if row[kind]}
    return pictures(folder) == named


@pytest.mark.parametrize("flags", FLAGS, ids=str)
@pytest.mark.parametrize("change", CHANGES, ids=lambda change: change.__name__)
def test_files_are_those_of_the_report(
    maker: ShopMakerSetup, out: Path, change: Callable[[Lines], Lines], flags: dict[str, bool]
) -> None:
    """After any change of the list, resumed or made over, each order has its files, and the removed are all named."""
    lines, before, record = change(FIRST), pictures(out), RunRecord()
    run(maker, lines, out, record, **flags)
    assert agrees(out)
    assert [(row["order"], row["text"]) for row in reported(out)] == lines
    assert all(row["print"] for row in reported(out) if row["text"])
    assert before - pictures(out) == set(record.removed)


@pytest.mark.parametrize("change", [list, respelled, cut, on_top, reordered], ids=lambda change: change.__name__)
def test_finished_orders_are_kept_wherever_they_stand(
    maker: ShopMakerSetup, out: Path, change: Callable[[Lines], Lines]
) -> None:
    """Resumed, an order whose text is the same keeps its very file, name included, wherever its row has gone."""
    held = {row["order"]: row["print"] for row in reported(out)}
    done = run(maker, change(FIRST), out, resume=True)
    same = set(FIRST) & set(change(FIRST))
    assert {row.row.order for row in done if row.kept} == {order for order, _ in same}
    assert all(row.row.print == held[row.row.order] for row in done if row.kept)


@pytest.mark.parametrize("flags", FLAGS, ids=str)
def test_chosen_rows_change_themselves_alone(maker: ShopMakerSetup, out: Path, flags: dict[str, bool]) -> None:
    """With certain rows chosen every other line of the report stays to the letter, and no file goes."""
    before, files = (out / "report.jsonl").read_bytes().splitlines(), pictures(out)
    run(maker, respelled(FIRST), out, chosen=frozenset({2}), **flags)
    after = (out / "report.jsonl").read_bytes().splitlines()
    assert len(after) == len(before) == COUNT
    assert [number for number, pair in enumerate(zip(before, after, strict=True), 1) if pair[0] != pair[1]] in ([], [2])
    assert pictures(out) == files and agrees(out)


def test_refused_rows_stay_in_the_report(maker: ShopMakerSetup, tmp_path: Path) -> None:
    """Resuming one row drops no refused row from the report."""
    folder = tmp_path / "out"
    run(maker, emptied(FIRST), folder)
    done = run(maker, emptied(FIRST), folder, chosen=frozenset({2}), resume=True)
    assert [row.row.state for row in done].count("refused") == 1 and len(reported(folder)) == COUNT


def test_a_new_row_on_top_alone_touches_nobody(maker: ShopMakerSetup, out: Path) -> None:
    """A new first row made by itself leaves all finished signs, and all are in the report under their new rows."""
    files = pictures(out)
    run(maker, on_top(FIRST), out, chosen=frozenset({1}), resume=True)
    assert files < pictures(out) and agrees(out)
    assert [row["text"] for row in reported(out)] == [text for _, text in on_top(FIRST)]
    assert [row["row"] for row in reported(out)] == list(range(1, COUNT + 2))


@pytest.mark.parametrize("flags", [*FLAGS, {"resume": True, "chosen": frozenset({1})}], ids=str)
@pytest.mark.parametrize("name", ["/shop/orders.csv", "/shop/other.csv"])
def test_another_lists_signs_are_never_touched(
    maker: ShopMakerSetup, out: Path, flags: dict[str, object], name: str
) -> None:
    """Another list into the folder is refused with the count of finished signs, whatever it is called."""
    before = {file: file.read_bytes() for file in out.rglob("*") if file.is_file() and ".sapwood" not in file.parts}
    lines = [(f"A-{number}", f"Other {number}") for number in range(1, COUNT + 1)]
    orders = read_orders(csv_of(lines), option_names=option_keys())
    options = RunOptions(out, jobs=1, contact=False, list_name=name, **flags)  # type: ignore[arg-type]
    with pytest.raises(OutputError, match=rf"{COUNT} finished signs of the list orders\.csv"):
        list(run_orders(orders, maker, options))
    after = {file: file.read_bytes() for file in out.rglob("*") if file.is_file() and ".sapwood" not in file.parts}
    assert after == before


@pytest.mark.parametrize("flags", [{}, *FLAGS], ids=str)
def test_somebody_elses_report_is_never_touched(maker: ShopMakerSetup, tmp_path: Path, flags: dict[str, bool]) -> None:
    """A folder with a report.csv that no run wrote is refused, and every byte in it stays."""
    for name in ("report.csv", "contact.png", "prints/0001-a-1-guest-b1.png"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_bytes(b"mine")
    with pytest.raises(OutputError, match=r"holds a report\.csv that is not a run's report"):
        run(maker, FIRST[:2], tmp_path, **flags)
    assert all((tmp_path / name).read_bytes() == b"mine" for name in ("report.csv", "contact.png"))
    assert (tmp_path / "prints/0001-a-1-guest-b1.png").read_bytes() == b"mine"


def test_there_is_nothing_to_go_on_with(maker: ShopMakerSetup, tmp_path: Path) -> None:
    """Going on in a folder of other files is refused."""
    (tmp_path / "contact.png").write_bytes(b"mine")
    with pytest.raises(OutputError, match=r"no run in .* to resume"):
        run(maker, FIRST[:2], tmp_path, resume=True)
    assert (tmp_path / "contact.png").read_bytes() == b"mine"


def test_what_a_killed_run_half_wrote_goes_with_the_next(maker: ShopMakerSetup, tmp_path: Path) -> None:
    """Part files of a dead run go from its folder and all inside; killed before its first row, it can be resumed."""
    with subprocess.Popen([sys.executable, "-c", ""]) as dead:
        dead.wait()
    places = [tmp_path / within for within in (".", ".sapwood", "prints", "proofs")]
    for flags in ({}, {"resume": True}):
        for place in places:
            place.mkdir(exist_ok=True)
            (place / f".sapwood-{host_tag()}-{dead.pid}-1.part").write_bytes(b"half")
        run(maker, FIRST[:2], tmp_path, **flags)
        assert len(list(tmp_path.glob("prints/*.png"))) == 2
        assert not list(tmp_path.rglob("*.part"))
    (tmp_path / "new").mkdir()
    (tmp_path / "new" / f".sapwood-{host_tag()}-{dead.pid}-1.part").write_bytes(b"half")
    run(maker, FIRST[:2], tmp_path / "new", resume=True)
    assert not list(tmp_path.rglob("*.part"))


def test_strict_takes_doubtful_prints_back_and_says_so(maker: ShopMakerSetup, tmp_path: Path) -> None:
    """A print made with a warning is removed when warnings refuse, and is named."""
    lines: Lines = [("A-1", "Ida"), ("A-2", "NA"), ("A-3", "Lil"), ("A-4", "Bo")]
    folder, record = tmp_path / "out", RunRecord()
    assert [row.row.state for row in run(maker, lines, folder)][1] == "made-with-warnings"
    done = run(maker, lines, folder, record, resume=True, strict=True)
    assert done[1].row.state == "refused"
    assert record.removed == ["prints/0002-a-2-na.png", "proofs/0002-a-2-na.png"]


def test_stopping_keeps_the_rest_of_the_report(maker: ShopMakerSetup, out: Path) -> None:
    """A second run that stops at its first refused row, or is cut off, leaves all other rows in the report."""
    run(maker, emptied(FIRST), out, resume=True, stop_on_error=True)
    assert len(reported(out)) == COUNT and agrees(out)
    orders = read_orders(csv_of(FIRST), option_names=option_keys())
    rows = run_orders(orders, maker, RunOptions(out, jobs=1, contact=False, resume=True))
    next(rows)
    rows.close()  # type: ignore[attr-defined]
    assert len(reported(out)) == COUNT


def test_a_report_reads_back_as_the_list_it_was(maker: ShopMakerSetup, tmp_path: Path) -> None:
    """Options, notes, pieces, own columns and refusals of a list are all in its report, read as a list."""
    text = (
        "order,name,qty,blank,max cap,color,note,cabin,also\n"
        "1,Ida,2,round:40mm,12mm,#aa0000,wedding present,Birch,arc-bottom=est. 2019\n"
        "2,=Nils,1,,,,,Fir,\n3,Kaja,0,,,,,Elm,\n4,Tess,1,,40,,x,Yew,\n5,Bo,1,,,,y,Oak,,,surplus\n6,007,3,,,,,Ash,\n"
    )
    orders = read_orders(text.encode(), option_names=option_keys())
    done = list(run_orders(orders, maker, RunOptions(tmp_path / "a", jobs=1, contact=False)))
    again = read_orders((tmp_path / "a/report.csv").read_bytes(), option_names=option_keys())
    assert not again.doubts
    for before, after in zip(orders.rows, again.rows, strict=True):
        assert (after.text, after.order, after.quantity) == (before.text, before.order, before.quantity)
        assert (after.note, after.extra) == (before.note, before.extra)
        assert set(before.options) <= set(after.options)
    twice = list(run_orders(again, maker, RunOptions(tmp_path / "b", jobs=1, contact=False)))
    states = [row.row.state.replace("-with-warnings", "") for row in done]
    assert [row.row.state.replace("-with-warnings", "") for row in twice] == states
    assert states.count("refused") == 3
    assert [row.row.sha256 for row in twice] == [row.row.sha256 for row in done]
