"""What a spreadsheet, a disk and a tired evening do to a run: each a sentence, the right code, nothing lost."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from concurrent.futures import Executor, ProcessPoolExecutor, ThreadPoolExecutor
from pathlib import Path

import numpy as np
import png as pypng
import pytest
from PIL import Image

from studio.__main__ import main
from studio.basics.errors import OutputError
from studio.model.options import option_keys
from studio.model.sign import Sign
from studio.orders.order_list import read_orders
from studio.orders.order_row import OrderRow
from studio.production.elsewhere import by_executor
from studio.production.run import RunOptions, run_orders
from studio.production.sign_source import ShopMaker, ShopMakerSetup
from studio.storage.catalogue import Catalogue
from studio.storage.workspace import open_shop

ROOT = Path(__file__).parents[2]
SMALL = {"blank": "round:4in", "artwork": "none", "dpi": "60"}
QUICK = ["--blank", "round:4in", "--artwork", "none", "--dpi", "60"]


@pytest.fixture(autouse=True)
def clean_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Run in an empty folder, with nobody's settings."""
    monkeypatch.chdir(tmp_path)
    for name in [name for name in os.environ if name.startswith("SAPWOOD_")]:
        monkeypatch.delenv(name)
    for name in ("SAPWOOD_SETTINGS", "SAPWOOD_STATE", "XDG_DATA_HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home" / name))


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The shop's catalogue, from a folder without settings."""
    return open_shop(folder=ROOT / "tests", environment={}).catalogue


def lines_of(folder: Path) -> list[dict[str, object]]:
    """Return the JSON report."""
    return [json.loads(line) for line in (folder / "report.jsonl").read_bytes().splitlines()]


def why(line: dict[str, object]) -> str:
    """Return the messages of a report line's findings."""
    findings = line["findings"]
    assert isinstance(findings, list)
    return " ".join(finding["message"] for finding in findings)


