"""The paper station: which paper and printer, how the sign lies on its sheets, where the seam runs, what goes with it.

Invariant: sheets are laid on a thread of their own; what is shown is the newest answer, and what is written is what is
shown.
"""

from __future__ import annotations

from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, ClassVar, Final, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import Screen
from textual.widgets import Static

from studio.model.sign import Sign
from studio.tui.dialogs.question import ReplaceScreen
from studio.tui.editor.stepper import Stepper
from studio.tui.error_text import sentence_for
from studio.tui.keys import ON_PAPER, Key, bindings, footer_keys
from studio.tui.lengths import Unit, said
from studio.tui.messages import Typed
from studio.tui.status_lines import HintLine, KeyLine, ToldLine, Tone

if TYPE_CHECKING:
    from studio.production.save_on_paper import SignForPaper
    from studio.production.save_sign import Instead
    from studio.sheets.sign_on_paper import Wish
    from studio.sheets.sign_sheets import SignSheets
    from studio.tui.context import StudioContext

NO_PRINTER: Final = "usual margins"
_PAGES: Final = (
    ("template", "Template, plain paper"),
    ("card", "Press card"),
    ("approval", "Approval, PDF and PNG"),
    ("hanging", "Hanging"),
)
_YES_NO: Final = ("yes", "no")
_STEP_MM: Final = 1.0


class SeamDrawing(Static, can_focus=True):
    """The drawing of the sheets; its arrow keys move the seam."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "screen.move_seam(-1)", show=False),
        Binding("right", "screen.move_seam(1)", show=False),
    ]


class PaperScreen(Screen[None]):
    """The paper station."""

    own_keys: ClassVar[tuple[Key, ...]] = ON_PAPER
    """The keys of this screen, for help and menu."""
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(ON_PAPER)]
    HELP = """\
# The paper station

