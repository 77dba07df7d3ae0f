"""The studio as an app: it opens on a sign that is ready, and remembers how it was left.

Invariant: whatever goes wrong in a part is told in a sentence, and the sign in the editor stays as it is.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, Final, TypeAlias

from textual import events
from textual.app import App, SystemCommand
from textual.binding import BindingType
from textual.screen import ModalScreen, Screen

from studio.basics.errors import StudioError
from studio.model.options import Value
from studio.orders.told import KnownList
from studio.storage.catalogue import Catalogue
from studio.storage.workspace import Shop, open_shop
from studio.terminal.capabilities import colour_depth, first_cell_kind, is_colourless
from studio.terminal.cells import CellKind
from studio.terminal.palette import Depth
from studio.tui.dialogs.question import QUIT, QuitScreen
from studio.tui.editor.draft import EditStep, SignDraft, SignEditor
from studio.tui.editor.screen import EditorScreen
from studio.tui.engine.service import Desk, SharedAssets
from studio.tui.error_text import sentence_for
from studio.tui.gc_pacing import hold_what_stands, set_pace
from studio.tui.key_order import KeyMark, KeyOrder
from studio.tui.keys import EVERYWHERE, Key, bindings, key_shown, keymap_of
from studio.tui.palette import MenuCommands
from studio.tui.preview.sign_screen import SignScreen
from studio.tui.preview.true_picture import Overlay
from studio.tui.saved.memory import Habits, write_draft, write_habits
from studio.tui.saved.preview import KeptPicture
from studio.tui.themes import CYCLE, DUSK, NOON, SAID, first_theme

if TYPE_CHECKING:
    from studio.storage.assets import FileAssets
    from studio.tui.preview.strips import Drawn
    from studio.tui.preview.view import View

    Shown: TypeAlias = tuple[SignDraft, View, Drawn]
    _Memory: TypeAlias = tuple[SignDraft | None, Habits, Shown | None]

_START_S: Final = 5.0
"""After this a start is over, even where no picture came of it."""


class StudioApp(App[None]):
    """The studio."""

    CSS_PATH = "studio.tcss"
    TITLE = "Sapwood"
    COMMANDS: ClassVar[set[Any]] = {MenuCommands}
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(EVERYWHERE)]

    def __init__(
        self,
        shop: Shop,
        *,
        draft: SignDraft | None = None,
        first: SignDraft | None = None,
        habits: Habits | None = None,
        environment: Mapping[str, str] | None = None,
        remarks: Iterable[str] = (),
        assets: FileAssets | None = None,
    ) -> None:
        """Set up.

        Args:
            shop: Catalogue, settings and option values under what is typed.
            draft: The sign last worked on.
            first: The sign to begin with where there is none.
            habits: How the maker likes to work.
            environment: The process environment.
            remarks: Sentences to tell at the start.
            assets: Faces and pictures, where they are loaded already.
        """
        self.environment = os.environ if environment is None else environment
        super().__init__(ansi_color=True if is_colourless(self.environment) else None)
        self.shop = shop
        self.habits = habits or Habits()
        self.shared = SharedAssets(shop.catalogue, assets)
        self.key_order = KeyOrder(self, super().on_event)
        self.keymap = keymap_of(shop.settings.keys)
        self.made: list[Path] = []
        self.overlay = Overlay(self, self.environment)
        self.said: list[tuple[float, str]] = []
        self.last_words: list[str] = []
        self._remarks = tuple(remarks)
        self._draft = draft
        self._first = first
        self.kept_picture = KeptPicture(shop.catalogue, shop.values)
        self._shown: Shown | None = None
        self._keeper: Desk[_Memory, None] = Desk(self._keep, lambda _: None, self._not_kept, name="sapwood-keeper")
        self.register_theme(DUSK)
        self.register_theme(NOON)
        if not self.environment.get("TEXTUAL_THEME"):
            self.theme = first_theme(self.environment, self.habits.theme)
            self.stylesheet.set_variables(self.get_css_variables())
        self._is_css_new = not self.environment.get("TEXTUAL_THEME")
        if self.keymap:
            self.set_keymap(self.keymap)

    @property
    def catalogue(self) -> Catalogue:
        """What can be chosen by name."""
        return self.shop.catalogue

    @property
    def known_lists(self) -> tuple[KnownList, ...]:
        """Kinds of lists that the settings know."""
        from studio.production.list_settings import known_lists

        return known_lists(self.shop.settings)

    @property
    def house(self) -> Mapping[str, Value]:
        """Option values that hold before anything is typed."""
        return self.shop.values

    @property
    def colour_depth(self) -> Depth:
        """How many colours pictures may be drawn in; browsers and the like are asked nothing and have all."""
        depth = colour_depth(self.environment, is_terminal=True, encoding="utf-8")
        return "truecolor" if depth == "none" else depth

    @property
    def cell_kind(self) -> CellKind:
        """The cells that pictures are drawn with."""
        return self.habits.cell_kind or first_cell_kind(self.environment)

    def get_default_screen(self) -> EditorScreen:
        """Return the editor, which lies under everything else."""
        editor = SignEditor(self.catalogue, self.house, self._first if self._draft is None else None)
        if self._draft is not None and self._draft != editor.state:
            editor.history.steps.append(EditStep(self._draft, "the sign of last time"))
            editor.history.place = 1
        self.editor_screen = EditorScreen(editor)
        return self.editor_screen

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Return what holds for the terminal's own colours, of which no theme knows more."""
        return {"frame": "ansi_bright_black", "placeholder": "ansi_default"}

    def refresh_css(self, animate: bool = True) -> None:
        """Read the styles anew; not for the theme that they were read with first."""
        if self._is_css_new:
            self._is_css_new = False
            for screen in self.screen_stack:
                screen._css_update_count = self._css_update_count
        else:
            super().refresh_css(animate)

    def on_mount(self) -> None:
        """Begin to keep what changes."""
        set_pace()
        self.set_timer(_START_S, hold_what_stands)
        self._keeper.start()
        self.overlay.type_again()
        remarks = list(self._remarks)
        if self.editor_screen.editor.history.place and not remarks:
            remarks.append("Your last sign is open again. Ctrl+N starts a new one.")
        if remarks:
            self.editor_screen.call_after_refresh(
                self.editor_screen.tell, " ".join(remarks), "warn" if self._remarks else "good"
            )

    async def on_event(self, event: events.Event) -> None:
        """Let keys and pastes act in the order in which they were pressed."""
        if isinstance(event, events.Key | events.Paste) and not event.is_forwarded:
            await self.key_order.take(event)
        else:
            await super().on_event(event)

    async def on_key_mark(self, mark: KeyMark) -> None:
        """Let the next key through once the one before it is done."""
        mark.stop()
        await self.key_order.arrived(mark)

    def take(self, key: str, value: str) -> None:
        """Choose a value of an option in the editor."""
        self.editor_screen.take(key, value)

    # What is remembered

    def keep_draft(self, state: SignDraft) -> None:
        """Keep the sign in the editor for next time."""
        self._draft = state
        self._keeper.ask((state, self.habits, self._shown))

    def note_picture(self, state: SignDraft, view: View, drawn: Drawn) -> bool:
        """Take note of the picture to be kept with the sign; tell whether it is another than before."""
        is_new = self._shown is None or self._shown[2] is not drawn
        self._shown = (state, view, drawn)
        return is_new

    def keep_habits(self, **changes: Any) -> None:
        """Keep how the maker likes to work."""
        self.habits = replace(self.habits, **changes)
        self._keeper.ask((self._draft, self.habits, self._shown))

    def _keep(self, what: _Memory) -> None:
        state, habits, shown = what
        if state is not None:
            write_draft(state)
        write_habits(habits)
        if shown is not None:
            self.kept_picture.keep(*shown)

    def _not_kept(self, what: _Memory, problem: Exception) -> None:
        sentence = sentence_for(problem)
        self.call_from_thread(self._tell, f"The sign could not be saved for next time: {sentence}")

    def _tell(self, sentence: str) -> None:
        screen = self.screen
        (screen if isinstance(screen, SignScreen) else self.editor_screen).tell(sentence, "bad")

    def keep_all(self) -> None:
        """Write what is to be remembered, at the end."""
        self._keeper.close()
        self.editor_screen.note_picture()
        try:
            self._keep((self.editor_screen.editor.history.state, self.habits, self._shown))
        except StudioError as problem:
            self.last_words.append(f"The sign could not be saved for next time: {problem}")

    def on_unmount(self) -> None:
        """Keep everything for next time."""
        self.keep_all()

    def note_made(self, file: Path) -> None:
        """Take note of a print, to be told at the end."""
        self.made.append(file)

    # What holds on every screen

    def action_help(self) -> None:
        """Help for the part that has the focus."""
        from studio.tui.dialogs.help import HelpScreen, help_for  # Markdown is slow to load

        if isinstance(self.screen, HelpScreen):
            return
        keys = self._keys_of(self.screen)
        self.push_screen(HelpScreen(help_for(self.focused or self.screen), keys, self.keymap))

    async def action_quit(self) -> None:
        """End; ask first where a list is being made."""
        running = next((one for one in self.screen_stack if isinstance(one, SignScreen) and one.under_way), None)
        if running is None or isinstance(self.screen, QuitScreen):
            await super().action_quit()
            return

        def chosen(answer: str | None) -> None:
            if answer == QUIT.name:
                self.last_words.append(running.under_way)
                self.exit()

        self.push_screen(QuitScreen(running.under_way), chosen)

    def action_messages(self) -> None:
        """Show what was said lately."""
        from studio.tui.dialogs.help import MessagesScreen

        self.push_screen(MessagesScreen(self.said))

    def action_units(self) -> None:
        """Show lengths in inches first, or in millimetres."""
        unit = "mm" if self.habits.length_unit == "in" else "in"
        self.keep_habits(units=unit)
        screen = self.screen
        if isinstance(screen, SignScreen):
            screen.units_changed()
            screen.tell(f"Lengths are shown in {'inches' if unit == 'in' else 'millimetres'} first.")

    def action_next_theme(self) -> None:
        """Show the studio in other colours."""
        here = CYCLE.index(self.theme) if self.theme in CYCLE else -1
        self.choose_theme(CYCLE[(here + 1) % len(CYCLE)])

    def choose_theme(self, name: str) -> None:
        """Show the studio in the colours of a theme, keep to them, and tell what they are called."""
        self.theme = name
        self.keep_habits(theme=name)
        self._repaint()
        if isinstance(self.screen, SignScreen):
            self.screen.tell(f"Colours: {SAID[name][0]}. Ctrl+T shows the next.")

    def action_cells(self) -> None:
        """Draw pictures with other characters."""
        if isinstance(self.screen, SignScreen):
            self.screen.draw_otherwise()

    def action_press_station(self) -> None:
        """Go to the press, with the steps of the surface of the sign; or back from there."""
        from studio.sheets.pressing.steps import press_card
        from studio.tui.pressing.timer_screen import PressScreen

        if isinstance(self.screen, PressScreen):
            self.screen.action_leave()
            return
        if isinstance(self.screen, ModalScreen):
            return
        surface = self.editor_screen.editor.history.state.effective(self.house).get("surface") or "painted"
        try:
            card = press_card(self.catalogue.press_figures(str(surface)))
        except StudioError as problem:
            self._tell(str(problem))
            return
        self.push_screen(PressScreen(card))

    def action_paper_station(self) -> None:
        """Go to the paper, with the sign of the editor."""
        from studio.storage.sign_builder import build_sign
        from studio.tui.pressing.paper_screen import PaperScreen

        if self.screen is not self.editor_screen:
            return
        state = self.editor_screen.editor.history.state
        try:
            sign = build_sign(state.text, state.effective(self.house), self.catalogue)
        except StudioError as problem:
            self._tell(str(problem))
            return
        printer = self.catalogue.printers[0] if len(self.catalogue.printers) == 1 else None
        name, holds = ("", "letter") if printer is None else (printer.name, printer.paper or printer.measured_paper)
        self.push_screen(PaperScreen(sign, self.editor_screen.folder, paper=holds or "letter", printer=name))

    def action_measure_printer(self) -> None:
        """Measure a printer with the ruler page."""
        from studio.tui.pressing.paper_screen import PaperScreen
        from studio.tui.pressing.ruler_screen import Measured, RulerScreen

        if isinstance(self.screen, ModalScreen):
            return
        screen = self.screen
        folder = self.editor_screen.folder

        def measured(printer: Measured | None) -> None:
            if printer is None:
                return
            printers = open_shop().catalogue.printers
            self.shop = replace(self.shop, catalogue=replace(self.catalogue, printers=printers))
            if isinstance(screen, PaperScreen):
                screen.printer_measured(*printer)

        self.push_screen(RulerScreen(lambda: self.catalogue, folder), measured)

    def _repaint(self) -> None:
        if isinstance(self.screen, SignScreen):
            self.call_after_refresh(self.screen.ask)

    def open_list(self, path: str | None, *, with_look: bool = True) -> None:
        """Go to the list of names, opening a file when one is given; with the single sign's look or without."""
        from studio.tui.orders.screen import NamesScreen

        editor = self.editor_screen.editor
        values = editor.history.state.effective(self.house) if with_look else dict(self.house)
        look = f"Sign's look: {editor.look}" if with_look else "Without the single sign's look"
        self.push_screen(NamesScreen(values, path, look=look, has_look=with_look))

    def action_test_strip(self) -> None:
        """Lead through the test strip, pressed on the surface of the sign in the editor."""
        from studio.tui.dialogs.strip import StripScreen

        values = self.editor_screen.editor.history.state.effective(self.house)
        try:
            starting = self.catalogue.surface(str(values.get("surface") or "painted"))
        except StudioError:
            starting = self.catalogue.surfaces[0]
        self.push_screen(StripScreen(starting))

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """Return every action for the palette."""
        for key in self._keys_of(screen):
            if key.id == "palette":
                continue
            told = f"{key.told} ({key_shown(key, self.keymap)})"
            yield SystemCommand(key.label, told, lambda action=key.action: self._run(screen, action))
        if screen is self.editor_screen:
            told = "Measures your own wood: writes the strip to press, reads a photo of it"
            yield SystemCommand("Test strip", told, self.action_test_strip)

    def _run(self, screen: Screen[Any], action: str) -> None:
        focused = screen.focused
        target = focused if action.startswith(("pan", "zoom", "next_weak")) else screen
        self.call_later(self._run_action, action, target or screen)

    async def _run_action(self, action: str, target: Any) -> None:
        if not await self.run_action(action, default_namespace=target):
            await self.run_action(action)

    def _keys_of(self, screen: Screen[Any]) -> tuple[Key, ...]:
        """Return the keys of a screen and those that hold everywhere."""
        return (*getattr(screen, "own_keys", ()), *EVERYWHERE)
