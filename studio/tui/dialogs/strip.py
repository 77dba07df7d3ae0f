"""The test strip in the studio: written, pressed, its photo read, and kept as a surface.

Invariant: the photo is read on a thread of its own; whatever is wrong with it is told here in a sentence, and the sign
in the editor stays as it is.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, Final

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Button, Input, Label, Static
from textual.worker import get_current_worker

from studio.basics.errors import StudioError
from studio.tui.error_text import sentence_for

if TYPE_CHECKING:
    from studio.model.surface import Surface
    from studio.production.strip_files import ReadPhoto

_STEPS: Final = """\
The strip measures how far dye spreads in your own wood; every warning of thin strokes goes by that.
1  Write the strip and print it at 100 % on transfer paper; it is mirrored already.
2  Press it like a sign, grain along its long side. The makers' instructions come first; mind heat and fumes.
3  Photograph it from above, the whole strip filling the picture, evenly lit, or scan it at 600 dpi.
4  Type the photo's path and read it."""


class StripScreen(ModalScreen[None]):
    """Leads through the test strip; Escape goes back to the sign."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss", "Back", show=False),
        Binding("ctrl+w", "write", "Write the strip", show=False),
    ]

    def __init__(self, starting: Surface) -> None:
        """Set up.

        Args:
            starting: The surface of the sign in the editor: the strip is pressed on it, and held against it.
        """
        super().__init__()
        self._starting = starting
        self._read: ReadPhoto | None = None

    def compose(self) -> ComposeResult:
        """Return the parts."""
        with Vertical(classes="sheet", id="strip") as sheet:
            sheet.border_title = "Test strip"
            sheet.border_subtitle = "Ctrl+W writes it · Enter reads · Esc goes back"
            with VerticalScroll(id="strip-scroll", can_focus=False):
                yield Static(_STEPS, id="strip-steps", markup=False)
                yield Label("Photo or scan of the pressed strip")
                yield Input(placeholder="photo.jpg", id="strip-photo")
                yield Label("The same strip on paper, if you took that too")
                yield Input(placeholder="none", id="strip-reference")
                with Horizontal(classes="buttons"):
                    yield Button("Write the strip", id="strip-write")
                    yield Button("Read the photo", id="strip-read", variant="primary")
                yield Static("", id="strip-told", markup=False)
                yield Label("Keep it as a surface called", id="strip-name-label")
                yield Input(placeholder=f"my-{self._starting.name}", id="strip-name")
                with Horizontal(classes="buttons"):
                    yield Button("Keep", id="strip-keep")

    def on_mount(self) -> None:
        """Begin at the photo; a name is asked for once there is something to keep."""
        self._offer_keeping(False)
        self.query_one("#strip-photo", Input).focus()

    def on_button_pressed(self, event: Button.Pressed) -> None:
        """Do what a button says."""
        event.stop()
        if event.button.id == "strip-write":
            self.action_write()
        elif event.button.id == "strip-read":
            self._read_photo()
        else:
            self._keep()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Read the photo, or keep the surface."""
        event.stop()
        if event.input.id == "strip-name":
            self._keep()
        else:
            self._read_photo()

    def action_write(self) -> None:
        """Write the strip and its page into the working folder; files that are there already stay."""
        from studio.production.strip_files import write_strip

        try:
            paths = write_strip(Path())
        except (StudioError, OSError) as problem:
            self._tell(sentence_for(problem))
            return
        self._tell(f"Written: {paths[0]} to print, {paths[1]} tells each step. Print at 100 %, with no mirror setting.")

    def _read_photo(self) -> None:
        photo = self.query_one("#strip-photo", Input).value.strip()
        reference = self.query_one("#strip-reference", Input).value.strip()
        if not photo:
            self._tell("Type the path of the photo first, such as photo.jpg.")
            return
        self._tell("Reading the photo; this takes a few seconds.")
        self.query_one("#strip-read", Button).disabled = True
        self.run_worker(
            lambda: self._reading(Path(photo).expanduser(), Path(reference).expanduser() if reference else None),
            thread=True,
            exclusive=True,
        )

    def _reading(self, photo: Path, reference: Path | None) -> None:
        """Read the photo, on a thread of its own, and write the picture of what was found beside it."""
        from studio.production.strip_files import found_path, read_photo, write_found

        worker = get_current_worker()
        read: ReadPhoto | None = None
        target = found_path(photo)
        try:
            read = read_photo(photo, reference=reference)
            write_found(target, read.picture)
            told = f"{read.figures(self._starting, date.today().isoformat())}\nWhat was found: {target}"
        except (StudioError, OSError) as problem:
            told = sentence_for(problem)
        if not worker.is_cancelled:
            self.app.call_from_thread(self._show, read, told)

    def _show(self, read: ReadPhoto | None, told: str) -> None:
        self._read = read
        self.query_one("#strip-read", Button).disabled = False
        self._tell(told)
        self._offer_keeping(read is not None)
        self.query_one("#strip-steps").display = read is None  # done with: the figures take its room

    def _keep(self) -> None:
        """Keep what was read as a surface in the working folder's settings."""
        from studio.storage.paths import project_settings_file
        from studio.storage.surface_keeping import keep_surface, surface_name

        if self._read is None:
            return
        typed = self.query_one("#strip-name", Input).value.strip() or f"my-{self._starting.name}"
        try:
            name = surface_name(typed, "Name")
            surface = self._read.surface(self._starting, name, date.today().isoformat())
            file = project_settings_file()
            known = keep_surface(file, surface)
        except (StudioError, OSError) as problem:
            self._tell(sentence_for(problem))
            return
        done = "Replaced" if known else "Kept"
        self._tell(
            f"{done}: surface {name}, {surface.standing}, in {file}. The studio lists it after the next start; "
            f"commands can take the surface {name} at once."
        )

    def _offer_keeping(self, is_read: bool) -> None:
        for part in ("#strip-name-label", "#strip-name", "#strip-keep"):
            self.query_one(part).display = is_read

    def _tell(self, sentence: str) -> None:
        self.query_one("#strip-told", Static).update(sentence)
        self.call_after_refresh(self.query_one("#strip-told", Static).scroll_visible, animate=False, top=True)
