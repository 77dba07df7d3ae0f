"""What the studio remembers from one time to the next: the sign in the editor, and how the maker likes to see it.

Invariant: a memory that cannot be read counts as none, and is told in a sentence; nothing the maker did is lost by it.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Any, Final

from studio.basics.errors import StudioError
from studio.model.options import BY_KEY, Value
from studio.storage.atomic_write import write_whole
from studio.storage.paths import draft_file, state_folder
from studio.storage.regular_file import regular_bytes
from studio.terminal.cells import CELL_KINDS, CellKind
from studio.tui.editor.draft import SignDraft
from studio.tui.lengths import Unit

SCHEMA: Final = 1
_LARGEST_BYTES: Final = 1_000_000
_LONGEST_TEXT: Final = 2_000


@dataclass(frozen=True, slots=True)
class Habits:
    """How the maker likes to work.

    Attributes:
        folder: Where signs go; empty until one was made elsewhere than in the usual place.
        cells: The cells that pictures are drawn with; empty for what the terminal is known to draw.
        true_pictures: Whether a true picture is shown over the cells where the terminal can.
        theme: The colours of the studio; empty for those that follow the terminal.
        limits_shown: Whether safe zone, holes and open area are drawn.
        last_list: The order list last opened.
        list_folder: Where its signs went.
        list_paper: The paper that its sheets were laid out on.
        list_pages: The pages that were written with it.
        recent: What was taken from the menu lately, one title a line, the latest first.
        units: Inches or millimetres, whichever lengths are shown in first; empty for what the locale says.
    """

    folder: str = ""
    cells: str = ""
    true_pictures: bool = False
    theme: str = ""
    limits_shown: bool = False
    last_list: str = ""
    list_folder: str = ""
    list_paper: str = ""
    list_pages: str = ""
    units: str = ""
    recent: str = ""

    @property
    def length_unit(self) -> Unit:
        """The unit that lengths are shown in first."""
        return "in" if self.units == "in" else "mm"

    @property
    def cell_kind(self) -> CellKind | None:
        """The cells chosen, if any."""
        return next((kind for kind in CELL_KINDS if kind == self.cells), None)


def habits_file() -> Path:
    """Return the file of the habits."""
    return state_folder() / "studio.json"


def read_draft() -> SignDraft | None:
    """Return the sign last worked on; `None` when there is none.

    Raises:
        StudioError: There is one and it cannot be read.
    """
    record = read_record(draft_file())
    if record is None:
        return None
    text, said = record.get("text"), record.get("values")
    if not isinstance(text, str) or len(text) > _LONGEST_TEXT or not isinstance(said, dict):
        raise _damaged(draft_file())
    return SignDraft(text).with_values({key: value for key, held in said.items() if (value := _value(key, held))})


def write_draft(state: SignDraft) -> None:
    """Keep the sign in the editor. Raises OutputError when the disk does not take it."""
    write_record(draft_file(), {"schema": SCHEMA, "text": state.text, "values": state.values})


def read_habits() -> Habits:
    """Return the maker's habits, the usual ones where none are kept.

    Raises:
        StudioError: The file is there and cannot be read.
    """
    record = read_record(habits_file()) or {}
    usual = asdict(Habits())
    return Habits(**{name: record[name] for name in usual if type(record.get(name)) is type(usual[name])})


def write_habits(habits: Habits) -> None:
    """Keep the maker's habits. Raises OutputError when the disk does not take them."""
    write_record(habits_file(), {"schema": SCHEMA} | {part.name: getattr(habits, part.name) for part in fields(habits)})


def _value(key: str, held: object) -> Value:
    """Return a kept value, empty when this program knows no such option or kind of value."""
    option = BY_KEY.get(key)
    if option is None:
        return ""
    if isinstance(held, str) and not option.repeatable:
        return held
    if isinstance(held, list) and option.repeatable and all(isinstance(item, str) for item in held):
        return tuple(held)
    return ""


def read_record(file: Path) -> dict[str, Any] | None:
    """Return what a file of the studio's holds; `None` when it is not there, StudioError when it cannot be read."""
    try:
        record = json.loads(regular_bytes(file, most_bytes=_LARGEST_BYTES, what="record", error=StudioError))
    except FileNotFoundError:
        return None
    except (OSError, ValueError, RecursionError) as problem:
        raise _damaged(file) from problem
    if not isinstance(record, dict):
        raise _damaged(file)
    return record


def _damaged(file: Path) -> StudioError:
    return StudioError(f"What was kept in {file} cannot be read.", advice="The studio starts with a new sign.")


def write_record(file: Path, record: Mapping[str, object]) -> None:
    """Write what is to be remembered. Raises OutputError when the disk does not take it."""
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        from studio.storage.write_errors import output_error

        raise output_error(problem, file.parent) from problem
    data = json.dumps(record, ensure_ascii=False, indent=1).encode()
    write_whole(file, data, overwrite=True, durable=False)
