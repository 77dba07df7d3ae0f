"""Settings of the whole suite: properties are tried on the same examples every time, so that a pass means the same."""

from __future__ import annotations

import gc
import os
import signal
from pathlib import Path
from typing import Any, Final

import pytest
from hypothesis import settings

from studio.storage import pictures
from studio.storage.paths import shipped_folder
from studio.storage.pictures import read_pixels

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the program does; before numpy is loaded

settings.register_profile("steady", derandomize=True, deadline=None)
settings.register_profile("seeking", deadline=None)
settings.load_profile("steady")

signal.signal(signal.SIGINT, signal.default_int_handler)
"""A shell starts background jobs deaf to interrupts, and their children with them: tests that interrupt need ears."""

SLOW: Final = {
    "batch": "cluster list_answers order_run run_endings run_killed run_pages run_troubles second_run",
    "composing": "breaks laws",
    "outside": "names_of_the_world pages_beside_a_print shared_sheets sheets_joined sheets_pdf strip_outside "
    "stroke_outside unicode_bidi",
    "properties": "fitting_properties fuzz_files png_sides sheet_laws spacing_properties stroke_properties",
    "strip": "reading",
    "tui": "editor_screen habits kept_picture key_order list_questions list_sheets made_before menu names_screen "
    "paper_station press_station pressed_view references strip_screen true_picture",
    "unit": "artwork_files cli_commands effects exit_codes order_list press_and_ruler_commands pressed_letters "
    "remedies room_and_effort sheets_commands strip_command wood_proof word_faces workers",
}
"""Folder -> files, without `test_`, whose tests take more than about 3 s together; the inner loop leaves them out."""


SHIPPED: Final = shipped_folder("assets")
_READ: Final[dict[tuple[Path, int], Any]] = {}


def _read_once(path: Path) -> Any:
    """Return the pixels of a picture; of those that ship, decoded once for all tests of a process."""
    if not path.is_relative_to(SHIPPED):
        return read_pixels(path)
    key = (path, path.stat().st_mtime_ns)
    if key not in _READ:
        _READ[key] = read_pixels(path)
        _READ[key].setflags(write=False)
    return _READ[key]


pictures.read_pixels = _read_once


def pytest_collection_finish() -> None:
    """Leave what was loaded for the tests out of every search for garbage: it stays, and there is much of it."""
    gc.collect()
    gc.freeze()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark the tests of slow files."""
    slow = {(folder, f"test_{name}.py") for folder, names in SLOW.items() for name in names.split()}
    for item in items:
        path = Path(item.path)
        if (path.parent.name, path.name) in slow:
            item.add_marker(pytest.mark.slow)