def test_texts_that_no_file_name_may_hold(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Paths, device names, formulas, 300 letters, NUL and a cell of 2 MB: made, or refused with a sentence."""
    texts = ["../../x", "CON", '=HYPERLINK("a","b")', "W" * 300, "Anna\0", "B" * 2_000_000, "Ida", "ida"]
    quoted = ['"' + text.replace('"', '""') + '"' for text in texts]
    Path("orders.csv").write_text("name\n" + "\n".join(quoted) + "\n", encoding="utf-8")
    assert main(["batch", "orders.csv", "-o", "out", "--jobs", "1", *QUICK]) == 1
    lines = lines_of(Path("out"))
    assert [line["row"] for line in lines] == list(range(1, 9))
    made = [line["row"] for line in lines if str(line["state"]).startswith("made")]
    assert {1, 2, 3, 7, 8} <= set(made) and not {5, 6} & set(made)
    assert "control character" in why(lines[4]) and "more than 131,072 letters" in why(lines[5])
    names = [str(line["print"]) for line in lines if line["print"]]
    assert len({name.casefold() for name in names}) == len(names) == len(list(Path("out/prints").iterdir()))
    assert {file.name for file in tmp_path.iterdir()} == {"orders.csv", "out"} | {"home"} & {
        file.name for file in tmp_path.iterdir()
    }
    table = Path("out/report.csv").read_text(encoding="utf-8-sig")
    assert ",=HYPERLINK" not in table and ',"=HYPERLINK' not in table


def test_fifty_thousand_rows_are_read(catalogue: Catalogue) -> None:
    """A list of 50,000 rows is read whole, with its faults by row."""
    cells = "\n".join(f"P-{n},{'' if n % 1000 == 0 else f'Name {n}'}" for n in range(1, 50_001))
    orders = read_orders(f"order,name\n{cells}\n".encode(), option_names=option_keys())
    assert len(orders.rows) == 50_000 and sum(bool(row.faults) for row in orders.rows) == 50
    assert orders.rows[-2].text == "Name 49999" and orders.rows[-1].line == 50_001


@pytest.mark.parametrize(
    "more", [[], ["--face", "Lobster", "--outline", "1mm:#ff0000"], ["--background", "transparent"]]
)
def test_prints_are_those_of_a_single_render(tmp_path: Path, more: list[str]) -> None:
    """Each print is the file that `render` writes for the row, byte for byte, and two decoders read it alike."""
    texts = ["Marlow & Tess", "Zoë", "Ole & Kari"]
    Path("orders.csv").write_text("name\n" + "\n".join(texts) + "\n", encoding="utf-8")
    options = ["--blank", "round:6in", "--dpi", "150", *more]
    assert main(["batch", "orders.csv", "-o", "out", "--jobs", "1", *options]) == 0
    for number, (line, text) in enumerate(zip(lines_of(Path("out")), texts, strict=True)):
        assert main(["render", text, "-o", f"one-{number}", *options]) == 0
        single = next(Path(f"one-{number}").glob("*-print.png"))
        file = Path("out") / str(line["print"])
        with Image.open(file) as ours, Image.open(single) as alone:
            pixels = np.asarray(ours)
            assert np.array_equal(pixels, np.asarray(alone))
        _, _, rows, info = pypng.Reader(bytes=file.read_bytes()).read()
        assert np.array_equal(
            np.vstack([np.frombuffer(row, np.uint8) for row in rows]), pixels.reshape(len(pixels), -1)
        )
        assert info["physical"].x == 5906
        assert file.read_bytes() == single.read_bytes()
    if shutil.which("pngcheck"):
        files = [str(file) for file in Path("out").glob("*/*.png")]
        subprocess.run(["pngcheck", "-q", *files], check=True)


class Meddler(ShopMaker):
    """Does something to the files it is made from when a name comes up."""

    def sign_of(self, order: OrderRow) -> Sign:
        """Return the order's sign, after the harm is done."""
        picture = Path("own.png")
        if order.text == "Delete":
            picture.unlink()
        if order.text == "Replace":
            Image.new("RGBA", (600, 600), (200, 20, 20, 255)).save(picture)
        if order.text == "Font":
            Path("own.ttf").write_bytes((ROOT / "fonts/Lobster/Lobster-Regular.ttf").read_bytes())
        return super().sign_of(order)


def test_a_picture_deleted_on_the_way(catalogue: Catalogue) -> None:
    """Rows after a picture has gone are refused with its name; those before keep their files."""
    Image.new("RGBA", (600, 600), (20, 120, 20, 60)).save("own.png")
    orders = read_orders(b"name\nIda\nDelete\nAnna\n", option_names=option_keys())
    values = SMALL | {"artwork": "own.png", "artwork_fit": "cover"}
    done = list(run_orders(orders, lambda: Meddler(catalogue, values), RunOptions(Path("out"), jobs=1)))
    assert [row.row.state.startswith("made") for row in done] == [True, False, False]
    assert all("own.png" in row.row.findings[0].message for row in done[1:])
    assert len(lines_of(Path("out"))) == 3 and len(list(Path("out/prints").iterdir())) == 1


def test_a_picture_replaced_on_the_way(catalogue: Catalogue) -> None:
    """Rows after a picture was replaced show the new one, as a run resumed later would make them."""
    Image.new("RGBA", (600, 600), (20, 120, 20, 60)).save("own.png")
    orders = read_orders(b"name\nIda\nReplace\nAnna\n", option_names=option_keys())
    values = SMALL | {"artwork": "own.png", "artwork_fit": "cover"}
    list(run_orders(orders, lambda: Meddler(catalogue, values), RunOptions(Path("out"), jobs=1)))
    seen = []
    for file in sorted(Path("out/prints").iterdir()):
        with Image.open(file) as opened:
            seen.append(opened.convert("RGB").getpixel((opened.width // 2, 45)))
    assert seen[0][1] > seen[0][0] and seen[1][0] > seen[1][1] and seen[2] == seen[1]
    done = list(run_orders(orders, lambda: ShopMaker(catalogue, values), RunOptions(Path("out"), jobs=1, resume=True)))
    assert [row.kept for row in done] == [False, True, True]


def test_a_font_replaced_on_the_way(catalogue: Catalogue) -> None:
    """A run keeps the face it began with, and a resumed one makes every row with the new one."""
    shutil.copy(ROOT / "fonts/Pacifico/Pacifico-Regular.ttf", "own.ttf")
    orders = read_orders(b"name\nIda\nFont\nAnna\n", option_names=option_keys())
    values = SMALL | {"face": "own.ttf"}
    done = list(run_orders(orders, lambda: Meddler(catalogue, values), RunOptions(Path("out"), jobs=1)))
    assert all(row.row.state.startswith("made") for row in done)
    done = list(run_orders(orders, lambda: ShopMaker(catalogue, values), RunOptions(Path("out"), jobs=1, resume=True)))
    assert not any(row.kept for row in done)


def test_a_disk_that_fills_up(tmp_path: Path, catalogue: Catalogue) -> None:
    """On a full disk the run stops with a sentence, leaves whole files only, and goes on once there is room."""
    disk = tmp_path / "disk"
    disk.mkdir()
    mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=400k", "tmpfs", str(disk)], capture_output=True)
    if mounted.returncode:
        pytest.skip("a small disk cannot be mounted here")
    try:
        names = "\n".join(f"Name {n}" for n in range(30))
        orders = read_orders(f"name\n{names}\n".encode(), option_names=option_keys())
        maker = ShopMakerSetup(catalogue, SMALL)
        with pytest.raises(OutputError, match="full"):
            list(run_orders(orders, maker, RunOptions(disk / "out", jobs=2)))
        for file in (disk / "out").glob("*/*.png"):
            with Image.open(file) as opened:
                opened.load()
        assert not list((disk / "out").rglob("*.part"))
        subprocess.run(["mount", "-o", "remount,size=40m", str(disk)], check=True)
        done = list(run_orders(orders, maker, RunOptions(disk / "out", jobs=2, resume=True)))
        assert len(done) == 30 and all(row.row.state.startswith("made") for row in done)
    finally:
        subprocess.run(["umount", str(disk)], check=True)


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_may_not_be_written(tmp_path: Path) -> None:
    """A read-only folder ends with 5 and a sentence."""
    Path("orders.csv").write_text("name\nIda\n")
    (tmp_path / "locked").mkdir(mode=0o555)
    assert main(["batch", "orders.csv", "-o", "locked/out", *QUICK]) == 5


def test_a_file_in_the_folders_place(capsys: pytest.CaptureFixture[str]) -> None:
    """Where a file stands in the folder's place the run ends with 5 and names it."""
    Path("orders.csv").write_text("name\nIda\n")
    Path("out").write_text("mine")
    assert main(["batch", "orders.csv", "-o", "out", *QUICK]) == 5
    assert "out" in capsys.readouterr().err and Path("out").read_text() == "mine"


@pytest.mark.parametrize("kind", [ThreadPoolExecutor, ProcessPoolExecutor])
def test_signs_by_any_executor(tmp_path: Path, catalogue: Catalogue, kind: type[Executor]) -> None:
    """The work of a run's rows, handed to an executor of threads or processes, gives the run's own files in order."""
    orders = read_orders(b"name\nIda\nTom\nAnna\nOle\nKari\n", option_names=option_keys())
    maker = ShopMakerSetup(catalogue, SMALL)
    list(run_orders(orders, maker, RunOptions(tmp_path / "run", jobs=1)))
    context = {"mp_context": __import__("multiprocessing").get_context("spawn")} if kind is ProcessPoolExecutor else {}
    with kind(max_workers=2, **context) as executor:
        answers = by_executor(executor, ahead=3)
        done = list(run_orders(orders, maker, RunOptions(tmp_path / "pool"), answers=answers))
        again = list(run_orders(orders, maker, RunOptions(tmp_path / "pool", resume=True), answers=answers))
    assert [row.row.row for row in done] == [1, 2, 3, 4, 5] and all(row.kept for row in again)
    files = [file for file in sorted((tmp_path / "run").glob("**/*.png")) if ".sapwood" not in file.parts]
    assert len(files) >= 11
    for file in files:
        assert (tmp_path / "pool" / file.relative_to(tmp_path / "run")).read_bytes() == file.read_bytes()


def test_memory_stays_flat(tmp_path: Path) -> None:
    """A list of 1,000 rows takes hardly more memory than one of 100."""
    script = (
        "import resource, sys\nfrom pathlib import Path\nfrom studio.model.options import option_keys\n"
        "from studio.orders.order_list import read_orders\nfrom studio.storage.workspace import open_shop\n"
        "from studio.production.run import RunOptions, run_orders\n"
        "from studio.production.sign_source import ShopMakerSetup\n"
        "values = {'blank': 'round:30mm', 'artwork': 'none', 'dpi': '36', 'face': 'Nunito'}\n"
        "maker = ShopMakerSetup(open_shop(folder=Path('tests'), environment={}).catalogue, values)\n"
        "names = '\\n'.join(f'{chr(65 + n % 26)}' for n in range(int(sys.argv[1])))\n"
        "orders = read_orders(f'name\\n{names}\\n'.encode(), option_names=option_keys())\n"
        "made = sum(1 for _ in run_orders(orders, maker, RunOptions(Path(sys.argv[2]), jobs=1, proofs=False)))\n"
        "print(made, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)\n"
    )
    told = []
    for rows in (100, 1000):
        command = [sys.executable, "-c", script, str(rows), str(tmp_path / f"out-{rows}")]
        made, memory_mb = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True).stdout.split()
        assert int(made) == rows
        told.append(int(memory_mb))
    assert told[1] - told[0] < 12, told
