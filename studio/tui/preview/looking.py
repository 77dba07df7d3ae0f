"""Ways to look at a sign: as it is read or as it prints, with its limits, close up, or the picture alone.

Invariant: looking changes nothing of the sign.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, cast

from textual.screen import Screen
from textual.widget import Widget

from studio.terminal.cells import CELL_KINDS
from studio.tui.preview.picture import Picture
from studio.tui.preview.view import LOUPE_STEPS, Loupe
from studio.tui.status_lines import Tone

if TYPE_CHECKING:
    from studio.tui.context import StudioContext
    from studio.tui.engine.engine import Answer


class Looking(Screen[None]):
    """The part of a screen that looks at its sign."""

    answer: Answer | None = None
    is_printed = False
    is_pressed: bool | None = None
    loupe: Loupe | None = None
    _weak_place = 0
    _focus_before_loupe: Widget | None = None
    _focus_before_big: Widget | None = None

    @property
    def studio(self) -> StudioContext:
        """What the app offers its screens."""
        return cast("StudioContext", self.app)

    def ask(self) -> None:
        """Ask for the picture of the sign as it is now; for the screen to fill in."""
        raise NotImplementedError

    def tell(self, sentence: str, tone: Tone = "plain") -> None:
        """Say what just happened; for the screen to fill in."""
        raise NotImplementedError

    def title_picture(self) -> None:
        """Say which picture it is; for the screen to fill in."""
        raise NotImplementedError

    def action_flip(self) -> None:
        """Show the sign as it prints, or as it is read."""
        self.loupe = None
        self.is_printed = not self.is_printed
        self.title_picture()
        self.ask()

    def action_press(self) -> None:
        """Show the sign as pressed, dye spread and grain under it, or plain and sharp as it is printed."""
        shown = self.is_pressed
        if shown is None:
            planned = self.answer.planned if self.answer is not None else None
            shown = planned is not None and planned.sign.wood is not None
        self.is_pressed = not shown
        self.is_printed = False
        self.title_picture()
        self.tell("Shown as pressed: dye spread, grain under it." if self.is_pressed else "Shown plain, as printed.")
        self.ask()

    def action_limits(self) -> None:
        """Draw the limits, or leave them out."""
        shown = not self.studio.habits.limits_shown
        self.studio.keep_habits(limits_shown=shown)
        self.title_picture()
        self.tell(f"Safe zone, open area and holes are {'drawn' if shown else 'left out'}.")
        self.ask()

    def draw_otherwise(self) -> None:
        """Draw with other characters."""
        kinds, kind = CELL_KINDS, self.studio.cell_kind
        if kind == kinds[-1] and not self.studio.overlay.is_on and self.studio.overlay.find_while_running():
            self.studio.keep_habits(cells="", true_pictures=True)
            self.tell("True pictures are shown as soon as you rest; cells while you type.")
        else:
            refused = (
                "This terminal shows no true pictures. " if kind == kinds[-1] and not self.studio.overlay.is_on else ""
            )
            kind = kinds[0] if self.studio.overlay.is_on else kinds[(kinds.index(kind) + 1) % len(kinds)]
            self.studio.overlay.turn_off()
            self.studio.keep_habits(cells=kind, true_pictures=False)
            self.tell(f"{refused}Pictures are drawn with {kind} cells. Keep the finest that shows no gaps.")
        self.title_picture()
        self.ask()

    def action_loupe(self) -> None:
        """Take the loupe, or put it away."""
        if self.loupe is None:
            self._focus_before_loupe = self.focused
            self._weak_place = 0
            self.loupe = Loupe()
            self.set_focus(self.query_one(Picture))
        else:
            self.put_loupe_away()
        self.title_picture()
        self.ask()

    def put_loupe_away(self) -> None:
        """Show the whole sign again and go back to where the focus was."""
        self.loupe = None
        if self._focus_before_loupe is not None and self._focus_before_loupe.is_attached:
            self.set_focus(self._focus_before_loupe)

    def on_picture_led(self, event: Picture.Led) -> None:
        """Move the loupe, or take it when there is none."""
        if self.loupe is None:
            if event.larger > 0 or event.to_next:
                self.action_loupe()
            return
        step = min(max(self.loupe.step + event.larger, 0), len(LOUPE_STEPS) - 1)
        centre = self.loupe.centre_mm or self._loupe_centre()
        if event.to_next:
            centre = self._next_weak_place() or centre
        elif event.right or event.up:
            picture = self.query_one(Picture)
            mm = 1 / self.loupe.dots_per_mm
            across, up = picture.size.width * mm / 4, picture.size.height * 2 * mm / 4
            centre = (centre[0] + event.right * across, centre[1] + event.up * up)
        self.loupe = replace(self.loupe, step=step, centre_mm=self._on_the_blank(centre))
        self.title_picture()
        self.ask()

    def on_picture_dragged(self, event: Picture.Dragged) -> None:
        """Move what is seen close up along with the hand."""
        if self.loupe is not None:
            mm = 1 / self.loupe.dots_per_mm
            centre = self.loupe.centre_mm or self._loupe_centre()
            moved = (centre[0] + event.right * mm, centre[1] + 2 * event.up * mm)
            self.loupe = replace(self.loupe, centre_mm=self._on_the_blank(moved))
            self.ask()

    def on_picture_typed(self, event: Picture.Typed) -> None:
        """Say where letters go."""
        self.tell(f"“{event.letter}” was not typed: the picture has the keys. Esc goes back.", "warn")

    def action_big(self) -> None:
        """Show the picture alone, or everything again."""
        if not self.has_class("big"):
            self._focus_before_big = self.focused
        self.toggle_class("big")
        self.set_focus(self.query_one(Picture) if self.has_class("big") else self._focus_before_big)

    def _loupe_centre(self) -> tuple[float, float]:
        """Return the middle of the picture under the loupe."""
        if self.answer is None or self.answer.painted is None:
            return (0.0, 0.0)
        frame = self.answer.painted.frame
        return (
            frame.left_mm + frame.columns * frame.mm_per_column / 2,
            frame.top_mm - frame.rows * frame.mm_per_column,
        )

    def _on_the_blank(self, centre: tuple[float, float]) -> tuple[float, float]:
        """Return a point no farther out than the wood."""
        if self.answer is None or self.answer.planned is None:
            return centre
        blank = self.answer.planned.sign.blank
        across, up = blank.width_mm / 2, blank.height_mm / 2
        return (min(max(centre[0], -across), across), min(max(centre[1], -up), up))

    def _next_weak_place(self) -> tuple[float, float] | None:
        findings = self.answer.findings if self.answer is not None else ()
        places = [
            (number, (one.where.x_mm, one.where.y_mm))
            for number, one in enumerate(findings, 1)
            if one.where.x_mm is not None and one.where.y_mm is not None
        ]
        if not places:
            is_checked = self.answer is not None
            self.tell("There is no weak place on this sign." if is_checked else "The sign is still being checked.")
            return None
        self._weak_place = (self._weak_place + 1) % len(places)
        number, place = places[self._weak_place]
        self.tell(f"Finding {number} of {len(findings)}")
        return place