Choose the paper that your printer takes, and the printer where it was measured. The drawing shows the sign as it is
read and the sheets that it takes; where there are several, the seam lies where it cuts least. ↑ and ↓ move it by a
millimetre and tell what it cuts there; `=` puts it back. M measures a printer. F10 writes the sign with its sheets
and the pages that are marked. Sheets go on transfer paper, pages on plain paper.
"""

    def __init__(self, sign: Sign, folder: Path, *, paper: str, printer: str = "") -> None:
        """Set up.

        Args:
            sign: The sign.
            folder: Where its files go.
            paper: Name of the paper shown first.
            printer: Name of the printer shown first; empty for none.
        """
        super().__init__(id="paper")
        self._sign = sign
        self._folder = folder
        self._paper = paper
        self._printer = printer
        self._ready: SignForPaper | None = None
        self._sheets: SignSheets | None = None
        self._seam_mm: float | None = None
        self._asked = 0
        self._laying = Lock()
        self._said = ""
        self._is_writing = False
        self._kinds = {"template", "card"}

    @property
    def studio(self) -> StudioContext:
        """What the app offers."""
        return cast("StudioContext", self.app)

    @property
    def is_settled(self) -> bool:
        """Whether the newest wish is shown."""
        return self._sheets is not None and not self._is_writing

    def compose(self) -> ComposeResult:
        """Return the parts."""
        yield HintLine()
        with Horizontal(id="work"):
            with Vertical(id="left"):
                yield Static("Paper", classes="paper-label")
                yield Stepper("paper", self._paper, self._papers, opens_list=False)
                yield Static("Printer", classes="paper-label")
                yield Stepper("printer", self._printer or NO_PRINTER, self._printers, opens_list=False)
                yield Static("Pages beside it", classes="paper-label")
                for kind, label in _PAGES:
                    with Horizontal(classes="paper-page"):
                        yield Static(label, classes="paper-page-label")
                        yield Stepper(kind, _word(kind in self._kinds), lambda: _YES_NO, opens_list=False)
            with Vertical(id="right"):
                yield SeamDrawing(id="paper-drawing")
                yield Static("", id="paper-told", markup=False)
        yield ToldLine()
        yield KeyLine(footer_keys(ON_PAPER), self.studio.keymap)

    def on_mount(self) -> None:
        """Draw the sign, then lay it."""
        self.query_one(HintLine).sentence = "Choose paper and printer, mark what goes with it, F10 writes it all."
        self._tell("Drawing the sign …", "busy")
        self.run_worker(self._draw, thread=True, group="draw", exit_on_error=False)

    def on_typed(self, event: Typed) -> None:
        """Take another paper or printer."""
        event.stop()
        stepper = self.query_one(f"#field-{event.key}", Stepper)
        stepper.value = event.text
        if event.key in dict(_PAGES):
            self._kinds = {kind for kind, _ in _PAGES if self.query_one(f"#field-{kind}", Stepper).value == "yes"}
            return
        if event.key == "paper":
            self._paper = event.text
        else:
            self._printer = "" if event.text == NO_PRINTER else event.text
        self._seam_mm = None
        self._lay()

    # Keys

    def action_move_seam(self, steps: int) -> None:
        """Move the first seam."""
        tiling = self._sheets.tiling if self._sheets is not None else None
        if tiling is None or not tiling.seams:
            self._tell("There is no seam: it is one sheet.", "plain")
            return
        first = tiling.seams[0]
        here = self._seam_mm if self._seam_mm is not None else (-first.at_mm if first.is_upright else first.at_mm)
        self._seam_mm = round(here + steps * _STEP_MM)
        self._lay(upright=first.is_upright)

    def action_best_seam(self) -> None:
        """Put the seam back where it cuts least."""
        self._seam_mm = None
        self._lay()

    def action_write_all(self) -> None:
        """Write the sign, its sheets and the pages that are marked."""
        if self._is_writing or self._ready is None or self._sheets is None:
            self._tell("One moment: the sheets are being laid.", "busy")
            return
        self._write("ask")

    def action_leave(self) -> None:
        """Go back to the sign."""
        self.dismiss()

    # Work on threads

    def _papers(self) -> tuple[str, ...]:
        return tuple(paper.name for paper in self.studio.catalogue.papers if not paper.is_roll)

    def _printers(self) -> tuple[str, ...]:
        return (NO_PRINTER, *(printer.name for printer in self.studio.catalogue.printers))

    def _draw(self) -> None:
        from studio.production.save_on_paper import sign_for_paper

        try:
            ready = sign_for_paper(self._sign, self.studio.shared.get())
        except Exception as problem:
            self.app.call_from_thread(self._tell, sentence_for(problem), "bad")
            return
        self.app.call_from_thread(self._drawn, ready)

    def _drawn(self, ready: SignForPaper | None) -> None:
        if ready is None:
            self._tell("This sign has errors and is not printed. Esc goes back; the findings tell why.", "bad")
            return
        self._ready = ready
        self._lay()

    def _lay(self, *, upright: bool = False) -> None:
        """Lay the sign for what is chosen, on a thread; an older answer is dropped."""
        if self._ready is None:
            return
        self._asked += 1
        number, ready, is_upright = self._asked, self._ready, upright
        self.run_worker(
            lambda: self._lay_in_thread(number, ready, is_upright), thread=True, group="lay", exit_on_error=False
        )

    def _wish(self, upright: bool) -> Wish:
        from studio.production.sign_sheets import SheetOptions, wish_of

        seam = "" if self._seam_mm is None else f"{'x=' if upright else ''}{self._seam_mm:g}mm"
        wish = wish_of(SheetOptions(paper=self._paper, printer=self._printer, seam=seam), self.studio.catalogue)
        assert wish is not None
        return wish

    def _lay_in_thread(self, number: int, ready: SignForPaper, upright: bool) -> None:
        from studio.production.save_on_paper import lay

        with self._laying:  # one at a time, so that a key held down lays the newest wish and none between
            if number != self._asked:
                return
            try:
                wish = self._wish(upright)
                sheets = lay(ready, wish)
            except Exception as problem:
                self.app.call_from_thread(self._not_laid, number, sentence_for(problem))
                return
        self.app.call_from_thread(self._laid, number, sheets, wish)

    def _not_laid(self, number: int, sentence: str) -> None:
        if number == self._asked:
            self._tell(sentence, "bad")

    def _laid(self, number: int, sheets: SignSheets, wish: Wish) -> None:
        """Show the newest sheets, and what their seam costs."""
        if number != self._asked or self._ready is None:
            return
        from studio.production.sign_sheets import printer_remarks
        from studio.tui.pressing.sheets_drawing import sheets_drawing

        self._sheets, self._shown_wish = sheets, wish
        drawing = self.query_one("#paper-drawing", Static)
        size = drawing.size
        sign = self._ready.sign
        drawing.update(sheets_drawing(sign.blank, sign.bleed_mm, sheets.tiling, size.width, size.height))
        self.query_one("#paper-told", Static).update("\n".join(_told(sheets, wish, self.studio.habits.length_unit)))
        remarks = (*printer_remarks(wish), *sheets.remarks)
        if self._said:
            self._tell(self._said, "good")
            self._said = ""
        elif remarks:
            self._tell(remarks[0], "warn")
        else:
            self._tell("F10 writes print, proof, report, sheets, and the pages marked.", "good")

    def _write(self, instead: Instead) -> None:
        self._is_writing = True
        self._tell("Writing …", "busy")
        kinds = tuple(kind for kind, _ in _PAGES if kind in self._kinds)
        ready, wish = self._ready, self._shown_wish
        assert ready is not None

        def work() -> None:
            from studio.production.paperwork import Paperwork, check_paperwork
            from studio.production.save_on_paper import save_on_paper

            wanted = Paperwork(kinds)
            try:
                check_paperwork(ready.sign, wanted, self.studio.catalogue)
                written = save_on_paper(
                    ready, wish, wanted, self.studio.shared.get(), self.studio.catalogue, self._folder, instead=instead
                )
            except Exception as problem:
                self.app.call_from_thread(self._not_written, sentence_for(problem))
                return
            self.app.call_from_thread(self._written, written)

        self.run_worker(work, thread=True, group="write", exit_on_error=False)

    def _not_written(self, sentence: str) -> None:
        self._is_writing = False
        self._tell(f"Nothing was written. {sentence}", "bad")

    def _written(self, written: object) -> None:
        from studio.production.save_sign import InTheWay

        self._is_writing = False
        if isinstance(written, InTheWay):

            def chosen(answer: str | None) -> None:
                if answer in ("keep-both", "replace"):
                    self._write("keep-both" if answer == "keep-both" else "replace")
                else:
                    self._tell("Nothing was written; the files are as they were.", "plain")

            self.app.push_screen(ReplaceScreen(written.files), chosen)
            return
        files = cast("dict[str, Path]", written)
        self.studio.note_made(files["print"])
        names = ", ".join(path.name for kind, path in files.items() if kind not in ("thumbnail", "report", "proof"))
        self._tell(f"Written into {self._folder}: {names}. Print at 100 %. F11 goes to the press.", "good")

    def printer_measured(self, name: str, sentence: str) -> None:
        """Take a printer that was just measured, and say what it came to."""
        self._printer = name
        self.query_one("#field-printer", Stepper).value = name
        self._seam_mm = None
        self._said = sentence
        self._lay()

    def _tell(self, sentence: str, tone: Tone = "plain") -> None:
        self.query_one(ToldLine).tell(sentence, tone)


def _word(is_wanted: bool) -> str:
    return "yes" if is_wanted else "no"


def _told(sheets: SignSheets, wish: Wish, unit: Unit) -> list[str]:
    """Return what sheets come to: how many, and for each seam where it runs and what it cuts."""
    count = len(sheets.pages)
    lines = [f"{'One sheet' if count == 1 else f'{count} sheets'} of {wish.paper.told}"]
    for seam in sheets.tiling.seams if sheets.tiling is not None else ():
        at_mm = -seam.at_mm if seam.is_upright else seam.at_mm
        place = f"{'upright' if seam.is_upright else 'level'}, {said(at_mm, unit)}"
        crossed = seam.cost.lettering_mm
        cut = f"cuts {said(crossed, unit)} of lettering" if crossed else "clear of lettering"
        lines.append(f"Seam {seam.letter}: {place} from the centre; {cut}; picture {seam.cost.picture:.0f}")
    return lines
