"""What a folder is to a run: empty, a dry run's, a run's own with its list, or somebody else's."""

from __future__ import annotations

import contextlib
import json
from collections.abc import Mapping
from pathlib import Path, PurePosixPath
from typing import Final, Literal, TypeAlias

from studio.basics.errors import OutputError, RunExistsError
from studio.orders.spreadsheet import OWN_MARK
from studio.production.journal import JOURNAL_NAME, JournalEntry, file_digest
from studio.production.lock import RUN_FOLDER
from studio.production.make_row import PRINTS, PROOFS
from studio.production.report import CSV_NAME, JSONL_NAME
from studio.production.row_result import RunRow
from studio.storage.atomic_write import is_part, write_whole

LIST_NAME: Final = "list.json"
"""Inside the run's own memory: which list the folder belongs to."""
FolderState: TypeAlias = Literal["empty", "dry", "run", "foreign", "other"]


def folder_state(folder: Path) -> FolderState:
    """Return what a folder holds: nothing, a dry run, a run, a report that is not ours, or other things."""
    if (folder / RUN_FOLDER / JOURNAL_NAME).exists():
        return "run"
    reports = [folder / name for name in (CSV_NAME, JSONL_NAME) if (folder / name).exists()]
    if reports:
        return "dry" if _is_dry(folder) else "foreign"
    try:
        names = {entry.name for entry in folder.iterdir() if not is_part(entry.name)} - {RUN_FOLDER}
        filled = [name for name in names if name not in (PRINTS, PROOFS) or any((folder / name).iterdir())]
    except OSError:
        return "empty"
    return "other" if filled else "empty"


def has_run(folder: Path) -> bool:
    """Return whether a folder holds a run, or a report that is not a dry run's."""
    return folder_state(folder) in ("run", "foreign")


def refuse_unless_told(folder: Path, state: FolderState, *, resume: bool, overwrite: bool) -> None:
    """Refuse a folder that nothing was said about, or that is not ours to write into.

    Raises:
        OutputError: It is one of those.
    """
    if state == "run" and not (resume or overwrite):
        raise RunExistsError(
            f"{folder} already holds a run ({CSV_NAME} is there).",
            advice="Resume it, replace it, or choose another folder.",
            ways=("resume", "overwrite", "out"),
        )
    if state == "foreign":
        there = CSV_NAME if (folder / CSV_NAME).exists() else JSONL_NAME
        raise OutputError(
            f"{folder} holds a {there} that is not a run's report, or whose .sapwood folder is missing.",
            advice="Neither resuming nor replacing touches it; choose another folder.",
            ways=("out",),
        )
    if state == "other" and resume:
        raise OutputError(
            f"There is no run in {folder} to resume, and other files are there.",
            advice="See that the folder is the right one; without resuming, a run begins there and replaces nothing.",
        )


def list_of(folder: Path) -> str:
    """Return the name of the list that a folder's run is of; empty where it is not known."""
    try:
        held = json.loads((folder / RUN_FOLDER / LIST_NAME).read_bytes())
        return str(held["list"])
    except (OSError, ValueError, KeyError, TypeError):
        return ""


def keep_list_name(folder: Path, name: str) -> None:
    """Note which list a folder belongs to. Raises OutputError when the disk does not take it."""
    write_whole(folder / RUN_FOLDER / LIST_NAME, json.dumps({"list": name}).encode(), overwrite=True, durable=False)


def another_list(folder: Path, finished: int) -> OutputError:
    """Return what to say where a folder's signs are those of another list."""
    name = list_of(folder)
    whose = f"of the list {Path(name).name}" if name else "of another list"
    return OutputError(
        f"{folder} holds {finished} finished sign{'s' * (finished != 1)} {whose}; this list has hardly any of them.",
        advice="Nothing was touched. Choose another folder for this list.",
        ways=("out",),
    )


def remove_superseded(folder: Path, old: JournalEntry | None, row: RunRow | None) -> tuple[list[str], list[str]]:
    """Remove a row's earlier files where it has others now, lest they be printed; only files still as we left them.

    Returns:
        The names of those removed, and of those left since somebody changed them.
    """
    removed: list[str] = []
    left: list[str] = []
    if old is None:
        return removed, left
    now = (row.print, row.proof) if row is not None else ()
    for name, digest in ((old.result.print, old.result.sha256), (old.result.proof, old.proof_sha256)):
        if name is None or name in now or not is_run_file(name) or not (folder / name).exists():
            continue
        if digest is None or file_digest(folder / name) != digest:
            left.append(name)
            continue
        with contextlib.suppress(OSError):
            (folder / name).unlink()
            removed.append(name)
    return removed, left


def is_run_file(name: str) -> bool:
    """Return whether a journal's file name is one that a run makes, and leads nowhere else."""
    parts = PurePosixPath(name).parts
    return len(parts) == 2 and parts[0] in (PRINTS, PROOFS) and parts[1] not in ("..", ".")


def remove_reports(folder: Path) -> None:
    """Remove a dry run's reports."""
    for name in (CSV_NAME, JSONL_NAME):
        with contextlib.suppress(OSError):
            (folder / name).unlink()


def _is_dry(folder: Path) -> bool:
    """Return whether reports are a dry run's: both ours, and nothing made in them."""
    try:
        with (folder / CSV_NAME).open("rb") as stream:
            header = stream.readline(4000).decode("utf-8-sig").strip().split(",")
        records: list[Mapping[str, object]] = [
            json.loads(line) for line in (folder / JSONL_NAME).read_bytes().splitlines()
        ]
        states = {record["state"] for record in records}
    except (OSError, ValueError, KeyError, TypeError):
        return False
    return set(header) >= OWN_MARK and states <= {"fits", "fits-with-warnings", "refused"}
