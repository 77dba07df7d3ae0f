"""One thread that answers the newest question and drops the ones it overtook.

Invariant: at most one question waits; whatever goes wrong in an answer is delivered as trouble, and the thread goes on.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Final, Generic, TypeVar

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
