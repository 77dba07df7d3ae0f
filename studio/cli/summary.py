"""A sign told in sentences: how it fits, what was found, what was written, and how to print it."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Final

from studio.basics.units import spoken_size
from studio.cli.wording import message_of, remedy_of
from studio.model.finding import SAID
from studio.render.canvas import canvas_of
from studio.render.paper import fits

if TYPE_CHECKING:
    from collections.abc import Iterable

    from studio.model.finding import Finding
    from studio.model.paper import Paper
    from studio.model.sign import Sign
    from studio.pipeline.types import Plan

SAFETY: Final = (
    "Press: hot enough to burn; wear gloves, air the room, never leave it alone. The makers' instructions for press, "
    "ink and blank come first."
)
_WIDTH: Final = 110
_PLACES: Final = {"arc-top": "along the top", "arc-bottom": "along the bottom", "box": "in a box"}


def fit_lines(planned: Plan) -> tuple[str, ...]:
    """Return how each lettering stands."""
    if planned.placement is None:
        return ()
    lines = []
    for lettering, fine in zip(planned.placement.letterings, planned.thickness, strict=True):
        caps_mm = lettering.line_caps_mm if lettering.line_sizes else (lettering.cap_height_mm,)
        caps = " / ".join(f"{cap_mm:.1f}" for cap_mm in caps_mm)
        face = lettering.face if lettering.weight is None else f"{lettering.face} {lettering.weight:g}"
        where = f"{_PLACES[lettering.layout]}{_turn(lettering.sweep_deg)}{_lines(len(lettering.lines))}"
        lines.append(f"“{' / '.join(lettering.lines)}”: capitals {caps} mm, {face} {where}")
        if lettering.composed is not None:
            lines.append(f"  {lettering.composed.reason}")
        limits = planned.sign.surface
        parts = []
        if fine.thinnest_stroke_mm is not None:
            parts.append(f"thinnest stroke {fine.thinnest_stroke_mm:.2f} mm (finest {limits.finest_stroke_mm:.2f})")
        if fine.thinnest_gap_mm is not None:
            parts.append(f"narrowest gap {fine.thinnest_gap_mm:.2f} mm (finest {limits.finest_gap_mm:.2f})")
        if parts:
            lines.append(f"  {', '.join(parts)}, on {limits.name}")
    return tuple(lines)


def spelling_lines(planned: Plan) -> tuple[str, ...]:
    """Return each text spelled letter by letter, where it has letters that could be mistaken for others."""
    texts = zip(planned.sign.letterings, planned.spelled, strict=True)
    return tuple(f"Spelled: {letters}" for order, letters in texts if not _is_everyday(order.text))


def _is_everyday(text: str) -> bool:
    """Whether a text holds plain letters and everyday signs alone, which no one takes for another."""
    return text.isascii() and not any(sign in text for sign in "0123456789'\"`|")


def finding_lines(findings: tuple[Finding, ...]) -> tuple[str, ...]:
    """Return every finding with its remedy, the worst first."""
    order = ("refuse", "warn", "note")
    lines: list[str] = []
    ranked = sorted(findings, key=lambda finding: order.index(finding.severity))
    last = {(finding.code, remedy_of(finding)): number for number, finding in enumerate(ranked)}
    for number, finding in enumerate(ranked):
        head = f"{SAID[finding.severity]:<7} {finding.code}: "
        remedy = remedy_of(finding)  # one remedy for several places is said after the last
        told = f"{message_of(finding)} {remedy if last[finding.code, remedy] == number else ''}".strip()
        lines += textwrap.wrap(
            head + told, _WIDTH, subsequent_indent=" " * 8, break_long_words=False, break_on_hyphens=False
        )
    return tuple(lines)


def print_lines(sign: Sign, papers: Iterable[Paper]) -> tuple[str, ...]:
    """Return the print's size, the paper it fits, and how to print it."""
    canvas = canvas_of(sign)
    sheets = fits(canvas.width_mm, canvas.height_mm, papers)
    common = [name for name in sheets if name in ("letter", "A4")]
    size = spoken_size(canvas.width_mm, canvas.height_mm)
    if common:
        paper = f"It fits {' and '.join(common)} paper."
    elif sheets:
        others = ", ".join(sheets[:3])
        paper = f"It is too large for letter or A4; it fits {others}, and --paper letter lays it on several sheets."
    else:
        paper = "It does not fit a common sheet whole: --paper letter lays it on several, --paper roll:24in on a roll."
    return (
        f"Print: {size}, {canvas.width_px} x {canvas.height_px} px at {sign.dpi} dpi. {paper}",
        "It is already mirrored: leave the printer's own mirror off, and print at 100 %, not fitted to the page.",
    )


def _turn(sweep_deg: float) -> str:
    return f", {sweep_deg:.0f} degrees" if sweep_deg else ""


def _lines(count: int) -> str:
    return "" if count == 1 else f", {count} lines"
