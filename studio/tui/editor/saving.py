"""Making the sign in the editor: on a thread of its own, with progress, and one question at most.

Invariant: one sign is made at a time, and the editor stays free to work on meanwhile.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from textual.widgets import Static
from textual.worker import get_current_worker

from studio.tui.dialogs.question import ReplaceScreen
from studio.tui.editor.draft import SignDraft, SignEditor
from studio.tui.editor.field_row import FieldRow
from studio.tui.editor.fields import FIELDS, STATION_OF
from studio.tui.editor.station import StationPane
from studio.tui.editor.text_input import TextInput
from studio.tui.error_text import sentence_for
from studio.tui.preview.sign_screen import SignScreen
from studio.tui.status_lines import ToldLine

if TYPE_CHECKING:
    from studio.production.save_sign import Instead, Outcome, Progress

USUAL_FOLDER = "signs"


class Making(SignScreen):
    """The part of the editor that makes the sign."""

    editor: SignEditor
    _is_making = False

    @property
    def folder(self) -> Path:
        """Where signs go."""
        return Path(self.studio.habits.folder or USUAL_FOLDER).expanduser()

    def action_make(self) -> None:
        """Make the sign."""
        if self._is_making:
            self.tell("A sign is being made. The next can be made in a moment.", "busy")
            return
        if self._chooser is not None:
            self.tell("Not made yet: Enter takes the choice first, Esc leaves it.", "warn")
            return
        faulty = self._faulty_field() if self.are_findings_current else None
        if faulty is not None:
            self.action_station(STATION_OF[faulty])
            row = self.query_one(f"#row-{faulty}", FieldRow)
            self.set_focus(row.control)
            self.tell(f"Not made: fix {FIELDS[faulty].label} first (see the message there).", "bad")
            return
        self.editor.history.close_step()
        self._make(self.editor.history.state, "ask")
        self.action_station("name")  # what is typed from now on is the next name

    def action_station(self, name: str) -> None:
        """Go to a station; for the editor to fill in."""
        raise NotImplementedError

    def _faulty_field(self) -> str | None:
        """Return the first field with something wrong in it."""
        return next((row.field.key for row in self.query(FieldRow) if row.has_class("faulty")), None)

    def _make(self, state: SignDraft, instead: Instead) -> None:
        self._is_making = True
        folder = self.folder
        self.query_one(ToldLine).tell_progress(f"Making {state.text}", 0, 4)
        self.run_worker(
            lambda: self._make_in_thread(state, folder, instead), thread=True, group="make", exit_on_error=False
        )

    def _make_in_thread(self, state: SignDraft, folder: Path, instead: Instead) -> None:
        worker = get_current_worker()

        def progress(step: int, words: str) -> None:
            if not worker.is_cancelled:
                self.app.call_from_thread(self.query_one(ToldLine).tell_progress, words, step, 4)

        try:
            made = self._made(state, folder, instead, progress)
        except Exception as problem:
            sentence = sentence_for(problem)
            if not worker.is_cancelled:
                self.app.call_from_thread(self._not_made, sentence)
            return
        if not worker.is_cancelled:
            self.app.call_from_thread(self._was_made, state, made)

    def _made(self, state: SignDraft, folder: Path, instead: Instead, progress: Progress) -> Outcome:
        from studio.production.save_sign import make_sign
        from studio.storage.sign_builder import build_sign

        catalogue, assets = self.studio.catalogue, self.studio.shared.get()
        sign = build_sign(state.text, state.effective(self.house), catalogue)
        return make_sign(sign, assets, folder, papers=catalogue.papers, instead=instead, progress=progress)

    def _not_made(self, sentence: str) -> None:
        self._is_making = False
        name = self.query_one("#field-text", TextInput)
        if name.is_all_selected:
            name.cursor_position = len(name.value)  # what is typed now goes on with this name
        self.tell(f"Not made. {sentence}", "bad")

    def _was_made(self, state: SignDraft, made: Outcome) -> None:
        from studio.production.save_sign import InTheWay, Made

        self._is_making = False
        if isinstance(made, InTheWay):
            self.tell(f"{made.files[0].name} is there already.", "warn")

            def chosen(answer: str | None) -> None:
                if answer in ("keep-both", "replace"):
                    self._make(state, "keep-both" if answer == "keep-both" else "replace")
                else:
                    self.tell("Not made; the files are as they were.")

            self.app.push_screen(ReplaceScreen(made.files), chosen)
            return
        if not isinstance(made, Made):
            self.tell("Not made: this sign has errors. The findings say which.", "bad")
            return
        self.studio.note_made(made.files["print"])
        weak = f" with {made.warnings} warning{'s' * (made.warnings != 1)}" if made.warnings else ""
        self.tell(
            f"Made{weak}: {made.files['print'].name}, {made.size}, in {_short(made.files['print'].parent)}. "
            "Print it at 100 %. Type the next name.",
            "warn" if weak else "good",
        )
        names = ", ".join(file.name for file in made.files.values())
        told = self.query_one("#made", Static)
        told.update(f"Last made: {names} in {_short(made.files['print'].parent)}")
        told.add_class("filled")

    @property
    def folder_text(self) -> str:
        """What stands in the field of the folder."""
        return self.studio.habits.folder or USUAL_FOLDER

    @property
    def folder_summary(self) -> str:
        """Where signs go, in a line."""
        return f"into {_short(self.folder)}"

    def _show_folder(self) -> None:
        """Show where signs go, and what is wrong with that place."""
        row = self.query_one("#row-folder", FieldRow)
        if not row.control.has_focus:
            row.show_value(self.folder_text)
        self.query_one("#station-make", StationPane).show_summary(self.folder_summary)
        row.show_fault(folder_fault(self.folder))


def folder_fault(folder: Path) -> str:
    """Return what is wrong with a folder to write into, as far as can be told without writing; else nothing."""
    try:
        there = next(place for place in (folder.absolute(), *folder.absolute().parents) if place.exists())
    except (OSError, StopIteration, ValueError):
        return "That cannot be a folder."
    if not there.is_dir():
        return f"{there} is a file, not a folder."
    if not os.access(there, os.W_OK):
        return f"You don't have permission to write into {there}. Choose a folder of your own."
    return ""


def _short(folder: Path) -> str:
    """Return a folder as people write it: from here, or from their home."""
    try:
        whole = folder.expanduser().absolute()
        for base, sign in ((Path.cwd(), "."), (Path.home(), "~")):
            if whole.is_relative_to(base):
                rest = whole.relative_to(base)
                return f"{sign}/{rest}" if str(rest) != "." else sign
    except (OSError, RuntimeError):
        return str(folder)
    return str(whole)
