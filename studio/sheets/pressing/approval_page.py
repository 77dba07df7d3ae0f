"""The approval page: what the customer says yes to, in one sheet that goes by e-mail.

Invariant: the proof on it is the right way round and never fit for pressing; the text stands exactly as typed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from studio.basics.units import MM_PER_INCH, round_half_up, spoken_size
from studio.geometry.shapes import Box
from studio.model.paper import Paper
from studio.model.sign import Sign
from studio.sheets.page import Page, ScaledPicture, Shape, picture_of_pixels
from studio.sheets.pressing.text_column import BODY_MM, GREY, LEADING, RULE, TextColumn, rectangle, segment
from studio.sheets.words import Setter, length_mm, set_line

PROOF_DPI: Final = 150.0
"""Of the proof on the page: sharp on a screen and on paper, and small enough for e-mail."""
_SCALES: Final = (1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.45, 0.4, 0.35, 0.3, 0.25, 0.2, 0.15, 0.1, 0.05)
_LARGEST_MM: Final = 12.0
_SMALLEST_MM: Final = 6.0
_PROOF_SHARES: Final = (0.42, 0.35, 0.28, 0.22)
"""Of the page's height, at most: the largest at which all else stands on the same page."""
NO_WHITE: Final = "Dye has no white: whatever is white on the design shows the surface's own colour."
_OWN_WOOD: Final = (
    "Every piece of wood is its own: its grain, tone and colour differ from this picture and from each other."
)


@dataclass(frozen=True, slots=True)
class Approval:
    """What is approved, in words.

    Attributes:
        texts: Each text as typed, its lines.
        faces: The face of each text.
        size: Of the blank.
        surface: What the dye goes into.
        spelled: Each text letter by letter.
        confused: A line for each letter that is easily taken for another.
        order: The order's number; may be empty.
    """

    texts: tuple[tuple[str, ...], ...]
    faces: tuple[str, ...]
    size: str
    surface: str
    spelled: tuple[str, ...]
    confused: tuple[str, ...]
    order: str = ""


def approval_of(sign: Sign, *, spelled: tuple[str, ...] = (), confused: tuple[str, ...] = ()) -> Approval:
    """Return what is approved of a sign.

    Args:
        sign: The sign.
        spelled: Each of its texts letter by letter.
        confused: A line for each letter that is easily taken for another.
    """
    blank = sign.blank
    shape = {"round": "round", "oval": "oval", "rect": "rectangle"}[blank.shape]
    surface = f"{sign.surface.name} ({sign.surface.description})" if sign.surface.description else sign.surface.name
    return Approval(
        tuple(tuple(order.text.split("\n")) for order in sign.letterings),
        tuple(order.face.name for order in sign.letterings),
        f"{shape}, {spoken_size(blank.width_mm, blank.height_mm)}",
        surface,
        spelled,
        confused,
        sign.order,
    )


def proof_scale(width_mm: float, height_mm: float, paper: Paper, share: float = _PROOF_SHARES[0]) -> float:
    """Return the scale at which a proof is shown on a page: true size where it fits, else the largest plain one."""
    wide, high = TextColumn.width_on(paper), paper.height_mm * share
    return next((scale for scale in _SCALES if width_mm * scale <= wide and height_mm * scale <= high), _SCALES[-1])


def proof_px(width_mm: float, height_mm: float, paper: Paper) -> int:
    """Return the pixels along the longer side that a proof on the page needs."""
    shown_mm = max(width_mm, height_mm) * proof_scale(width_mm, height_mm, paper)
    return max(1, round_half_up(shown_mm / MM_PER_INCH * PROOF_DPI))


def approval_pages(
    sign: Sign, approval: Approval, proof_rgba: NDArray[np.uint8], paper: Paper, setter: Setter, *, today: str = ""
) -> tuple[Page, ...]:
    """Return the approval page; long texts go on to a second one.

    Args:
        sign: The sign.
        approval: What is approved of it.
        proof_rgba: Its proof, `proof_px` along the longer side, shape (rows, columns, 4).
        paper: Size of the page.
        setter: Shapes lines of text.
        today: The day it is sent, in words; may be empty.
    """
    for share in _PROOF_SHARES:
        pages = _pages(sign, approval, proof_rgba, paper, setter, today, share)
        if len(pages) == 1:
            return pages
    return _pages(sign, approval, proof_rgba, paper, setter, today, _PROOF_SHARES[0])


