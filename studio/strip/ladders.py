"""Ladders of lines, gaps, dots and holes: how much contrast each width keeps, and the finest that keeps 70 %.

Free of any model: what a place shows, against the solid and the bare wood beside it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from studio.model.dye import FINE, LOST
from studio.strip.bare_light import StripView, around
from studio.strip.layout import Direction, Round, Stripe, StripLayout

Kind: TypeAlias = Literal["line", "gap", "dot", "counter"]
Grade: TypeAlias = Literal["good", "soft", "lost"]
_END_MM: Final = 1.3
"""Left out at both ends of a stripe, where dye comes in or goes out lengthways."""


@dataclass(frozen=True, slots=True)
class Rung:
    """One width of a ladder.

    Attributes:
        x_mm: Its place on the strip.
        kept: The contrast it keeps, 0 lost to 1 whole; noise can put it a little outside.
    """

    kind: Kind
    direction: Direction | None
    width_mm: float
    x_mm: float
    y_mm: float
    kept: float

    @property
    def grade(self) -> Grade:
        """Good from 70 %, lost under 50 %: grades A and C of modulation in ISO/IEC 15416."""
        return "good" if self.kept >= FINE else "soft" if self.kept >= LOST else "lost"


@dataclass(frozen=True, slots=True)
class Finest:
    """The finest width of a ladder that keeps 70 %.

    Attributes:
        width_mm: Between two rungs where 70 % lies between them; the finest rung where all keep it; `None` where none.
        is_finest_rung: Whether even the finest rung keeps 70 %, so that the true figure is smaller.
    """

    width_mm: float | None
    is_finest_rung: bool = False


def read_ladders(view: StripView, layout: StripLayout, solid: float) -> tuple[Rung, ...]:
    """Return all rungs of all ladders.

    Args:
        view: The picture.
        layout: The strip.
        solid: The solid's share of bare light.
    """
    rungs: list[Rung] = []
    for direction in ("along", "across"):
        for kind, stripes in (("line", layout.lines), ("gap", layout.gaps)):
            held = [stripe for stripe in stripes if stripe.direction == direction]
            rungs += _stripes(view, held, "line" if kind == "line" else "gap", solid)
    for dot in layout.dots:
        rungs.append(_round(view, dot, "dot", solid))
    for hole in layout.counters:
        rungs.append(_round(view, hole, "counter", solid))
    return tuple(rungs)


def finest(rungs: tuple[Rung, ...], kind: Kind, direction: Direction | None = None) -> Finest:
    """Return the finest width of a kind that keeps 70 %, by going from the widest down.

    Args:
        rungs: All rungs.
        kind: Of which ladder.
        direction: In which direction; `None` for dots and holes.
    """
    ladder = sorted((r for r in rungs if r.kind == kind and r.direction == direction), key=lambda r: -r.width_mm)
    wider: Rung | None = None
    for rung in ladder:
        if rung.kept < FINE:
            if wider is None:
                return Finest(None)
            share = (FINE - rung.kept) / max(wider.kept - rung.kept, 1e-6)
            return Finest(rung.width_mm + share * (wider.width_mm - rung.width_mm))
        wider = rung
    return Finest(wider.width_mm, is_finest_rung=True) if wider is not None else Finest(None)


def _stripes(view: StripView, stripes: list[Stripe], kind: Kind, solid: float) -> list[Rung]:
    """Return the rungs of one ladder; where it lies is told by its clear rungs, for the fine ones too."""
    profiles = [_profile(view, stripe) for stripe in stripes]
    moves = []
    for stripe, (away, share) in zip(stripes, profiles, strict=True):
        if stripe.width_mm >= 0.4 and len(away) > 30:
            moves.append((_middle(stripe), _moved(stripe, away, share, kind)))
    line = np.zeros(2)
    if len(moves) >= 4:
        places, found = np.array(moves).T
        sound = np.abs(found - np.median(found)) < 0.15
        if sound.sum() >= 4:
            line = np.polyfit(places[sound], found[sound], 1)
    return [
        Rung(
            kind, stripe.direction, stripe.width_mm, stripe.x_mm, stripe.y_mm,
            _kept(away - float(np.polyval(line, _middle(stripe))), share, stripe, kind, solid, view),
        )
        for stripe, (away, share) in zip(stripes, profiles, strict=True)
    ]  # fmt: skip


def _middle(stripe: Stripe) -> float:
    return stripe.x_mm if stripe.direction == "along" else stripe.y_mm


def _profile(view: StripView, stripe: Stripe) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return distances from a stripe's middle and the light there, of the pixels of its middle length."""
    reach, half = stripe.width_mm / 2 + 1.2, stripe.length_mm / 2 - _END_MM
    half_x, half_y = (reach, half) if stripe.direction == "along" else (half, reach)
    pixels = view.pixels(around(stripe.x_mm, stripe.y_mm, half_x, half_y))
    offset = pixels.at_mm - (stripe.x_mm, stripe.y_mm)
    across, along = (offset[:, 0], offset[:, 1]) if stripe.direction == "along" else (offset[:, 1], offset[:, 0])
    near = (np.abs(along) <= half) & (np.abs(across) <= reach)
    return across[near], pixels.share[near].astype(np.float64)


def _moved(stripe: Stripe, away: NDArray[np.float64], share: NDArray[np.float64], kind: Kind) -> float:
    """Return how far a stripe's middle lies from its place: the centre of its darkness, or of its light."""
    near = np.abs(away) < stripe.width_mm / 2 + 1.1
    weight = np.abs(share[near] - (share[near].max() if kind == "line" else share[near].min()))
    weight = np.clip(weight - 0.3 * float(np.percentile(weight, 95)), 0, None)
    return float((weight * away[near]).sum() / max(weight.sum(), 1e-9))


def _kept(
    away: NDArray[np.float64],
    share: NDArray[np.float64],
    stripe: Stripe,
    kind: Kind,
    solid: float,
    view: StripView,
) -> float:
    """Return the contrast that a stripe keeps at its middle."""
    core = max(0.15 * stripe.width_mm, 0.6 / view.pose.px_per_mm(stripe.x_mm, stripe.y_mm))
    middle = np.abs(away) <= core
    if middle.sum() < 4:
        return 0.0
    seen = float(np.mean(share[middle]))
    return (1 - seen) / (1 - solid) if kind == "line" else (seen - solid) / (1 - solid)


def _round(view: StripView, mark: Round, kind: Kind, solid: float) -> Rung:
    """Return the rung of a dot or a hole: the mean of its middle, at the place where it is clearest."""
    reach = mark.diameter_mm / 2 + 0.6
    pixels = view.pixels(around(mark.x_mm, mark.y_mm, reach, reach))
    offset = pixels.at_mm - (mark.x_mm, mark.y_mm)
    px_per_mm = view.pose.px_per_mm(mark.x_mm, mark.y_mm)
    core = max(0.15 * mark.diameter_mm, 0.7 / px_per_mm)
    near = np.hypot(*offset.T) <= core
    if near.sum() < 1:
        return Rung(kind, None, mark.diameter_mm, mark.x_mm, mark.y_mm, 0.0)
    seen = float(np.mean(pixels.share[near]))
    kept = (1 - seen) / (1 - solid) if kind == "dot" else (seen - solid) / (1 - solid)
    return Rung(kind, None, mark.diameter_mm, mark.x_mm, mark.y_mm, kept)
