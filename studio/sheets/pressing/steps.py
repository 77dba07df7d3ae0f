"""The press card: cautions, and the steps of one surface in their order, with heat, time, and what lies where.

Invariant: cautions stand before any step; every step that takes heat says it in both scales, and no figure is made up
where the shop's settings are silent.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from studio.model.press_figures import Heat, HeatStep, PressFigures, Span

CAUTIONS: Final = (
    "The instructions of the makers of press, ink, paper, film, coating and blank come first, wherever they differ.",
    "The press burns: heat-proof gloves, long sleeves, nothing loose. Never leave it on alone; keep children away.",
    "Air the room: hot dye, paint, film and coating give off fumes. Let paint and coating dry before they meet heat.",
    "Cut film and paper away from your hand, with the piece cool and flat. Put blades away between cuts.",
    "For wiring, fire safety and ventilation follow your local codes, and ask a licensed professional.",
)
"""The usual cautions (common practice, no source)."""
IF_WARPED: Final = (
    "If the piece is warped: damp its bare side and weight it flat overnight; take thicker wood next time."
)
"""Common practice, no source."""
UNDER: Final = "a clean, flat sheet of plain card"
OVER: Final = "a clean sheet of plain paper, so that no dye reaches the press"
TAPE: Final = "Heat-resistant tape at the paper's edges, clear of the picture, so that it cannot shift."
"""What lies where, unless the shop's settings say otherwise (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step at the press.

    Attributes:
        title: What it is, in a few words.
        told: What to do, in sentences.
        heat: Heat of the press, where it takes any.
        span: How long it takes, where it is timed.
        takes_press: Whether the press is closed on this piece meanwhile.
    """

    title: str
    told: str
    heat: Heat | None = None
    span: Span | None = None
    takes_press: bool = False

    @property
    def figures(self) -> str:
        """Heat and time in words; empty where there are none."""
        parts = [self.heat.told if self.heat else "", self.span.told if self.span else ""]
        return ", ".join(part for part in parts if part)


@dataclass(frozen=True, slots=True)
class PressCard:
    """All that is to be known at the press for one surface.

    Attributes:
        surface: The surface's name, such as `film`, or `film on painted wood`.
        figures_from: Where the figures come from, and which piece they are for.
    """

    surface: str
    cautions: tuple[str, ...]
    steps: tuple[Step, ...]
    notes: tuple[str, ...]
    figures_from: str


def press_card(figures: PressFigures, *, paint: PressFigures | None = None) -> PressCard:
    """Return the press card of a surface.

    Args:
        figures: The figures of the surface.
        paint: Those of painted wood, where the surface lies on paint: it is painted and dried first.
    """
    name = figures.surface
    if paint is not None and not figures.paint:
        figures = replace(figures, paint=paint.paint, paint_dry=paint.paint_dry, moisture=paint.moisture)
        name = f"{name} on painted wood"
    steps = (*_prepared(figures), *_filmed(figures), *_laid(figures), *_pressed(figures))
    made_for = f", for a {figures.made_for}" if figures.made_for else ""
    source = figures.source or "your own settings"
    return PressCard(name, CAUTIONS, tuple(steps), (*figures.notes, IF_WARPED), f"{source}{made_for}")


def _prepared(figures: PressFigures) -> list[Step]:
    """Return what comes before film and print: sheets off, paint, moisture out, coat."""
    steps = []
    if figures.peel_sheets:
        steps.append(Step("Protective sheets off", "Peel the protective sheets off both sides."))
    if figures.paint:
        steps.append(
            Step(
                "Paint", f"Paint the face with {figures.paint}, thin and even, and let it dry.", span=figures.paint_dry
            )
        )
    if figures.moisture:
        told = (
            "Press the wood alone, before anything else, to drive the moisture out; open now and then to let steam go."
        )
        steps.append(_heated("Moisture out", told, figures.moisture))
    if figures.coat:
        steps.append(
            Step(
                "Coat",
                f"Put {_article(figures.coat)} on the face, thin and even, and let it dry.",
                span=figures.coat_dry,
            )
        )
    return steps


def _filmed(figures: PressFigures) -> list[Step]:
    """Return how a film gets on to the wood."""
    steps = []
    if figures.lint_roll:
        steps.append(Step("Lint-roll", "Roll the face with a lint roller: every speck shows under the film."))
    if figures.film_on:
        side = f", {figures.film_side}" if figures.film_side else ""
        told = f"Lay the film on the face{side}, a clean sheet of paper over it, and press."
        steps.append(_heated("Film on", told, figures.film_on))
    if figures.film_cool:
        steps.append(Step("Film cools", "Let it cool, flat.", span=figures.film_cool))
    if figures.film_finish:
        steps.append(Step("Finish the film", figures.film_finish))
    return steps


def _laid(figures: PressFigures) -> list[Step]:
    """Return how the print is made ready and what lies under and over."""
    steps = [Step("Edges of the paper", _edges(figures))]
    if figures.preheat:
        told = "Warm the blank in the press, empty, at the heat that it is pressed at."
        steps.append(Step("Preheat", told, figures.press.heat, figures.preheat, takes_press=True))
    steps.append(
        Step(
            "Print on",
            "Lay the print face down, its arrow up, its cross on the centre of the blank. " + (figures.tape or TAPE),
        )
    )
    steps.append(
        Step("Under and over", f"Under the wood: {figures.under or UNDER}. Over the paper: {figures.over or OVER}.")
    )
    return steps


def _pressed(figures: PressFigures) -> list[Step]:
    """Return the press itself, and what follows it."""
    steps = [_heated("Press", "Close the press, even pressure over the whole piece.", figures.press)]
    if figures.cool_first:
        told = "Let it cool before you lift the paper: a warm print that shifts leaves a ghost."
        steps.append(Step("Cool", f"{told} {figures.lift}".strip()))
        steps.append(Step("Lift the paper", "Lift it straight up in one go."))
    else:
        steps.append(
            Step(
                "Lift the paper",
                f"Take the piece out with gloves; lift the paper in one go, without sliding it. {figures.lift}".strip(),
            )
        )
    steps.append(Step("Cool", "Let the piece cool lying flat, nothing on it, before you touch the face."))
    return steps


def _edges(figures: PressFigures) -> str:
    words = {
        True: "Feather them: tear the paper's edges by hand, outside the marks, so that no hard line presses in.",
        False: "Do not feather (tear) the paper's edges.",
        None: "Feathering (torn edges): no advice for this surface; try it on scrap.",
    }[figures.feather]
    if figures.trim_paper is False:
        return f"{words} Do not trim the paper either."
    if figures.trim_paper:
        return f"{words} Trim the paper to the corner marks."
    return words


def _heated(title: str, told: str, step: HeatStep) -> Step:
    return Step(title, told, step.heat, step.span, takes_press=True)


def _article(coat: str) -> str:
    return coat if coat.split(" ")[0] in ("one", "two", "a", "an") else f"a coat of {coat}"
