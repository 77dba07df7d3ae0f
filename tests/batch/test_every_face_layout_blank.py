"""Every shipped face on every layout of every catalogue blank: set within its room as large as can be, or refused.

Nothing is sampled: 16 faces x 3 layouts x 10 blanks x 4 names. The safe zone and the holes are judged on all outline
points and edges, and on a raster of 60 dpi, where a pixel counts as inked when the ink covers half of it.
"""

from __future__ import annotations

from collections import Counter
from functools import cache

import numpy as np
import pytest

from studio.basics.colour import Colour
from studio.checks.bounds import SLACK_MM, no_fit_finding, room_findings
from studio.geometry.shapes import Points
from studio.layout.arrange import Wanted, lay
from studio.layout.fit import Limits
from studio.layout.open_area import OpenArea
from studio.layout.placement import NoFit, PlacedLettering
from studio.layout.search import fit_text
from studio.layout.shaped_text import ShapedText
from studio.model.blank import Blank
from studio.model.sign import FaceChoice, Layout, LetteringOrder, Sign
from studio.pipeline.cache import area_for
from studio.pipeline.plan import plan
from studio.render.canvas import lay_canvas
from studio.render.coverage import coverage
from studio.text.font import Face
from tests.shared import assets, catalogue

pytestmark = pytest.mark.slow

NAMES = ("Ida", "Jörg & Bo", "Quigley’s Lake House", "Wilhelmina & Gottfried 2019!")
LAYOUTS: tuple[Layout, ...] = ("arc-top", "arc-bottom", "box")
DPI = 60
FACES = 16
COUNTS: Counter[str] = Counter()


def faces() -> list[str]:
    """Return the shipped faces' names."""
    return [entry.name for entry in catalogue().faces if entry.is_shipped]


@cache
def area_of(blank: Blank) -> OpenArea:
    """Return a bare blank's open area."""
    return area_for(sign_of("x", "box", blank, "Nunito"), assets())


def sign_of(text: str, layout: Layout, blank: Blank, face: str) -> Sign:
    """Return a bare sign."""
    order = LetteringOrder(text, layout=layout, face=FaceChoice(face), fallback=False)
    return Sign(blank, catalogue().surface("painted"), (order,))


@cache
def forbidden(blank: Blank) -> np.ndarray[tuple[int, int], np.dtype[np.bool_]]:
    """Return the pixels whose middle lies outside the safe zone, or in a hole's clearance.

    By a twentieth of a pixel or more: the rasteriser takes coordinates in 64ths.
    """
    window = lay_canvas(blank, bleed_mm=3, waste_mm=6, dpi=DPI).window
    columns = window.left_mm + (np.arange(window.width_px) + 0.5) / window.px_per_mm
    rows = window.top_mm - (np.arange(window.height_px) + 0.5) / window.px_per_mm
    middles = np.stack(np.meshgrid(columns, rows), axis=-1)
    area = area_of(blank)
    slack_mm = 0.05 / window.px_per_mm
    beyond = blank.rim.depth_mm(middles) < area.margin_mm - slack_mm
    for hole in blank.holes:
        away = np.hypot(middles[..., 0] - hole.x_mm, middles[..., 1] - hole.y_mm)
        beyond |= away < hole.diameter_mm / 2 + hole.clearance_mm - slack_mm
    return beyond


def ends_of(points: Points) -> Points:
    """Return where the edges of a closed contour end."""
    return np.roll(points, -1, axis=0)


def judge(lettering: PlacedLettering, blank: Blank) -> list[str]:
    """Return what of a lettering is beyond its room, judged on points, edges and pixels."""
    faults = []
    area = area_of(blank)
    points = np.concatenate(lettering.contours)
    if blank.rim.depth_mm(points).min() < area.margin_mm - SLACK_MM:
        faults.append("a point is outside the safe zone")
    starts, stops = points, np.concatenate([ends_of(contour) for contour in lettering.contours])
    for hole in blank.holes:
        to = np.array([hole.x_mm, hole.y_mm]) - starts
        way = stops - starts
        share = np.clip((to * way).sum(axis=1) / np.maximum((way**2).sum(axis=1), 1e-18), 0, 1)
        away = np.hypot(*(to - share[:, None] * way).T).min()
        if away < hole.diameter_mm / 2 + hole.clearance_mm - SLACK_MM:
            faults.append("an edge is in a hole's clearance")
    window = lay_canvas(blank, bleed_mm=3, waste_mm=6, dpi=DPI).window
    if (coverage(lettering.contours, window)[forbidden(blank)] >= 128).any():
        faults.append("an inked pixel is beyond the room")
    return faults


def larger_fits(wanted: Wanted, area: OpenArea, cap_mm: float, finest_gap_mm: float) -> bool:
    """Whether the text fits with its cap height fixed at 1 % more."""
    em_mm = cap_mm * 1.01 / wanted.setting.face.cap_height_em
    limits = Limits(em_mm, em_mm * (1 - 1e-6), wanted.order.sweep_rad, finest_gap_mm)
    return fit_text(wanted.order, wanted.setting, area, limits) is not None


def tried(face: Face, text: str, layout: Layout, blank: Blank) -> list[str]:
    """Fit one text one way and return what is wrong with the answer; counts what came out."""
    sign = sign_of(text, layout, blank, face.name)
    (order,) = sign.letterings
    wanted = Wanted(order, ShapedText(text, face), Colour(0, 0, 0))
    gap_mm = sign.surface.finest_gap_mm
    if wanted.setting.missing():
        COUNTS["refused, letters missing"] += 1
        refusal = plan(sign, assets(), remedies=False)
        named = any(finding.code == "letter-missing" and finding.message for finding in refusal.findings)
        return [] if refusal.status == "refused" and named else ["missing letters are not named"]
    laid = lay((wanted,), area_of(blank), gap_mm)
    if isinstance(laid, NoFit):
        COUNTS["refused, no room"] += 1
        finding = no_fit_finding(laid, text)
        return [] if finding.remedy and laid.reason in finding.message else ["a refusal does not say why"]
    COUNTS["set"] += 1
    faults = judge(laid.letterings[0], blank)
    faults += [finding.message for finding in room_findings(laid, area_of(blank))]
    if larger_fits(wanted, area_of(blank), laid.letterings[0].cap_height_mm, gap_mm):
        faults.append("1 % larger fits")
    return faults


def test_the_catalogue_is_whole() -> None:
    """Sixteen faces ship, and the names run from 3 to 28 letters."""
    assert len(faces()) == FACES
    assert (len(NAMES[0]), len(NAMES[-1])) == (3, 28)


@pytest.mark.parametrize("name", faces())
def test_every_layout_of_every_blank(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Each is refused with the reason, or inked nowhere beyond its room, and 1 % larger breaks a limit."""
    before, face = Counter(COUNTS), assets().face(FaceChoice(name))
    faults = [
        f"{blank.name}, {layout}, {text}: {fault}"
        for blank in catalogue().blanks
        for layout in LAYOUTS
        for text in NAMES
        for fault in tried(face, text, layout, blank)
    ]
    with capsys.disabled():
        print(f"\n{name}: {dict(COUNTS - before)}", end="")
    assert not faults
