"""What the editor and the list have in common: a sign's picture, looked at in different ways, and its findings.

Invariant: a picture is shown only when it is newer than the one on the screen.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from time import monotonic, time
from typing import TYPE_CHECKING, Final

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.geometry import Size
from textual.strip import Strip
from textual.timer import Timer
from textual.widgets import Static

from studio.model.options import Value
from studio.tui.editor.apply_remedy import remedies_of
from studio.tui.editor.chooser import Chooser
from studio.tui.editor.draft import SignDraft
from studio.tui.engine.service import EngineRoom
from studio.tui.folders import show_folder
from studio.tui.gc_pacing import hold_what_stands, tidy
from studio.tui.lengths import said
from studio.tui.messages import Answered, Met
from studio.tui.preview.findings import FindingsPane, Told
from studio.tui.preview.picture import Picture
from studio.tui.preview.true_looking import TrueLooking
from studio.tui.preview.view import LEGEND, Ask, View
from studio.tui.status_lines import HintLine, ToldLine, Tone
from studio.tui.wording import first_clauses

if TYPE_CHECKING:
    from studio.tui.engine.engine import Answer

LEAST_SIZE: Final = (64, 20)
"""Columns and rows under which the parts stand one above the other, and a larger window is asked for."""
MOST_SAID: Final = 200
"""Messages that are kept to be read again."""
REST_S: Final = 0.1
"""How long a hand must rest until all that follows from a picture is told: findings, faults, titles."""
_LEAST_TOLD = 12
"""Characters of a sentence that are worth showing beside a title."""
_STALE_AFTER_S: Final = 0.15
"""How long findings of the sign before may stand unmarked; they are acted on no more from the first moment."""
_PICTURE_FIRST_S: Final = 0.05
"""How long all other drawing waits for a picture that was asked for."""


class SignScreen(TrueLooking):
    """A screen with a sign's picture and findings."""

    def __init__(self, house: Mapping[str, Value]) -> None:
        """Set up.

        Args:
            house: Option values under those of the sign.
        """
        super().__init__()
        self.house = house
        self._chooser: Chooser | None = None
        self._asked = 0
        self._waits_until_s = 0.0
        self._early: tuple[SignDraft, View] | None = None
        self._findings_timer: Timer | None = None
        self._stale_timer: Timer | None = None
        self._listed = -1
        self._set_room_classes(self.app.size)
        self.room = EngineRoom(self.studio.catalogue, house, self.studio.shared, self)
        if not self.is_picture_kept():
            self.room.start(self.first_state)

    @property
    def first_state(self) -> SignDraft | None:
        """The sign to get ready for; `None` for none."""
        return None

    @property
    def shown_state(self) -> SignDraft | None:
        """The sign to show; `None` for none."""
        raise NotImplementedError

    def is_picture_kept(self) -> bool:
        """Whether a picture is likely to be there before the engine is; for the screens to fill in."""
        return False

    def kept_lines(self, state: SignDraft, view: View) -> list[Strip] | None:
        """Return the lines kept for a question, to be shown until it is answered; for the screens to fill in."""
        return None

    @property
    def nothing_found(self) -> str:
        """What stands in the findings when there are none."""
        return "Nothing will blur."

    @property
    def mend_key(self) -> str:
        """The key that applies the first remedy; empty where there is none."""
        return ""

    def compose_sign(self) -> ComposeResult:
        """Return the picture with its frame, and the findings."""
        with Vertical(id="picture-frame"):
            yield Picture(self._first_lines, id="picture")
            yield Static("", id="says", markup=False)
        yield FindingsPane(mend_key=self.mend_key, id="findings")

    def on_mount(self) -> None:
        """Begin."""
        self.query_one(FindingsPane).border_title = "Findings"
        self.title_picture()
        self.ready()

    def ready(self) -> None:
        """Begin, once all parts are there; for the screens to fill in."""

    def on_unmount(self) -> None:
        """End."""
        self.studio.overlay.remove()
        self.room.close()

    def on_resize(self) -> None:
        """Lay things out for the room there is."""
        self.studio.overlay.remove()
        self._set_room_classes(self.size)
        self.hint(self.query_one(HintLine).sentence)
        self.title_picture()
        self.laid_out()

    def _set_room_classes(self, size: Size) -> None:
        """Set the classes by which the style sheet lays things out; only a change costs anything."""
        classes = {
            "narrow": size.width < LEAST_SIZE[0] or size.height < LEAST_SIZE[1],
            "wide": size.width >= 110,
            "vast": size.width >= 160,
            "tall": size.height >= 38,
        }
        for name, holds in classes.items():
            if self.has_class(name) != holds:
                self.set_class(holds, name)

    def laid_out(self) -> None:
        """Take note of other room; for the screens to fill in."""

    def tell(self, sentence: str, tone: Tone = "plain") -> None:
        """Say what just happened; it is kept among the messages."""
        if sentence and tone != "busy":
            self.studio.said.append((time(), sentence))
            del self.studio.said[:-MOST_SAID]
        self.query_one(ToldLine).tell(sentence, tone)

    def hint(self, sentence: str) -> None:
        """Say what to do here."""
        larger = f"Make the window larger, please: {LEAST_SIZE[0]} x {LEAST_SIZE[1]}."
        self.query_one(HintLine).sentence = larger if self.has_class("narrow") else sentence

    @property
    def are_findings_current(self) -> bool:
        """Whether the findings that are listed are those of the sign as it is now."""
        return self._listed == self._asked

    def ask(self) -> None:
        """Ask for the picture of the sign as it is now."""
        state = self.shown_state
        if state is None or not self.is_mounted:
            return
        picture = self.query_one(Picture)
        view = self._view_of(picture)
        picture.lettering = view.lettering
        self._asked += 1
        self.studio.overlay.remove()
        if self._stale_timer is None:
            self._stale_timer = self.set_timer(_STALE_AFTER_S, self._mark_stale)
        if self.answer is None and self._early == (state, view):
            self.call_after_refresh(self.room.start)  # what it loads would keep the picture waiting
        else:
            self._waits_until_s = monotonic() + _PICTURE_FIRST_S
            self.room.start()
            if self.answer is None and self._early is not None and self._early[1] != view:
                picture.show([])
        small = self._chooser.small_size if self._chooser is not None else None
        self.room.ask(Ask(self._asked, state, view, small))

    def _first_lines(self, picture: Picture) -> list[Strip]:
        """Return what a picture shows when it is first drawn: what was kept for just this question."""
        state, view = self.shown_state, self._view_of(picture)
        kept = None if state is None or self._asked else self.kept_lines(state, view)
        if state is None or kept is None:
            return []
        self._early = (state, view)
        return kept

    def _view_of(self, picture: Picture) -> View:
        return View(
            picture.size.width,
            picture.size.height,
            self.studio.cell_kind,
            self.is_printed and self.loupe is None,
            self.loupe,
            self.studio.habits.limits_shown,
            self._ground(picture),
            self.text_in_hand if self.loupe is None and not self.is_printed else None,
            self.studio.colour_depth,
            self.is_pressed,
        )

    @property
    def text_in_hand(self) -> int | None:
        """The text that is being typed, from 0; for the screens to fill in."""
        return None

    def _on_timer_update(self) -> None:
        """Draw what has changed; later, while a picture is being made, which would be made slower by it."""
        if monotonic() >= self._waits_until_s:
            super()._on_timer_update()

    def on_picture_resized(self) -> None:
        """Ask anew for other room."""
        self.ask()

    def on_answered(self, event: Answered) -> None:
        """Show a picture and its findings."""
        answer = event.answer
        if self.answer is not None and answer.ask.number < self.answer.ask.number:
            return
        self.answer = answer
        picture = self.query_one(Picture)
        if answer.painted is not None:
            picture.show_answer(answer.painted.strips, answer.ask.number)
        else:
            picture.number = answer.ask.number
        if answer.small is not None and self._chooser is not None:
            self._chooser.show_small(answer.small)
        if answer.ask.number == self._asked:
            self._waits_until_s = 0.0
        if self._findings_timer is not None:
            self._findings_timer.stop()
        self._findings_timer = self.set_timer(REST_S, self._show_answer)
        hold_what_stands()

    def _show_answer(self) -> None:
        """Show the rest of an answer once its picture stands."""
        self._findings_timer = None
        answer = self.answer
        if answer is not None and answer.ask.number == self._asked:
            self._listed = answer.ask.number
            self.query_one(FindingsPane).remove_class("stale")
            self.show_findings(answer)
            self._say_text(answer)
            self.title_picture()
            self.answered(answer)
            self._draw_true()
            tidy()

    def _say_text(self, answer: Answer) -> None:
        """Write beneath the picture what stands on the sign, whole and in words."""
        lettering = (
            () if answer.planned is None or answer.planned.placement is None else answer.planned.placement.letterings
        )
        unit = self.studio.habits.length_unit
        told = [f"“{' / '.join(one.lines)}”, capitals {said(one.cap_height_mm, unit)}" for one in lettering]
        self.query_one("#says", Static).update("; ".join(told) or answer.ask.state.text.replace("\\n", " / "))

    def _mark_stale(self) -> None:
        """Say that the findings are those of the sign before."""
        self._stale_timer = None
        if not self.are_findings_current and self.is_mounted:
            pane = self.query_one(FindingsPane)
            pane.border_title = "Findings: checking …"
            pane.add_class("stale")

    def answered(self, answer: Answer) -> None:
        """Take note of an answer; for the screens to fill in."""

    def on_met(self, event: Met) -> None:
        """Tell what went wrong; everything else goes on."""
        self.tell(event.sentence, "bad")

    def show_findings(self, answer: Answer) -> None:
        """List the findings with what mends them."""
        pane = self.query_one(FindingsPane)
        if answer.planned is None:
            pane.show((), "Fix the fields marked ✗ first.", is_well=False)
            pane.border_title = "Findings"
            return
        told = tuple(Told(finding, remedies_of(finding, answer.ask.state)) for finding in answer.findings)
        pane.show(told, self.nothing_found, unit=self.studio.habits.length_unit)
        bars = sum(one.finding.severity == "refuse" for one in told)
        weak = sum(one.finding.severity == "warn" for one in told)
        notes = len(told) - bars - weak
        named = ((bars, "error"), (weak, "warning"), (notes, "note"))
        counts = [f"{count} {word}{'s' * (count > 1)}" for count, word in named if count]
        title = f"Findings: {', '.join(counts) if counts else 'none'}"
        if pane.border_title != title:
            pane.border_title = title

    def title_picture(self) -> None:
        """Say which picture it is."""
        frame = self.query_one("#picture-frame")
        is_old = self.answer is not None and bool(self.answer.faults) and self.answer.planned is None
        if self.loupe is not None:
            title, side = (
                f"Zoom: a cell is {1 / self.loupe.dots_per_mm:g} mm wide",
                "arrows, + and - · n next weak place · Esc",
            )
        elif self.is_printed:
            title, side = "AS IT PRINTS: mirrored, with its marks", "F6 as read"
        else:
            title, side = "The sign as you read it", self._reason() or f"{self.studio.cell_kind} cells"
            if self.is_pressed:
                title, side = "The sign as pressed, a model", "Ctrl+R plain"
        if self.studio.habits.limits_shown:
            side = LEGEND
        if is_old:
            title, side = f"{title} (as before)", ""
        room = self.size.width // 2 - 6
        if side and len(title) + len(side) + 3 > room:
            left = room - len(title) - 4
            side = first_clauses(side, left) if left >= _LEAST_TOLD else ""
        whole = f"{title} · {side}" if side else title
        if frame.border_title != whole:
            frame.border_title = whole
        frame.set_class(self.is_printed and self.loupe is None, "printed")

    def _reason(self) -> str:
        """Return why the name is set as it is."""
        planned = None if self.answer is None else self.answer.planned
        if planned is None or planned.placement is None:
            return ""
        composed = planned.placement.letterings[0].composed
        return "" if composed is None else composed.reason.replace("[", "(")

    @property
    def under_way(self) -> str:
        """What is told of work that quitting would stop; empty where there is none."""
        return ""

    def units_changed(self) -> None:
        """Show lengths in the other unit."""
        if self.answer is not None:
            self._say_text(self.answer)
            self.show_findings(self.answer)

    def action_findings(self) -> None:
        """Go to the findings."""
        self.set_focus(self.query_one(FindingsPane))

    def action_open_folder(self) -> None:
        """Open the folder that signs are made into, or tell its path where nothing can open it."""
        folder = self.folder.absolute()
        if not folder.is_dir():
            self.tell(f"{folder} is not there yet; it is made with the first sign.", "warn")
            return
        self.app.copy_to_clipboard(str(folder))
        opened = show_folder(folder)
        self.tell(f"{folder} is opened." if opened else f"The files are in {folder} (the path is copied).", "good")

    @property
    def folder(self) -> Path:
        """Where signs go; for the screens to fill in."""
        raise NotImplementedError

    def _ground(self, picture: Picture) -> tuple[int, int, int]:
        """Return the colour round the wood; black or white where it is the terminal's own, which is not known."""
        colour = picture.background_colors[1]
        if colour.ansi is not None:
            return (0, 0, 0) if self.app.current_theme.dark else (255, 255, 255)
        return (colour.r, colour.g, colour.b)
