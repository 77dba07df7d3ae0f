"""The contact sheet: every sign of a run small, in list order, to be looked over at a glance.

Pages hold at most 60 signs and are written as soon as they are full, so that memory does not grow with the list. Signs
that were refused or made with warnings stand on pages of their own as well. The same rows and tiles always give the
same bytes.
"""

from __future__ import annotations

import re
import tempfile
import textwrap
import unicodedata
from collections.abc import Callable
from pathlib import Path
from types import TracebackType
from typing import Final

import numpy as np
from PIL import Image, ImageDraw

from studio.production.captions import caption_cover
from studio.production.contact_index import ContactIndex
from studio.production.contact_tile import TILE_COLUMNS, TILE_PX, ContactTile
from studio.production.row_result import SOUND, RunRow
from studio.render.png.bands import BandedPicture
from studio.storage.atomic_write import write_whole

COLUMNS: Final = 10
ROWS: Final = 6
PER_PAGE: Final = COLUMNS * ROWS
TEXT_COLUMNS: Final = 2
CHECK: Final = "contact-check"
"""The pages of refused and doubtful signs."""
_GAP_PX: Final = 16
_LINE_PX: Final = 16
_CAPTION_LINES: Final = 4
_CAPTION_PX: Final = 4 + _CAPTION_LINES * _LINE_PX
_CELL_PX: Final = (TILE_PX + _GAP_PX, TILE_PX + _CAPTION_PX + _GAP_PX)
_FOOT_PX: Final = 28
_TYPE_PX: Final = 13
_LETTERS_A_LINE: Final = 25
_DPI: Final = 150.0
_INK: Final = (40, 40, 40)
_FAINT: Final = (110, 110, 110)
_ALARM: Final = (176, 32, 16)
_DOUBT: Final = (150, 90, 0)
_EMPTY: Final = (236, 236, 232)
_OURS: Final = re.compile(r"contact(-check)?(-\d+)?\.png|contact\.(txt|html)")


class ContactSheet:
    """Builds `contact.png` or `contact-01.png` and so on, those to check, `contact.txt` and `contact.html`.

    A context manager.
    """

    def __init__(self, folder: Path, *, total: int = 0, title: str = "", overwrite: bool = False) -> None:
        """Set up.

        Args:
            folder: The run's folder.
            total: How many signs there will be at most.
            title: What stands at the foot of each page, such as the list's name.
            overwrite: Replace what is there.
        """
        self._folder = folder
        self._overwrite = overwrite
        self._all = _Pages("contact", total, title, self._write_page)
        self._check = _Pages(CHECK, total, f"{title}, to check" if title else "to check", self._write_page)
        self._index = ContactIndex(title)
        self._text = tempfile.TemporaryFile()  # noqa: SIM115, closed on exit
        self._band: list[list[str]] = []

    def __enter__(self) -> ContactSheet:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._text.close()
        self._index.close()

    def add(self, row: RunRow, tile: ContactTile | None) -> None:
        """Put the next row on the sheet.

        Raises:
            OutputError: A full page cannot be written.
        """
        self._band.append(_text_block(row, tile))
        if len(self._band) == TEXT_COLUMNS:
            self._end_band()
        self._index.add(row, self._all.add(row, tile, _captions(row)))
        if row.state not in ("made", "fits"):
            self._check.add(row, tile, _reasons(row))

    def finish(self) -> list[str]:
        """Write what is left, the last pages, index and text, and return the names of all pages.

        Raises:
            OutputError: One of them cannot be written.
        """
        pages = self._all.end(even_empty=True)
        checks = self._check.end(even_empty=False)
        self._end_band()
        self._text.seek(0)
        write_whole(self._folder / "contact.txt", self._text.read(), overwrite=self._overwrite, durable=False)
        index = self._index.whole(pages, checks)
        write_whole(self._folder / "contact.html", index, overwrite=self._overwrite, durable=False)
        if self._overwrite:
            remove_sheets(self._folder, but=(*pages, *checks, "contact.txt", "contact.html"))
        return [*pages, *checks]

    def _write_page(self, name: str, page: Image.Image) -> None:
        data = BandedPicture.encode(np.asarray(page), dpi=_DPI).whole().data
        write_whole(self._folder / name, data, overwrite=self._overwrite, durable=False)

    def _end_band(self) -> None:
        """Set the blocks of text that wait side by side."""
        for line in range(max(map(len, self._band), default=0)):
            cells = [block[line] if line < len(block) else "" for block in self._band]
            text = "  ".join(cell + " " * (TILE_COLUMNS - _width(cell)) for cell in cells).rstrip()
            self._text.write(text.encode("utf-8", "replace") + b"\n")
        if self._band:
            self._text.write(b"\n")
        self._band.clear()


