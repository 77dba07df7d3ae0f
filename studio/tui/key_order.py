"""Keys and pastes in the order in which they were pressed, whatever is still on its way from the one before.

The terminal library puts letters in where the focus is, at once, while all other keys climb from widget to widget to
the app, one message queue a step; letters typed meanwhile would be put in first. A key that is not the field's own is
therefore followed by a mark that takes the same way; keys that come after it wait until the mark has arrived.
The library's issue 6605 is of this fault: once its mend is released, this module can go.

Invariant: no key is dropped, and none acts before one that was pressed earlier has done all that it does.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Awaitable, Callable, Container
from time import monotonic
from typing import Final, TypeAlias

from textual import events
from textual.app import App
from textual.message import Message
from textual.message_pump import MessagePump

from studio.tui.editor.text_input import TextInput

Pressed: TypeAlias = events.Key | events.Paste

ROUNDS: Final = 3
"""How often the mark goes the key's way: behind the key, behind what the key sends, and behind what that sends."""
_LOOK_AGAIN_S: Final = 0.02
_LONGEST_S: Final = 5.0
"""After so long a key that led nowhere holds no other back."""


def told_apart(event: events.Key, bound: Container[str]) -> tuple[events.Key, ...]:
    """Return what a key with Alt stands for: the key that does something here, else Escape and the letter after it.

    Terminals send Escape and a letter for both. The library gives such a key the letter as well, so that a field would
    take it in; here it is the one or the other, and no letter is lost.

    Args:
        event: A key with Alt, as the library has read it.
        bound: The keys that do something on this screen.
    """
    letter = event.character
    if letter is None or not event.is_printable:
        return (event,)
    if event.key in bound:
        return (events.Key(event.key, None),)
    return (events.Key("escape", "\x1b"), events.Key(letter, letter))


class KeyMark(Message):
    """A mark that follows a key from widget to widget up to the app."""

    def __init__(self, number: int) -> None:
        super().__init__()
        self.number = number


class KeyOrder:
    """Lets keys through to the app one after the other."""

    def __init__(self, app: App[None], handle: Callable[[Pressed], Awaitable[None]]) -> None:
        """Set up.

        Args:
            app: The app that the keys are meant for.
            handle: Does with a key what the library would do at once.
        """
        self._app = app
        self._handle = handle
        self._waiting: deque[Pressed] = deque()
        self._target: MessagePump | None = None
        self._screen: MessagePump | None = None
        self._number = 0
        self._rounds = 0
        self._until_s = 0.0
        self._is_field_busy = False

    @property
    def is_clear(self) -> bool:
        """Whether no key is on its way and none waits."""
        return self._target is None and not self._waiting

    async def take(self, event: Pressed) -> None:
        """Hand a key on now, or as soon as those before it are done."""
        keys: tuple[Pressed, ...] = (event,)
        if isinstance(event, events.Key) and event.key.startswith("alt+"):
            keys = told_apart(event, self._app.screen.active_bindings)
        for key in keys:
            if self.is_clear:
                await self._let_through(key)
            else:
                self._waiting.append(key)

    async def arrived(self, mark: KeyMark) -> None:
        """Take note of a mark that came to the app; it has its last round when what the key asked for is done."""
        if mark.number != self._number or self._target is None:
            return
        self._rounds -= 1
        if self._rounds > 0 and self._send():
            return
        self._app.call_later(self._done, self._number)

    async def _let_through(self, event: Pressed) -> None:
        app = self._app
        target = app.focused or app.screen
        if isinstance(event, events.Key):
            if isinstance(target, TextInput) and target.takes(event):
                self._is_field_busy = True
                await self._handle(event)
                return
            if self._is_field_busy and self._acts_at_once(event.key):
                self._is_field_busy = False
                self._waiting.appendleft(event)
                self._begin(target)
                return
        self._is_field_busy = False
        screen = app.screen
        await self._handle(event)
        self._begin(target if app.screen is screen else app.screen)

    def _acts_at_once(self, key: str) -> bool:
        """Whether a key has an action that the app runs without asking the field first."""
        chain = self._app.screen._binding_chain
        return any(one.priority for _, bindings in chain for one in bindings.key_to_bindings.get(key, ()))

    def _begin(self, target: MessagePump) -> None:
        """Hold later keys back until a mark has gone the way of the key three times."""
        self._target, self._screen = target, self._app.screen
        self._number += 1
        self._rounds = ROUNDS
        self._until_s = monotonic() + _LONGEST_S
        if not self._send():
            self._app.call_later(self._done, self._number)
        self._app.set_timer(_LOOK_AGAIN_S * 5, lambda number=self._number: self._look(number))

    def _send(self) -> bool:
        """Send the mark; tell whether there is a way for it to come."""
        target = self._target
        if target is None or not _leads_to_the_app(target):
            return False
        return target.post_message(KeyMark(self._number))

    def _look(self, number: int) -> None:
        """See to it that a mark that was lost with its widget holds nothing back for good."""
        if number != self._number or self._target is None:
            return
        if _leads_to_the_app(self._target) and monotonic() < self._until_s:
            self._app.set_timer(_LOOK_AGAIN_S * 5, lambda: self._look(number))
        else:
            self._app.call_later(self._done, number)

    async def _done(self, number: int) -> None:
        """Go on to the keys that wait, as soon as there is a screen to take them."""
        if number != self._number or self._target is None:
            return
        screen = self._app.screen
        is_ready = screen.is_mounted and not getattr(screen, "is_getting_ready", False)
        if not is_ready and monotonic() < self._until_s:
            self._app.set_timer(_LOOK_AGAIN_S, lambda: self._app.call_later(self._done, number))
            return
        self._target = None
        if self._screen is not screen and self._waiting:
            self._begin(screen)  # another screen is on top: let it settle first
            return
        while self._waiting and self._target is None:
            await self._let_through(self._waiting.popleft())


def _leads_to_the_app(widget: MessagePump) -> bool:
    """Whether a message would climb from a widget to the app."""
    return bool(widget.is_attached and widget.is_running)
