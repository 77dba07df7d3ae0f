"""The seam between the studio and the workshop: every call of the engine is made here, off the interface's thread.

Invariant: an answer belongs to the question whose number it carries; nothing here touches a widget.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final

from studio.basics.errors import FontError, PictureError, StudioError
from studio.model.finding import Finding
from studio.model.options import Value
from studio.model.sign import Sign
from studio.pipeline.interruptible import InterruptibleAssets
from studio.pipeline.plan import plan
from studio.pipeline.types import Plan
from studio.storage.catalogue import Catalogue
from studio.storage.sign_builder import build_sign, with_text
from studio.tui.editor.draft import TEXT, SignDraft
from studio.tui.preview.painter import Painted, Painter
from studio.tui.preview.view import Ask
from studio.tui.saved.stamps import FROM_FILES
from studio.tui.wording import spoken

if TYPE_CHECKING:
    from textual.strip import Strip

    from studio.storage.assets import FileAssets

_REMEDIED: Final = frozenset({"thin-stroke", "narrow-gap", "low-contrast", "no-room"})
_NO_NAME: Final = "-"


@dataclass(frozen=True, slots=True, eq=False)
class Answer:
    """What came of a question.

    Attributes:
        ask: The question.
        planned: The sign fitted and checked; `None` when nothing was set on it.
        painted: Its picture; `None` when it could not be made, or there was no room for one.
        faults: What is wrong with what was typed, by field.
        is_final: Whether remedies were sought.
        small: The lines of the artwork by itself, where they were asked for.
    """

    ask: Ask
    planned: Plan | None = None
    painted: Painted | None = None
    faults: Mapping[str, str] = field(default_factory=dict)
    is_final: bool = True
    small: list[Strip] | None = None

    @property
    def findings(self) -> tuple[Finding, ...]:
        """The findings, in the order in which their numbers stand in the picture."""
        return () if self.planned is None else self.planned.findings


class Engine:
    """Answers questions about one sign; for one thread at a time."""

    def __init__(self, catalogue: Catalogue, house: Mapping[str, Value], assets: FileAssets) -> None:
        """Set up.

        Args:
            catalogue: What can be chosen by name.
            house: Option values that hold before anything is typed.
            assets: Where faces and pictures come from.
        """
        self.catalogue = catalogue
        self.house = house
        self._assets = InterruptibleAssets(assets)
        self._painter = Painter(self._assets)
        self._read: tuple[object, Sign] | None = None
        self._remedied: dict[SignDraft, Plan] = {}
        """The sign whose remedies were sought last: only looked at otherwise, it keeps them."""
        self._names = {"", "none", *(art.name for art in catalogue.artworks), *(one.name for one in catalogue.faces)}

    def answer(self, ask: Ask) -> Answer:
        """Return the picture of a sign with its findings, without remedies."""
        state = ask.state
        try:
            is_named = bool(state.text.strip())
            sign = self._sign(state if is_named else replace(state, text=_NO_NAME))
            known = self._remedied.get(state) if self._read is not None else None
            planned = known
            if known is None and is_named:
                planned = _worst_first(plan(sign, self._assets, remedies=False))
            painted = None if ask.view.is_empty else self._painter.paint(sign, planned, ask.view)
            small = None if ask.small is None else self._painter.paint_artwork(sign, ask.small, ask.view)
        except StudioError as problem:
            return Answer(ask, faults=self._faults(state, problem))
        faults = {} if is_named else {TEXT: "No name yet. Type the customer's name."}
        return Answer(ask, planned, painted, faults, is_final=known is not None or not _curable(planned), small=small)

    def remedied(self, answer: Answer, is_overtaken: Callable[[], bool]) -> Answer:
        """Return an answer with the remedies of its findings.

        Raises:
            Overtaken: A newer question came before they were found.
        """
        if answer.planned is None:
            return answer
        self._assets.is_overtaken = is_overtaken
        try:
            planned = _worst_first(plan(self._sign(answer.ask.state), self._assets))
        finally:
            self._assets.is_overtaken = bool
        self._remedied = {answer.ask.state: planned}
        return replace(answer, planned=planned, is_final=True)

    def _sign(self, state: SignDraft) -> Sign:
        """Return the sign of a state; where only the text is new, what else it came to last time is taken."""
        if self._read is not None and self._read[0] == state.said:
            return with_text(self._read[1], state.text)
        values = state.effective(self.house)
        sign = build_sign(state.text, values, self.catalogue)
        named = {str(values.get(key, "")) for key in FROM_FILES}
        # A file of the person's own may change or go at any time, so that it is looked at each time.
        self._read = (state.said, sign) if named <= self._names else None
        return sign

    def _faults(self, state: SignDraft, problem: StudioError) -> dict[str, str]:
        """Return what is wrong, by field: each value is tried alone, so that several faults are told at once."""
        faults: dict[str, str] = {}
        for key, value in state.said:
            try:
                build_sign(_NO_NAME, {**self.house, **_company(key, state), key: value}, self.catalogue)
            except StudioError as alone:
                faults[key] = spoken(alone)
        if not faults:
            key = problem.option or _kind_of(problem)
            faults[key] = spoken(problem)
        return faults


def _company(key: str, state: SignDraft) -> dict[str, Value]:
    """Return the values without which one cannot be judged."""
    together = {"hole": ("blank",), "margin": ("blank",), "clearance": ("blank", "hole")}
    return {other: state.values[other] for other in together.get(key, ()) if other in state.values}


def _kind_of(problem: StudioError) -> str:
    if isinstance(problem, PictureError):
        return "artwork"
    return "face" if isinstance(problem, FontError) else TEXT


def _worst_first(planned: Plan) -> Plan:
    """Return the plan with its findings in the order in which they are numbered."""
    order = ("refuse", "warn", "note")
    return replace(planned, findings=tuple(sorted(planned.findings, key=lambda one: order.index(one.severity))))


def _curable(planned: Plan | None) -> bool:
    return planned is not None and any(finding.code in _REMEDIED for finding in planned.findings)