class _Pages:
    """Pages of one kind, filled one after another."""

    def __init__(self, stem: str, total: int, title: str, write: Callable[[str, Image.Image], None]) -> None:
        self._stem = stem
        self._most = max(1, -(-total // PER_PAGE))
        self._title = title
        self._write = write
        self._held: list[tuple[RunRow, ContactTile | None, tuple[str, ...]]] = []
        self._done: list[str] = []

    def add(self, row: RunRow, tile: ContactTile | None, captions: tuple[str, ...]) -> str:
        """Put a sign on the page under way and return that page's name."""
        if len(self._held) == PER_PAGE:
            self._end_page()
        self._held.append((row, tile, captions))
        return self._name()

    def end(self, *, even_empty: bool) -> list[str]:
        """Write the last page and return the names of all."""
        if self._held or (even_empty and not self._done):
            self._end_page()
        return self._done

    def _name(self) -> str:
        digits = max(2, len(str(self._most)))
        return f"{self._stem}.png" if self._most == 1 else f"{self._stem}-{len(self._done) + 1:0{digits}d}.png"

    def _end_page(self) -> None:
        rows = max(-(-len(self._held) // COLUMNS), 1)
        columns = COLUMNS if rows > 1 else max(len(self._held), 1)
        size = (columns * _CELL_PX[0] + _GAP_PX, rows * _CELL_PX[1] + _GAP_PX + _FOOT_PX)
        sheet = Image.new("RGB", size, "white")
        for place, (row, tile, captions) in enumerate(self._held):
            corner = (_GAP_PX + place % COLUMNS * _CELL_PX[0], _GAP_PX + place // COLUMNS * _CELL_PX[1])
            _draw(sheet, corner, row, tile, captions)
        name = self._name()
        cover = caption_cover(self._foot(), size_px=_TYPE_PX, width_px=size[0] - 2 * _GAP_PX)
        sheet.paste(_FAINT, (_GAP_PX, size[1] - _FOOT_PX), Image.fromarray(cover))
        self._done.append(name)
        self._write(name, sheet)
        self._held.clear()

    def _foot(self) -> str:
        number = len(self._done) + 1
        of = f" of {self._most}" if self._stem == "contact" and self._most > 1 else ""
        rows = f"rows {self._held[0][0].row} to {self._held[-1][0].row}" if self._held else "no rows"
        return "   ".join(filter(None, (f"Page {number}{of}", rows, self._title)))


def remove_sheets(folder: Path, *, but: tuple[str, ...] = ()) -> None:
    """Remove a run's earlier sheets, all but some."""
    for file in folder.iterdir():
        if file.name not in but and _OURS.fullmatch(file.name):
            file.unlink(missing_ok=True)


def _draw(
    sheet: Image.Image, corner: tuple[int, int], row: RunRow, tile: ContactTile | None, captions: tuple[str, ...]
) -> None:
    """Draw one sign with its captions; a box stands for one without a picture."""
    pen = ImageDraw.Draw(sheet)
    left, top = corner
    if tile is None:
        pen.rectangle((left, top, left + TILE_PX - 1, top + TILE_PX - 1), fill=_EMPTY)
    else:
        height, width = tile.pixels.shape[:2]
        place = (left + (TILE_PX - width) // 2, top + (TILE_PX - height) // 2)
        sheet.paste(Image.fromarray(tile.pixels), place)
    colour = _ALARM if row.state not in SOUND else _DOUBT if row.state.endswith("warnings") else _INK
    for line, text in enumerate(captions):
        if text:
            cover = caption_cover(text, size_px=_TYPE_PX, width_px=TILE_PX + _GAP_PX - 4)
            ink = colour if line < 2 else _FAINT
            sheet.paste(ink, (left, top + TILE_PX + 3 + line * _LINE_PX), Image.fromarray(cover))


def _captions(row: RunRow) -> tuple[str, ...]:
    """Return the lines below a tile: number, order, pieces and state; the text; the wood; the face."""
    state = "" if row.state == "made" else row.state.replace("made-with-warnings", "warnings")
    pieces = f"× {row.quantity}" if row.quantity > 1 else ""
    head = "  ".join(filter(None, (str(row.row), pieces, row.order[:18], state)))
    return head, _in_one_line(row.text), " ".join(filter(None, (row.blank, row.surface))), row.face


def _reasons(row: RunRow) -> tuple[str, ...]:
    """Return the lines below a tile that is to be checked: number, order and state; the text; what was found."""
    found = [finding for finding in row.findings if finding.severity != "note"]
    refused = [finding.message for finding in found if finding.severity == "refuse"]
    codes = list(dict.fromkeys(finding.code for finding in found))
    why = textwrap.wrap(refused[0], _LETTERS_A_LINE)[:2] if refused else codes[:2]
    return (*_captions(row)[:2], *why)


def _in_one_line(text: str) -> str:
    return " / ".join(text.replace("\\n", "\n").split("\n"))


def _text_block(row: RunRow, tile: ContactTile | None) -> list[str]:
    """Return a sign's lines of text: number and state, its text, its picture."""
    head = _fitted(f"{row.row}  {row.order}  {row.state}" if row.order else f"{row.row}  {row.state}")
    lines = list(tile.lines) if tile is not None else []
    return [head, _fitted(_in_one_line(row.text)), *lines]


def _fitted(text: str) -> str:
    """Return the start of a text that takes at most a block's columns, without what would break a line."""
    kept, width = "", 0
    for letter in text:
        if not letter.isprintable():
            continue
        width += _width(letter)
        if width > TILE_COLUMNS:
            break
        kept += letter
    return kept


def _width(text: str) -> int:
    """Return how many columns of a terminal a text takes."""
    if text.isascii():
        return len(text)
    return sum(
        0 if unicodedata.combining(letter) else 2 if unicodedata.east_asian_width(letter) in "WF" else 1
        for letter in text
    )
