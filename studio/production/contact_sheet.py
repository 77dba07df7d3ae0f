"""The contact sheet: every sign of a run small, in list order, to be looked over at a glance.

A page holds a fixed number of signs and is written as soon as it is full, so that memory does not grow with the list.
The same rows and tiles always give the same bytes.
"""

from __future__ import annotations

import tempfile
import unicodedata
from pathlib import Path
from types import TracebackType
from typing import Final

import numpy as np
from PIL import Image, ImageDraw

from studio.production.captions import caption_cover
from studio.production.contact_tile import TILE_COLUMNS, TILE_PX, Tile
from studio.production.row_result import SOUND, RunRow
from studio.render.png.bands import BandedPicture
from studio.storage.atomic_write import write_whole

COLUMNS: Final = 8
ROWS: Final = 12
PER_PAGE: Final = COLUMNS * ROWS
TEXT_COLUMNS: Final = 2
_GAP_PX: Final = 16
_CAPTION_PX: Final = 36
_CELL_PX: Final = (TILE_PX + _GAP_PX, TILE_PX + _CAPTION_PX + _GAP_PX)
_TYPE_PX: Final = 13
_DPI: Final = 150.0
_INK: Final = (40, 40, 40)
_ALARM: Final = (176, 32, 16)
_EMPTY: Final = (236, 236, 232)


class ContactSheet:
    """Builds `contact.png`, `contact-2.png` and so on, and `contact.txt`; a context manager."""

    def __init__(self, folder: Path, *, overwrite: bool = False) -> None:
        self._folder = folder
        self._overwrite = overwrite
        self._page: list[tuple[RunRow, Tile | None]] = []
        self._pages = 0
        self._text = tempfile.TemporaryFile()  # noqa: SIM115, closed on exit
        self._band: list[list[str]] = []

    def __enter__(self) -> ContactSheet:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._text.close()

    def add(self, row: RunRow, tile: Tile | None) -> None:
        """Put the next row on the sheet.

        Raises:
            OutputError: A full page cannot be written.
        """
        self._page.append((row, tile))
        self._band.append(_text_block(row, tile))
        if len(self._band) == TEXT_COLUMNS:
            self._end_band()
        if len(self._page) == PER_PAGE:
            self._end_page()

    def finish(self) -> list[str]:
        """Write what is left, the last page and the text, and return the names of all pages.

        Raises:
            OutputError: One of them cannot be written.
        """
        if self._page or not self._pages:
            self._end_page()
        self._end_band()
        self._text.seek(0)
        write_whole(self._folder / "contact.txt", self._text.read(), overwrite=self._overwrite, durable=False)
        pages = ["contact.png", *(f"contact-{number}.png" for number in range(2, self._pages + 1))]
        for file in self._folder.glob("contact-*.png"):
            if file.name not in pages and file.stem.removeprefix("contact-").isdecimal():
                file.unlink(missing_ok=True)
        return pages

    def _end_page(self) -> None:
        rows = max(-(-len(self._page) // COLUMNS), 1)
        columns = COLUMNS if rows > 1 else max(len(self._page), 1)
        sheet = Image.new("RGB", (columns * _CELL_PX[0] + _GAP_PX, rows * _CELL_PX[1] + _GAP_PX), "white")
        for place, (row, tile) in enumerate(self._page):
            corner = (_GAP_PX + place % COLUMNS * _CELL_PX[0], _GAP_PX + place // COLUMNS * _CELL_PX[1])
            self._draw(sheet, corner, row, tile)
        self._pages += 1
        name = "contact.png" if self._pages == 1 else f"contact-{self._pages}.png"
        data = BandedPicture.encode(np.asarray(sheet), dpi=_DPI).whole().data
        write_whole(self._folder / name, data, overwrite=self._overwrite, durable=False)
        self._page.clear()

    def _draw(self, sheet: Image.Image, corner: tuple[int, int], row: RunRow, tile: Tile | None) -> None:
        """Draw one sign with its caption; a box stands for one without a picture."""
        pen = ImageDraw.Draw(sheet)
        left, top = corner
        if tile is None:
            pen.rectangle((left, top, left + TILE_PX - 1, top + TILE_PX - 1), fill=_EMPTY)
        else:
            height, width = tile.pixels.shape[:2]
            place = (left + (TILE_PX - width) // 2, top + (TILE_PX - height) // 2)
            sheet.paste(Image.fromarray(tile.pixels), place)
        colour = _INK if row.state in SOUND else _ALARM
        for line, text in enumerate(_captions(row)):
            cover = caption_cover(text, size_px=_TYPE_PX, width_px=TILE_PX + _GAP_PX - 4)
            sheet.paste(colour, (left, top + TILE_PX + 3 + line * 16), Image.fromarray(cover))

    def _end_band(self) -> None:
        """Set the blocks of text that wait side by side."""
        for line in range(max(map(len, self._band), default=0)):
            cells = [block[line] if line < len(block) else "" for block in self._band]
            text = "  ".join(cell + " " * (TILE_COLUMNS - _width(cell)) for cell in cells).rstrip()
            self._text.write(text.encode("utf-8", "replace") + b"\n")
        if self._band:
            self._text.write(b"\n")
        self._band.clear()


def _captions(row: RunRow) -> tuple[str, str]:
    """Return the two lines below a tile: number, order and state; the text."""
    state = "" if row.state == "made" else row.state.replace("made-with-warnings", "warnings")
    return "  ".join(filter(None, (str(row.row), row.order[:12], state))), _in_one_line(row.text)


def _in_one_line(text: str) -> str:
    return " / ".join(text.replace("\\n", "\n").split("\n"))


def _text_block(row: RunRow, tile: Tile | None) -> list[str]:
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
