"""The engine behind its desk: opened on the desk's own thread, so that the studio shows itself first.

Invariant: the heavy libraries are loaded here and nowhere before.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Final

from textual.message_pump import MessagePump

from studio.files.catalogue import Catalogue
from studio.files.options import Value
from studio.tui.bench_state import BenchState
from studio.tui.desk import Desk
from studio.tui.messages import Answered, Met
from studio.tui.shared_bench import SharedBench
from studio.tui.trouble import sentence_for
from studio.tui.view import Ask, View

if TYPE_CHECKING:
    from studio.tui.engine import Answer, Engine

_NOT_TOLD: Final = 0
"""The number of a question that is only there to get ready."""


class EngineRoom:
    """Takes questions about one sign and posts the answers to a screen."""

    def __init__(
        self, catalogue: Catalogue, house: Mapping[str, Value], bench: SharedBench, target: MessagePump
    ) -> None:
        self._catalogue = catalogue
        self._house = house
        self._target = target
        self._engine: Engine | None = None
        self._bench = bench
        self._has_started = False
        self._has_fetched = False
        self._desk: Desk[Ask, Answer] = Desk(
            self._answer, self._deliver, self._trouble, finish=self._finish, name="sapwood-engine"
        )

    def start(self, first: BenchState | None = None) -> None:
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
        if self._engine is not None:
            self._engine.keep_ground()

    def ask(self, ask: Ask) -> None:
        """Put a question; the newest alone is answered."""
        self._desk.ask(ask)

    def _opened(self) -> Engine:
        if self._engine is None:
            from studio.tui.engine import Engine

            self._engine = Engine(self._catalogue, self._house, self._bench.get())
        return self._engine

    def _answer(self, ask: Ask) -> Answer:
        return self._opened().answer(ask)

    def _finish(self, answer: Answer, is_overtaken: Callable[[], bool]) -> Answer | None:
        if answer.ask.number == _NOT_TOLD:
            return None
        self._fetch_once(answer)
        if answer.is_final:
            return None
        from studio.tui.engine import Overtaken

        try:
            return self._opened().remedied(answer, is_overtaken)
        except Overtaken:
            return None

    def _fetch_once(self, answer: Answer) -> None:
        """Have the artwork read that a kept ground spared the first picture, for the loupe and the print."""
        if not self._has_fetched and answer.planned is not None and answer.planned.sign.artwork is not None:
            self._has_fetched = True
            self._bench.fetch(answer.planned.sign.artwork.artwork)

    def _deliver(self, answer: Answer) -> None:
        if answer.ask.number != _NOT_TOLD:
            self._target.post_message(Answered(answer))

    def _trouble(self, ask: Ask, problem: Exception) -> None:
        if ask.number != _NOT_TOLD:
            self._target.post_message(Met(sentence_for(problem)))