def _pages(
    sign: Sign,
    approval: Approval,
    proof_rgba: NDArray[np.uint8],
    paper: Paper,
    setter: Setter,
    today: str,
    share: float,
) -> tuple[Page, ...]:
    """Return the pages with a proof of at most a share of the page's height."""
    column = TextColumn(paper, setter, foot="A proof, the right way round. Not for pressing.")
    column.line("Your sign: please check, and say yes", em_mm=7.5)
    about = ", ".join(filter(None, (f"Order {approval.order}" if approval.order else "", today)))
    if about:
        column.line(about, colour=GREY)
    column.space(2.0)
    _draw_proof(column, sign, proof_rgba, paper, share)
    column.heading("Exactly this text")
    for lines in approval.texts:
        for line in lines:
            fitting = column.width_mm / max(length_mm(line, setter, 1.0), 1e-6)
            if fitting >= _SMALLEST_MM:
                column.line(line, em_mm=min(_LARGEST_MM, fitting))
            else:
                column.paragraph(line, em_mm=_SMALLEST_MM)  # never cut short: it is what is approved
        column.space(1.0)
    for spelling in approval.spelled:
        column.paragraph(f"Spelled: {spelling}", em_mm=4.2)
    for line in approval.confused:
        column.paragraph(line, em_mm=BODY_MM, colour=GREY)
    column.space(2.0)
    column.heading("On this piece")
    facts = (
        f"Blank: {approval.size}. Surface: {approval.surface}.",
        f"Lettering: {', '.join(dict.fromkeys(approval.faces))}.",
        NO_WHITE,
        _OWN_WOOD,
    )
    column.bullets(facts)
    column.space(3.0)
    _draw_yes(column)
    return column.pages()


def _draw_proof(column: TextColumn, sign: Sign, proof_rgba: NDArray[np.uint8], paper: Paper, share: float) -> None:
    """Draw the proof with its scale in words below."""
    blank = sign.blank
    scale = proof_scale(blank.width_mm, blank.height_mm, paper, share)
    width, height = blank.width_mm * scale, blank.height_mm * scale
    left, top = (paper.width_mm - width) / 2, column.y_mm
    picture = picture_of_pixels(on_white(proof_rgba), PROOF_DPI)
    column.add(ScaledPicture(picture, Box(left, top - height, left + width, top)))
    column.space(height + 1.5)
    told = "Shown at its true size" if scale == 1 else f"Shown at {scale * 100:g} % of its true size"
    words = f"{told}, which is {spoken_size(blank.width_mm, blank.height_mm)}. Print at 100 %, not fitted to the page."
    column.line(words, em_mm=3.0, anchor="middle", colour=GREY)
    column.space(1.5)


def _draw_yes(column: TextColumn) -> None:
    """Draw the boxes to tick and the lines for name and date."""
    column.need(25)
    size = 4.5
    for text in ("Yes, make it exactly like this.", "No, please change:"):
        box = rectangle(column.left_mm, column.y_mm - size, column.left_mm + size, column.y_mm)
        column.add(Shape((box,), None, GREY, 0.4))
        y = column.y_mm - size + 1.0
        column.add(set_line(text, column.setter, x_mm=column.left_mm + size + 3, y_mm=y, em_mm=4.2))
        if text.startswith("No"):
            start = column.left_mm + size + 5 + length_mm(text, column.setter, 4.2)
            column.add(segment(start, y - 0.6, column.right_mm, y - 0.6, colour=RULE, line_mm=0.3))
        column.space(size + 3.5)
    column.space(4.0)
    middle = (column.left_mm + column.right_mm) / 2 + 10
    for label, start, stop in (("Name", column.left_mm, middle - 6), ("Date", middle, column.right_mm)):
        y = column.y_mm - BODY_MM
        column.add(set_line(label, column.setter, x_mm=start, y_mm=y, em_mm=BODY_MM, colour=GREY))
        begin = start + length_mm(label, column.setter, BODY_MM) + 2
        column.add(segment(begin, y - 0.6, stop, y - 0.6, colour=RULE, line_mm=0.3))
    column.space(BODY_MM * LEADING)


def on_white(rgba: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return pixels with alpha laid on white, shape (rows, columns, 3)."""
    share = rgba[..., 3:].astype(np.uint16)
    laid: NDArray[np.uint8] = ((rgba[..., :3] * share + 255 * (255 - share) + 127) // 255).astype(np.uint8)
    return laid
