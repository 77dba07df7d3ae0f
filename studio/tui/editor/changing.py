"""Changes of the sign that come from elsewhere than its fields: files dropped, remedies, undo, a fresh sign.

Invariant: a remedy is applied to the sign that it was found for, and to no other.
"""

from __future__ import annotations

from textual import events

from studio.tui.editor.draft import TEXT, SignDraft
from studio.tui.editor.field_row import FieldRow
from studio.tui.editor.fields import FIELDS, label_of
from studio.tui.editor.other_ways import ShowingWays
from studio.tui.engine.engine import Answer
from studio.tui.messages import Dropped, Mended
from studio.tui.preview.findings import FindingsPane
from studio.tui.wording import WHAT_FILES_CAN_BE, dropped_file, listed_value, taken_as


class Changing(ShowingWays):
    """The part of the editor that changes the sign at a stroke."""

    _mend_awaited: SignDraft | None = None

    def take(self, key: str, value: str) -> None:
        """Take over a choice made elsewhere than in its field."""
        if self.editor.choose(key, value):
            self.state_changed()
            self.tell(f"{FIELDS[key].label}: {value}. Ctrl+Z undoes it.")

    def on_paste(self, event: events.Paste) -> None:
        """Take a file that was dropped on the terminal, wherever the focus is."""
        path = dropped_file(event.text)
        if path is not None:
            event.stop()
            event.prevent_default()
            self._take_dropped(path)

    def on_dropped(self, event: Dropped) -> None:
        """Take a file that was dropped on a field."""
        event.stop()
        self._take_dropped(event.path)

    def _take_dropped(self, path: str) -> None:
        if not self.take_file(path):
            self.tell(f"{path.rpartition('/')[2]} was not used: {WHAT_FILES_CAN_BE}", "warn")

    def take_file(self, path: str) -> bool:
        """Take a picture as artwork, a font as face, a list as list; tell whether it was one of those."""
        key = taken_as(path)
        if key is None:
            return False
        if key == "list":
            self.studio.open_list(path)
        else:
            self.editor.choose(key, path)
            self.state_changed()
            self.tell(f"{path} is the {FIELDS[key].label.lower()} now. Ctrl+Z undoes it.", "good")
        name = self.query_one(f"#row-{TEXT}", FieldRow)
        if name.control.value != self.editor.shown(TEXT):
            name.show_value(self.editor.shown(TEXT))
        return True

    def action_undo(self) -> None:
        """Take the last change back."""
        self._told_step(self.editor.undo(), "Undone: {}.", "Nothing to undo.")

    def action_redo(self) -> None:
        """Make the change again that was taken back."""
        self._told_step(self.editor.redo(), "Redone: {}.", "Nothing to redo.")

    def _told_step(self, what: str | None, done: str, nothing: str) -> None:
        if what is None:
            self.tell(nothing)
            return
        self.state_changed()
        self.tell(done.format(what))

    def action_fresh(self) -> None:
        """Begin a new sign in the editor."""
        if self.editor.history.change(SignDraft(), "a new sign"):
            self.state_changed()
        self.tell("This is a new sign. Ctrl+Z brings back the one before.", "good")
        self.action_station("name")

    def action_mend(self) -> None:
        """Apply the first remedy of the chosen finding."""
        chosen = self.query_one(FindingsPane).chosen() if self.are_findings_current else None
        if chosen is not None:
            self._mend(*chosen)
        elif not self.are_findings_current or self.answer is None or not self.answer.is_final:
            self._mend_awaited = self.editor.state
            self.tell("The sign is still being checked. The remedy is applied as soon as it is known.", "busy")
        else:
            self.tell("No finding here has a remedy that one key can apply.")

    def _mend_if_awaited(self, answer: Answer) -> None:
        """Apply the remedy that was asked for before it was known; none if the sign is another by now."""
        awaited = self._mend_awaited
        if awaited is None:
            return
        if awaited != self.editor.state:
            self._mend_awaited = None
            self.tell("The sign has changed since, so no remedy was applied. F8 applies one.")
        elif answer.is_final:
            self._mend_awaited = None
            self.action_mend()

    def on_mended(self, event: Mended) -> None:
        """Apply a remedy that was chosen."""
        if self.are_findings_current:
            self._mend(event.finding, event.remedy)
        else:
            self.tell("These findings are from before the last change; the sign is being checked again.", "busy")

    def _mend(self, finding: int, remedy: int) -> None:
        told = self.query_one(FindingsPane).told
        if finding >= len(told) or remedy >= len(told[finding].remedies):
            return
        chosen = told[finding].remedies[remedy]
        if self.editor.put(dict(chosen.changes), "the remedy"):
            self.state_changed()
            set_to = [f"{label_of(key).lower()} {listed_value(value)}" for key, value in chosen.changes if value]
            self.tell(f"Applied: {', '.join(set_to)}. Ctrl+Z undoes it.", "good")
