"""What the bench and the list have in common: a sign's picture, looked at in different ways, and its findings.

Invariant: a picture is shown only when it is newer than the one on the screen.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from time import monotonic
from typing import TYPE_CHECKING, Final, cast

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.geometry import Size
from textual.screen import Screen
from textual.strip import Strip
from textual.timer import Timer
from textual.widget import Widget

from studio.model.options import Value
from studio.terminal.cells import CELL_KINDS
from studio.tui.editor.apply_remedy import remedies_of
from studio.tui.editor.chooser import Chooser
from studio.tui.editor.draft import SignDraft
from studio.tui.engine.service import EngineRoom
from studio.tui.gc_pacing import hold_what_stands, tidy
from studio.tui.messages import Answered, Met
from studio.tui.preview.findings import FindingsPane, Told
from studio.tui.preview.picture import Picture
from studio.tui.preview.view import LEGEND, LOUPE_STEPS, Ask, Loupe, View
from studio.tui.status_lines import HintLine, ToldLine, Tone

if TYPE_CHECKING:
    from studio.tui.context import StudioContext
    from studio.tui.engine.engine import Answer

REST_S: Final = 0.1
"""How long a hand must rest until all that follows from a picture is told: findings, faults, titles."""
_LEAST_TOLD = 12
"""Characters of a sentence that are worth showing beside a title."""
_PICTURE_FIRST_S: Final = 0.05
"""How long all other drawing waits for a picture that was asked for."""


class SignScreen(Screen[None]):
    """A screen with a sign's picture and findings."""

    def __init__(self, house: Mapping[str, Value]) -> None:
        """Set up.

        Args:
            house: Option values under those of the sign.
        """
        super().__init__()
        self.house = house
        self.answer: Answer | None = None
        self.is_printed = False
        self.is_pressed: bool | None = None
        self.loupe: Loupe | None = None
        self._chooser: Chooser | None = None
        self._asked = 0
        self._waits_until_s = 0.0
        self._early: tuple[SignDraft, View] | None = None
        self._findings_timer: Timer | None = None
        self._weak_place = 0
        self._focus_before_loupe: Widget | None = None
        self._set_room_classes(self.app.size)
        self.room = EngineRoom(self.studio.catalogue, house, self.studio.shared, self)
        if not self.is_picture_kept():
            self.room.start(self.first_state)

    @property
    def studio(self) -> StudioContext:
        """What the app offers its screens."""
        return cast("StudioContext", self.app)

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
        self.room.close()

    def on_resize(self) -> None:
        """Lay things out for the room there is."""
        self._set_room_classes(self.size)
        self.title_picture()
        self.laid_out()

    def _set_room_classes(self, size: Size) -> None:
        """Set the classes by which the style sheet lays things out; only a change costs anything."""
        for name, holds in (("wide", size.width >= 110), ("vast", size.width >= 160), ("tall", size.height >= 38)):
            if self.has_class(name) != holds:
                self.set_class(holds, name)

    def laid_out(self) -> None:
        """Take note of other room; for the screens to fill in."""

    def tell(self, sentence: str, tone: Tone = "plain") -> None:
        """Say what just happened."""
        self.query_one(ToldLine).tell(sentence, tone)

    def hint(self, sentence: str) -> None:
        """Say what to do here."""
        self.query_one(HintLine).sentence = sentence

    def ask(self) -> None:
        """Ask for the picture of the sign as it is now."""
        state = self.shown_state
        if state is None or not self.is_mounted:
            return
        picture = self.query_one(Picture)
        view = self._view_of(picture)
        self._asked += 1
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
            self.is_pressed,
        )

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
            self.show_findings(answer)
            self.title_picture()
            self.answered(answer)
            tidy()

    def answered(self, answer: Answer) -> None:
        """Take note of an answer; for the screens to fill in."""

    def on_met(self, event: Met) -> None:
        """Tell what went wrong; everything else goes on."""
        self.tell(event.sentence, "bad")

    def show_findings(self, answer: Answer) -> None:
        """List the findings with what mends them."""
        pane = self.query_one(FindingsPane)
        if answer.planned is None:
            pane.show((), "Mend what is marked ✗ first.", is_well=False)
            pane.border_title = "Findings"
            return
        told = tuple(Told(finding, remedies_of(finding, answer.ask.state)) for finding in answer.findings)
        pane.show(told, self.nothing_found)
        bars = sum(one.finding.severity == "refuse" for one in told)
        weak = sum(one.finding.severity == "warn" for one in told)
        notes = len(told) - bars - weak
        counts = [f"{count} {word}" for count, word in ((bars, "CANNOT"), (weak, "WEAK"), (notes, "note")) if count]
        title = f"Findings: {', '.join(counts) if counts else 'none'}"
        if pane.border_title != title:
            pane.border_title = title

    def title_picture(self) -> None:
        """Say which picture it is."""
        frame = self.query_one("#picture-frame")
        is_old = self.answer is not None and bool(self.answer.faults) and self.answer.planned is None
        if self.loupe is not None:
            title, side = (
                f"Loupe: a cell is {1 / self.loupe.dots_per_mm:g} mm wide",
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
            side = f"{side[:left]}…" if left >= _LEAST_TOLD else ""
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
        kinds = CELL_KINDS
        kind = kinds[(kinds.index(self.studio.cell_kind) + 1) % len(kinds)]
        self.studio.keep_habits(cells=kind)
        self.tell(f"Pictures are drawn with {kind} cells. Keep the finest that shows no gaps.")
        self.title_picture()
        self.ask()

    def action_loupe(self) -> None:
        """Take the loupe, or put it away."""
        if self.loupe is None:
            self._focus_before_loupe = self.focused
            self._weak_place = 0
            self.loupe = Loupe()
            self.query_one(Picture).focus()
        else:
            self.put_loupe_away()
        self.title_picture()
        self.ask()

    def put_loupe_away(self) -> None:
        """Show the whole sign again and go back to where the focus was."""
        self.loupe = None
        if self._focus_before_loupe is not None and self._focus_before_loupe.is_attached:
            self._focus_before_loupe.focus()

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
        self.tell(f"Here is finding {number}.")
        return place

    def _ground(self, picture: Picture) -> tuple[int, int, int]:
        """Return the colour round the wood; black or white where it is the terminal's own, which is not known."""
        colour = picture.background_colors[1]
        if colour.ansi is not None:
            return (0, 0, 0) if self.app.current_theme.dark else (255, 255, 255)
        return (colour.r, colour.g, colour.b)
