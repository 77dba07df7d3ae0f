"""The sign on paper: paper and printer on the left, the sheets with their seams on the right, and their PDF."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, Final, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import Screen
from textual.widgets import Static
from textual.worker import get_current_worker

from studio.errors import StudioError
from studio.model.options import Value
from studio.tui.dialogs.question import ReplaceScreen
from studio.tui.editor.draft import SignDraft
from studio.tui.editor.stepper import Stepper
from studio.tui.error_text import sentence_for
from studio.tui.keys import ON_PAPER, bindings, footer_keys
from studio.tui.messages import Typed
from studio.tui.sheets.seam_view import SeamView
from studio.tui.status_lines import HintLine, KeyLine, ToldLine, Tone

if TYPE_CHECKING:
    from studio.production.save_sign import Instead, Outcome
    from studio.production.sheet_trial import Layout, SheetTrial
    from studio.sheets.sign_on_paper import Wish
    from studio.tui.context import StudioContext

USUAL_PAPER: Final = "letter"
USUAL, NARROW = "usual margins", "narrow margins"
_STEP_MM: Final = 1.0
_HINT: Final = "Choose paper and printer; Tab goes to the drawing, where the arrows move a seam. F10 writes the PDF."
_STEPS: Final = 4


class PaperScreen(Screen[None]):
    """One sign on paper."""

    AUTO_FOCUS = "#field-paper"
    BINDINGS: ClassVar[list[BindingType]] = [
        *bindings(ON_PAPER),
        Binding("tab", "app.focus_next", show=False),
        Binding("shift+tab", "app.focus_previous", show=False),
    ]
    HELP = """\
# The sign on paper

