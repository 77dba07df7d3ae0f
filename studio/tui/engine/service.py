"""The engine on a thread of its own: the newest question is answered, and the studio shows itself first.

Invariant: the heavy libraries are loaded here and nowhere before.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Final, Generic, TypeVar

from textual.message_pump import MessagePump

from studio.model.options import Value
from studio.storage.catalogue import Catalogue
from studio.tui.editor.draft import SignDraft
from studio.tui.error_text import sentence_for
from studio.tui.messages import Answered, Met
from studio.tui.preview.view import Ask, View

if TYPE_CHECKING:
    from studio.storage.assets import FileAssets
    from studio.tui.engine.engine import Answer, Engine


class SharedAssets:
    """The one place that faces and pictures come from, made when it is first asked for; for several threads."""

    def __init__(self, catalogue: Catalogue, assets: FileAssets | None = None) -> None:
        """Set up.

        Args:
            catalogue: Where names are looked up.
            assets: Faces and pictures, where they are loaded already.
        """
        self._catalogue = catalogue
        self._assets = assets
        self._lock = threading.Lock()

    def get(self) -> FileAssets:
        """Return it."""
        with self._lock:
            if self._assets is None:
                from studio.storage.assets import FileAssets

                self._assets = FileAssets(self._catalogue)
            return self._assets


Question = TypeVar("Question")
Reply = TypeVar("Reply")

IDLE_S: Final = 0.3
"""How long nothing new must come before the slower second part of an answer is begun."""


class Desk(Generic[Question, Reply]):
    """A thread with a slot for the newest question."""

    def __init__(
        self,
        answer: Callable[[Question], Reply],
        deliver: Callable[[Reply], None],
        trouble: Callable[[Question, Exception], None],
        *,
        finish: Callable[[Reply, Callable[[], bool]], Reply | None] | None = None,
        name: str = "sapwood-desk",
    ) -> None:
        """Set up; `start` begins.

        Args:
            answer: Gives the reply to a question.
            deliver: Takes a reply, on the desk's thread.
            trouble: Takes what an answer raised.
            finish: The slower part, begun when nothing new came for `IDLE_S`; asked with a function that tells whether
                it is overtaken, and gives `None` when it gave up or has nothing to add.
            name: Of the thread.
        """
        self._answer = answer
        self._deliver = deliver
        self._trouble = trouble
        self._finish = finish
        self._ready = threading.Condition()
        self._waiting: Question | None = None
        self._is_closed = False
        self._thread = threading.Thread(target=self._run, name=name, daemon=True)

    def start(self) -> None:
        """Begin to answer."""
        self._thread.start()

    def ask(self, question: Question) -> None:
        """Put a question; one that waits is dropped."""
        with self._ready:
            self._waiting = question
            self._ready.notify()

    def close(self, patience_s: float = 2.0) -> None:
        """Stop answering; an answer under way is not delivered."""
        with self._ready:
            self._is_closed = True
            self._waiting = None
            self._ready.notify()
        if self._thread.is_alive() and self._thread is not threading.current_thread():
            self._thread.join(patience_s)

    def is_overtaken(self) -> bool:
        """Whether a newer question waits, or the desk is closed."""
        return self._is_closed or self._waiting is not None

    def _run(self) -> None:
        reply: Reply | None = None
        while True:
            with self._ready:
                if reply is not None and self._finish is not None:
                    came = self._ready.wait_for(self.is_overtaken, IDLE_S)
                else:
                    came = self._ready.wait_for(self.is_overtaken)
                if self._is_closed:
                    return
                question, self._waiting = self._waiting, None
            if came and question is not None:
                reply = self._answered(question)
                last = question
            elif reply is not None:
                self._finished(last, reply)
                reply = None

    def _answered(self, question: Question) -> Reply | None:
        try:
            reply = self._answer(question)
            if not self._is_closed:
                self._deliver(reply)
        except Exception as problem:
            self._tell(question, problem)
            return None
        return reply

    def _finished(self, question: Question, reply: Reply) -> None:
        assert self._finish is not None
        try:
            finished = self._finish(reply, self.is_overtaken)
            if finished is not None and not self._is_closed:
                self._deliver(finished)
        except Exception as problem:
            self._tell(question, problem)

    def _tell(self, question: Question, problem: Exception) -> None:
        if not self._is_closed:
            self._trouble(question, problem)


_NOT_TOLD: Final = 0
"""The number of a question that is only there to get ready."""


class EngineRoom:
    """Takes questions about one sign and posts the answers to a screen."""

    def __init__(
        self, catalogue: Catalogue, house: Mapping[str, Value], assets: SharedAssets, target: MessagePump
    ) -> None:
        self._catalogue = catalogue
        self._house = house
        self._target = target
        self._engine: Engine | None = None
        self._assets = assets
        self._has_started = False
        self._desk: Desk[Ask, Answer] = Desk(
            self._answer, self._deliver, self._trouble, finish=self._finish, name="sapwood-engine"
        )

    def start(self, first: SignDraft | None = None) -> None:
        """Begin to answer, once; get ready for a first sign while there is no room for a picture yet."""
        if self._has_started:
            return
        self._has_started = True
        if first is not None:
            self._desk.ask(Ask(_NOT_TOLD, first, View(0, 0)))
        self._desk.start()

    def close(self) -> None:
        """Stop answering."""
        self._desk.close()

    def ask(self, ask: Ask) -> None:
        """Put a question; the newest alone is answered."""
        self._desk.ask(ask)

    def _opened(self) -> Engine:
        if self._engine is None:
            from studio.tui.engine.engine import Engine

            self._engine = Engine(self._catalogue, self._house, self._assets.get())
        return self._engine

    def _answer(self, ask: Ask) -> Answer:
        return self._opened().answer(ask)

    def _finish(self, answer: Answer, is_overtaken: Callable[[], bool]) -> Answer | None:
        if answer.ask.number == _NOT_TOLD:
            return None
        if answer.is_final:
            return None
        from studio.pipeline.interruptible import Overtaken

        try:
            return self._opened().remedied(answer, is_overtaken)
        except Overtaken:
            return None

    def _deliver(self, answer: Answer) -> None:
        if answer.ask.number != _NOT_TOLD:
            self._target.post_message(Answered(answer))

    def _trouble(self, ask: Ask, problem: Exception) -> None:
        if ask.number != _NOT_TOLD:
            self._target.post_message(Met(sentence_for(problem)))
