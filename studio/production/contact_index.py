"""The index of a contact sheet: a page for the browser, with every sign, the page it stands on, and its files."""

from __future__ import annotations

import html
import tempfile
from collections.abc import Sequence
from typing import Final
from urllib.parse import quote

from studio.production.row_result import SOUND, RunRow

_STYLE: Final = (
    "body{font:15px/1.45 system-ui,sans-serif;margin:2em;color:#222}table{border-collapse:collapse}"
    "td,th{padding:.2em .8em .2em 0;text-align:left;vertical-align:top;border-bottom:1px solid #ddd}"
    ".bad{color:#b02010}.doubt{color:#965a00}img{width:220px;border:1px solid #ddd;margin:0 .6em .6em 0}"
)
_HEADERS: Final = (
    "row",
    "order",
    "text",
    "pieces",
    "wood",
    "surface",
    "face",
    "state",
    "sheet",
    "print",
    "proof",
    "note",
)


class ContactIndex:
    """Collects a line for each sign on disk, so that memory does not grow with the list."""

    def __init__(self, title: str) -> None:
        """Set up; the title is the list's name."""
        self._title = title or "signs"
        self._lines = tempfile.TemporaryFile()  # noqa: SIM115, closed by `close`
        self._count = 0

    def add(self, row: RunRow, page: str) -> None:
        """Add a sign that stands on a page."""
        kind = "bad" if row.state not in SOUND else "doubt" if row.state.endswith("warnings") else ""
        cells = (
            str(row.row),
            html.escape(row.order),
            html.escape(row.text).replace("\n", "<br>"),
            str(row.quantity),
            html.escape(row.blank),
            html.escape(row.surface),
            html.escape(row.face),
            row.state,
            _link(page, page.removesuffix(".png")),
            _link(row.print, "print"),
            _link(row.proof, "proof"),
            html.escape(row.note),
        )
        line = f"<tr{f' class={kind}' if kind else ''}>{''.join(f'<td>{cell}' for cell in cells)}\n"
        self._lines.write(line.encode("utf-8", "replace"))
        self._count += 1

    def whole(self, pages: Sequence[str], checks: Sequence[str]) -> bytes:
        """Return the index as HTML, with the pages of the sheet above the lines."""
        title = html.escape(self._title)
        pictures = [
            f"<h2>{words}</h2><p>{''.join(map(_picture, names))}"
            for words, names in (("To check", checks), ("All signs", pages))
            if names
        ]
        head = (
            f"<!doctype html><html lang=en><meta charset=utf-8><title>{title}</title><style>{_STYLE}</style>\n"
            f"<h1>{title}: {self._count} signs</h1>\n" + "\n".join(pictures) + "\n<table><tr>"
            + "".join(f"<th>{name}" for name in _HEADERS) + "\n"
        )  # fmt: skip
        self._lines.seek(0)
        return head.encode("utf-8", "replace") + self._lines.read() + b"</table></html>\n"

    def close(self) -> None:
        """Let the lines go."""
        self._lines.close()


def _picture(page: str) -> str:
    return f'<a href="{quote(page)}"><img src="{quote(page)}" alt="{quote(page)}"></a>'


def _link(file: str | None, words: str) -> str:
    return f'<a href="{quote(file)}">{words}</a>' if file else ""