What is inked goes on one sheet where that is large enough. Otherwise the sign is parted over the fewest sheets, and
they are joined along **seams**, which run where they cost least: never through letters while there is another line,
then where few edges and little dark are cut. The arrow keys move the seam that is chosen and tell what it costs there;
`B` puts it back. F10 writes print, proof, report and the sheets, a PDF to print at 100 %.
"""

    def __init__(self, state: SignDraft, house: Mapping[str, Value], folder: Path) -> None:
        """Set up.

        Args:
            state: The sign.
            house: Option values under its own.
            folder: Where its files go.
        """
        super().__init__()
        self._state, self._house, self._folder = state, house, folder
        self._trial: SheetTrial | None = None
        self._wish: Wish | None = None
        self._layout: Layout | None = None
        self._seam = 0
        self._is_writing = False

    @property
    def studio(self) -> StudioContext:
        """What the app offers its screens."""
        return cast("StudioContext", self.app)

    def compose(self) -> ComposeResult:
        """Return the parts."""
        yield HintLine()
        with Horizontal(id="work"):
            with Vertical(id="left"):
                yield Static("Paper", classes="paper-label", markup=False)
                yield Stepper("paper", self._paper_name(), self._papers, opens_list=False)
                yield Static("Printer", classes="paper-label", markup=False)
                yield Stepper("printer", self._printer_name(), self._printers, opens_list=False)
                yield Static("", id="paper-told", markup=False)
            with Vertical(id="right"):
                yield SeamView(id="seams")
        yield ToldLine()
        yield KeyLine(footer_keys(ON_PAPER), self.studio.keymap)

    def on_mount(self) -> None:
        """Draw the sign, away from the interface's thread."""
        self.query_one(HintLine).sentence = _HINT
        self.tell("The sign is being drawn …", "busy")
        self.run_worker(self._open_in_thread, thread=True, group="paper", exit_on_error=False)

    def tell(self, sentence: str, tone: Tone = "plain") -> None:
        """Say something."""
        self.query_one(ToldLine).tell(sentence, tone)

    # What is chosen

    def _papers(self) -> tuple[str, ...]:
        return tuple(paper.name for paper in self.studio.catalogue.papers)

    def _printers(self) -> tuple[str, ...]:
        return (USUAL, NARROW, *(printer.name for printer in self.studio.catalogue.printers))

    def _paper_name(self) -> str:
        kept = self.studio.habits.paper
        return kept if kept in self._papers() else USUAL_PAPER

    def _printer_name(self) -> str:
        kept = self.studio.habits.printer
        return kept if kept in self._printers() else USUAL

    def on_typed(self, event: Typed) -> None:
        """Take over another paper or printer."""
        event.stop()
        self.query_one(f"#field-{event.key}", Stepper).value = event.text
        self.studio.keep_habits(**{event.key: event.text})
        self._seam = 0
        self._lay(self._chosen_wish())

    def _chosen_wish(self) -> Wish:
        return wish_from(self.studio, self._paper_name(), self._printer_name())

    # The sheets

    def _open_in_thread(self) -> None:
        worker = get_current_worker()
        try:
            from studio.production.sheet_trial import SheetTrial
            from studio.storage.sign_builder import build_sign

            sign = build_sign(self._state.text, self._state.effective(self._house), self.studio.catalogue)
            trial = SheetTrial(sign, self.studio.shared.get())
        except Exception as problem:
            if not worker.is_cancelled:
                self.app.call_from_thread(self.tell, sentence_for(problem), "bad")
            return
        if not worker.is_cancelled:
            self.app.call_from_thread(self._opened, trial)

    def _opened(self, trial: SheetTrial) -> None:
        if trial.is_refused:
            self.tell("The sign cannot come out well, so there is nothing to print. Esc goes back to it.", "bad")
            return
        self._trial = trial
        self._lay(self._chosen_wish())

    def _lay(self, wish: Wish) -> None:
        """Lay the sign on a paper, and tell what came of it."""
        if self._trial is None:
            return
        try:
            layout = self._trial.layout(wish)
        except StudioError as problem:
            self._layout = None
            self.query_one(SeamView).lines = ()
            self.tell(str(problem), "bad")
            return
        self._show(wish, layout)

    def _show(self, wish: Wish, layout: Layout) -> None:
        self._wish, self._layout = wish, layout
        self._draw()
        sheets = "one sheet" if layout.sheets == 1 else f"{layout.sheets} sheets"
        self.query_one("#paper-told", Static).update(f"\n{sheets} of {wish.paper.told}")
        self.tell(self._told(layout), "warn" if any(cost.lettering_mm for cost in layout.costs) else "good")

    def _told(self, layout: Layout) -> str:
        if layout.tiling is None:
            return "All that is inked fits one sheet. F10 writes the PDF."
        seam = layout.tiling.seams[self._seam % len(layout.tiling.seams)]
        way, place = ("x", -seam.at_mm) if seam.is_upright else ("y", seam.at_mm)
        letters = (
            f"through {seam.cost.lettering_mm:.1f} mm of lettering" if seam.cost.lettering_mm else "clear of lettering"
        )
        kept = f", through {seam.cost.kept_mm:.1f} mm to be kept whole" if seam.cost.kept_mm else ""
        return f"Seam {seam.letter} at {way} {place:.1f} mm: {letters}{kept}, edges and dark {seam.cost.picture:.1f}."

    def _draw(self) -> None:
        view = self.query_one(SeamView)
        if self._trial is not None and self._layout is not None and view.size.width and view.size.height:
            view.lines = self._trial.drawing(self._layout, view.size.width, view.size.height)

    def on_seam_view_grown(self) -> None:
        """Draw in the room there is."""
        self._draw()

    def on_seam_view_moved(self, event: SeamView.Moved) -> None:
        """Move the seam that is chosen, where it can go."""
        if self._trial is None or self._wish is None or self._layout is None:
            return
        if self._layout.tiling is None:
            self.tell("There is no seam: all that is inked fits one sheet.")
            return
        number = self._seam % len(self._layout.tiling.seams)
        by = event.right if self._layout.tiling.seams[number].is_upright else event.up
        if not by:
            self.tell("That seam moves the other way.")
            return
        try:
            wish, layout = self._trial.moved(self._wish, self._layout, number, by * _STEP_MM)
        except StudioError as problem:
            self.tell(f"The seam stays: {str(problem).replace('--seam: ', '')}", "warn")
            return
        if layout.sheets > self._layout.sheets:
            self.tell(f"The seam stays: there it would take {layout.sheets} sheets.", "warn")
            return
        self._show(wish, layout)

    def on_seam_view_chosen(self, event: SeamView.Chosen) -> None:
        """Choose the next seam, or put all back where they cost least."""
        if event.what == "next":
            self._seam += 1
            if self._layout is not None:
                self.tell(self._told(self._layout))
        else:
            self._lay(self._chosen_wish())

    # The PDF

    def action_paper_make(self) -> None:
        """Write the sign's files with its sheets."""
        if self._is_writing or self._wish is None or self._layout is None:
            self.tell("The PDF can be written once the sheets are drawn.", "busy")
            return
        self._write("ask")

    def _write(self, instead: Instead) -> None:
        self._is_writing = True
        wish = self._wish
        assert wish is not None
        self.query_one(ToldLine).tell_progress("Writing print, proof and sheets", 0, _STEPS)
        self.run_worker(
            lambda: self._write_in_thread(wish, instead), thread=True, group="paper-write", exit_on_error=False
        )

    def _write_in_thread(self, wish: Wish, instead: Instead) -> None:
        worker = get_current_worker()

        def progress(step: int, words: str) -> None:
            if not worker.is_cancelled:
                self.app.call_from_thread(self.query_one(ToldLine).tell_progress, words, step, _STEPS)

        try:
            from studio.production.save_sign import make_sign
            from studio.storage.sign_builder import build_sign

            sign = build_sign(self._state.text, self._state.effective(self._house), self.studio.catalogue)
            made = make_sign(
                sign, self.studio.shared.get(), self._folder, instead=instead, progress=progress, wish=wish
            )
        except Exception as problem:
            if not worker.is_cancelled:
                self.app.call_from_thread(self._not_written, sentence_for(problem))
            return
        if not worker.is_cancelled:
            self.app.call_from_thread(self._written, made)

    def _not_written(self, sentence: str) -> None:
        self._is_writing = False
        self.tell(f"Nothing was written. {sentence.replace(' with -o', '')}", "bad")

    def _written(self, made: Outcome) -> None:
        from studio.production.save_sign import SHEETS, InTheWay, Made

        self._is_writing = False
        if isinstance(made, InTheWay):

            def chosen(answer: str | None) -> None:
                if answer in ("keep-both", "replace"):
                    self._write("keep-both" if answer == "keep-both" else "replace")
                else:
                    self.tell("Nothing was written; the files are as they were.")

            self.app.push_screen(ReplaceScreen(made.files), chosen)
        elif isinstance(made, Made):
            self.studio.note_made(made.files["print"])
            file = made.files[SHEETS]
            self.tell(f"Written: {file.name} in {file.parent}. Print it at 100 % (Actual size). Esc goes back.", "good")
        else:
            self.tell("Nothing was written: the sign cannot come out well. Esc goes back to it.", "bad")

    def action_paper_back(self) -> None:
        """Go back to the sign."""
        self.app.pop_screen()


def wish_from(studio: StudioContext, paper: str, printer: str) -> Wish:
    """Return how sheets are wanted, by the names of paper and printer.

    Raises:
        SettingsError: One of them is not known.
    """
    from studio.model.printer import NARROW_MARGINS, Printer
    from studio.sheets.sign_on_paper import Wish

    known = {one.name: one for one in studio.catalogue.printers}
    chosen = known.get(printer, Printer())
    if printer == NARROW:
        chosen = replace(chosen, margins=NARROW_MARGINS)
    return Wish(studio.catalogue.paper(paper), chosen)
