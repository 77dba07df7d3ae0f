"""Signs composed for the tests here, and what is measured of them by other means than the program's own."""

from __future__ import annotations

import itertools
import os
import tomllib
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from studio.layout.placement import PlacedLettering
from studio.model.blank import Blank
from studio.model.options import Value
from studio.pipeline.plan import plan
from studio.pipeline.types import Plan
from studio.storage.sign_builder import build_sign
from tests.shared import assets, catalogue

HERE = Path(__file__).parent
IS_WHOLE = os.environ.get("COMPOSING_ALL") == "1"
"""Whether every face, blank and name is tried, which takes minutes, rather than some of each."""
BLANKS = {
    "R": "round-10in",
    "P": "plaque-12x6in",
    "O": "oval-12x8in",
    "T": "round-4in",
    "L": "plaque-16x5in",
}

Points = NDArray[np.float64]


def planned(text: str, **values: Value) -> Plan:
    """Return a sign composed and checked, without remedies; bare and balanced unless asked otherwise."""
    return plan(build_sign(text, {"artwork": "none", **values}, catalogue()), assets(), remedies=False)


def name_of(made: Plan) -> PlacedLettering:
    """Return the name of a sign."""
    assert made.placement is not None
    return made.placement.letterings[0]


def broken(lettering: PlacedLettering) -> str:
    """Return the lines of a text with | between, smaller ones in <>."""
    caps = lettering.line_caps_mm
    return "|".join(
        f"<{line}>" if cap < 0.9 * lettering.cap_height_mm else line
        for line, cap in zip(lettering.lines, caps, strict=True)
    )


def cases() -> list[tuple[str, str, str]]:
    """Return the expected breaks: where, which face, and what is right."""
    table = tomllib.loads((HERE / "breaks.toml").read_text(encoding="utf-8"))
    return [(where, face, expected) for where, face, expected in table["cases"]]


def ink_of(lettering: PlacedLettering) -> Points:
    """Return points close together on all edges of the ink, mm."""
    parts = []
    for contour in lettering.contours:
        ahead = np.roll(contour, -1, axis=0) - contour
        for share in (0.0, 0.25, 0.5, 0.75):
            parts.append(contour + share * ahead)
    return np.concatenate(parts)


def centroid_x_mm(lettering: PlacedLettering) -> float:
    """Return the middle of the ink's area, by the polygon formula."""
    area = moment = 0.0
    for contour in lettering.contours:
        x, y = contour.T
        cross = x * np.roll(y, -1) - np.roll(x, -1) * y
        area += cross.sum() / 2
        moment += ((x + np.roll(x, -1)) * cross).sum() / 6
    return float(moment / area)


def off_middle(letterings: list[PlacedLettering], blank: Blank) -> float:
    """Return twice how far the white above is off 0.473 of the white above and below, measured to the rim.

    White is the mean of all columns, of the nearest fifth of them, and of the box of the ink in its middle third.
    """
    ink = np.concatenate([ink_of(lettering) for lettering in letterings])
    left, right = ink[:, 0].min(), ink[:, 0].max()
    edges = np.linspace(left, right, 61)
    above, below, tops, bottoms = [], [], [], []
    for low, high in itertools.pairwise(edges):
        column = ink[(ink[:, 0] >= low) & (ink[:, 0] <= high), 1]
        if len(column):
            reach = _reach_mm(blank, (low + high) / 2)
            tops.append(reach)
            bottoms.append(reach)
            above.append(reach - column.max())
            below.append(reach + column.min())
    third = slice(len(tops) // 3, len(tops) - len(tops) // 3)
    box_above = float(np.mean(np.array(tops)[third])) - float(ink[:, 1].max())
    box_below = float(np.mean(np.array(bottoms)[third])) + float(ink[:, 1].min())
    up, down = _white(above, box_above), _white(below, box_below)
    return 2 * (up / (up + down) - 0.473)


def _white(columns: list[float], box: float) -> float:
    nearest = sorted(columns)[: max(1, len(columns) // 5)]
    return (float(np.mean(columns)) + float(np.mean(nearest)) + max(box, 0.0)) / 3


def _reach_mm(blank: Blank, x_mm: float) -> float:
    """Return how high above the middle the rim stands at a place, by halving."""
    low, high = 0.0, blank.height_mm
    for _ in range(40):
        middle = (low + high) / 2
        inside = float(blank.rim.depth_mm(np.array([[x_mm, middle]]))[0]) >= 0
        low, high = (middle, high) if inside else (low, middle)
    return low
