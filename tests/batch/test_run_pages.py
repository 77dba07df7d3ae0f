"""Pages that go with a list: an approval for each sign made, one card, template and hanging page for each kind."""

from __future__ import annotations

import os
from pathlib import Path

import pypdfium2
import pytest

from studio.__main__ import main

ORDERS = """name,blank,surface
Loon,round:80mm,film
Heron,round:80mm,film
Otter,round:60mm,bare
,round:60mm,bare
"""
QUICK = ["--artwork", "none", "--dpi", "60", "--jobs", "1", "--without", "contact"]


@pytest.fixture(autouse=True)
def clean_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Run in an empty folder with a list of three signs and one row without a name."""
    monkeypatch.chdir(tmp_path)
    for name in [name for name in os.environ if name.startswith("SAPWOOD_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("SAPWOOD_SETTINGS", str(tmp_path / "settings"))
    monkeypatch.setenv("SAPWOOD_STATE", str(tmp_path / "state"))
    (tmp_path / "list.csv").write_text(ORDERS, encoding="utf-8")


def _pages(file: Path) -> int:
    return len(pypdfium2.PdfDocument(file.read_bytes()))


def test_pages_of_a_list(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two blanks and two surfaces give two of each shared page; each sign made has its approval, the refused none."""
    assert main(["batch", "list.csv", *QUICK, "--with", "all", "-o", "out"]) == 1
    out = tmp_path / "out"

    assert [_pages(out / name) for name in ("templates.pdf", "press-cards.pdf", "hanging.pdf")] == [2, 2, 2]
    stems = sorted(path.stem for path in (out / "prints").iterdir())
    assert len(stems) == 3
    assert sorted(path.name for path in (out / "approvals").iterdir()) == sorted(
        f"{stem}.{ending}" for stem in stems for ending in ("pdf", "png")
    )
    told = capsys.readouterr().out
    assert str(Path("out") / "press-cards.pdf") in told
    cards = pypdfium2.PdfDocument((out / "press-cards.pdf").read_bytes())
    texts = [page.get_textpage().get_text_range() for page in cards]
    assert "Press card: film" in texts[0] and "Press card: bare" in texts[1]
    assert not any("Loon" in text for text in texts)


def test_a_dry_run_writes_no_pages(tmp_path: Path) -> None:
    """--dry-run makes no sign and no page."""
    main(["batch", "list.csv", *QUICK, "--with", "card", "--dry-run", "-o", "out"])

    assert list((tmp_path / "out").rglob("*.pdf")) == []


@pytest.mark.parametrize(
    ("typed", "said"), [("card,one-file", "one-file is for a single sign"), ("crad", "did you mean 'card'?")]
)
def test_what_a_list_cannot_have(tmp_path: Path, capsys: pytest.CaptureFixture[str], typed: str, said: str) -> None:
    """A word that is wrong here ends with 2 before any row is made."""
    assert main(["batch", "list.csv", *QUICK, "--with", typed, "-o", "out"]) == 2
    assert said in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_a_surface_without_figures_refuses_the_list_first(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A row on a surface without press figures refuses --with card before anything is made."""
    (tmp_path / "sapwood.toml").write_text('[surfaces.slate]\nspread = "0.1mm"\n', encoding="utf-8")
    (tmp_path / "list.csv").write_text("name,surface\nLoon,slate\n", encoding="utf-8")

    assert main(["batch", "list.csv", *QUICK, "--blank", "round:80mm", "--with", "card", "-o", "out"]) == 2
    assert "[press.slate]" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()
