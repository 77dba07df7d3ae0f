"""Artwork at its printed size: fine enough, and reaching the bleed; what is offered really helps."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from studio.basics.colour import WHITE
from studio.checks.artwork_quality import picture_findings
from studio.cli.wording import remedy_of
from studio.model.artwork import Artwork, ArtworkSetting
from studio.model.blank import Blank
from studio.model.finding import Finding
from studio.model.sign import LetteringOrder, Sign
from studio.model.surface import Surface

ROUND = Blank("round", "round", 254.0, 254.0)
BOARD = Blank("board", "rect", 200.0, 120.0)


def sign_of(setting: ArtworkSetting | None, blank: Blank = ROUND) -> Sign:
    """Return a sign with an artwork, 3 mm of bleed."""
    return Sign(blank, Surface("film", 0.17, WHITE), (LetteringOrder("Tess"),), artwork=setting)


def art(width_px: int, height_px: int, width_mm: float | None, **changes: object) -> ArtworkSetting:
    """Return a picture laid at a width."""
    return ArtworkSetting(
        Artwork("waves", "-", width_px, height_px, width_mm, full_bleed=bool(changes.pop("full_bleed", False))),
        **changes,  # type: ignore[arg-type]
    )


def width_offered(finding: Finding) -> float:
    """Return the width that a remedy names."""
    match = re.search(r"--artwork-fit (\d+(?:\.\d+)?)mm", remedy_of(finding))
    assert match is not None, finding.remedy
    return float(match[1])


def at_width(setting: ArtworkSetting, width_mm: float) -> ArtworkSetting:
    """Return the artwork laid at another width."""
    return replace(setting, fit="width", width_mm=width_mm)


@pytest.mark.parametrize(
    ("dpi", "codes"),
    [
        (300, []),
        (200, []),
        (199, ["artwork-coarse"]),
        (100, ["artwork-coarse"]),
        (99, ["artwork-too-coarse"]),
        (30, ["artwork-too-coarse"]),
    ],
)
def test_how_fine_a_picture_must_be(dpi: int, codes: list[str]) -> None:
    """Under 200 dpi is warned of, under 100 refused, with the figure measured."""
    findings = picture_findings(sign_of(art(dpi * 10, dpi * 10, 254.0)))
    assert [one.code for one in findings] == codes
    for finding in findings:
        assert finding.measured == pytest.approx(dpi, abs=0.05)
        assert finding.limit == (100 if dpi < 100 else 200)
        assert finding.severity == ("refuse" if dpi < 100 else "warn")


@given(st.integers(200, 3000), st.integers(200, 3000), st.floats(100, 900))
def test_the_width_offered_is_fine_enough(width_px: int, height_px: int, width_mm: float) -> None:
    """At the width that a coarse picture's remedy names, the finding is gone, and 3 mm wider it is there."""
    setting = art(width_px, height_px, width_mm)
    for finding in picture_findings(sign_of(setting)):
        offered = width_offered(finding)
        codes = [one.code for one in picture_findings(sign_of(at_width(setting, offered)))]
        assert finding.code not in codes
        wider = [one.code for one in picture_findings(sign_of(at_width(setting, offered * 1.02 + 3)))]
        assert "artwork-coarse" in wider or "artwork-too-coarse" in wider


def test_a_sign_without_artwork_has_no_such_findings() -> None:
    """Bare wood is neither coarse nor short."""
    assert picture_findings(sign_of(None)) == ()


@pytest.mark.parametrize(
    ("width_mm", "x_mm", "turn_deg", "short_mm"),
    [(260.0, 0, 0, None), (259.8, 0, 0, 0.1), (250.0, 0, 0, 5.0), (260.0, 4, 0, 4.0), (260.0, 0, 45, None)],
)
def test_bleed_on_a_round(width_mm: float, x_mm: float, turn_deg: float, short_mm: float | None) -> None:
    """A square picture covers a round and its bleed however it is turned; smaller or moved it ends short."""
    setting = art(4000, 4000, width_mm, full_bleed=True, x_mm=x_mm, turn_rad=math.radians(turn_deg))
    findings = picture_findings(sign_of(setting))
    assert [one.code for one in findings] == ([] if short_mm is None else ["artwork-short-of-bleed"])
    if short_mm is not None:
        assert findings[0].measured == pytest.approx(3.0 - short_mm, abs=0.02)
        assert findings[0].limit == 3.0 and f"{short_mm:.1f} mm short" in findings[0].message


def test_a_turned_picture_ends_short_on_a_board() -> None:
    """A picture of the board's own size no longer covers its corners once it is turned by 10 degrees."""
    straight = art(4000, 2447, 206.0, full_bleed=True)
    assert picture_findings(sign_of(straight, BOARD)) == ()
    (finding,) = picture_findings(sign_of(replace(straight, turn_rad=math.radians(10)), BOARD))
    assert finding.code == "artwork-short-of-bleed"


def test_a_picture_not_meant_for_the_edge_may_end_before_it() -> None:
    """Only artwork made to run off the edge, or asked to cover, is told to be short."""
    setting = art(4000, 4000, 100.0)
    assert picture_findings(sign_of(setting)) == ()
    moved = replace(setting, fit="cover", x_mm=9.0)
    assert [one.code for one in picture_findings(sign_of(moved))] == ["artwork-short-of-bleed"]


@given(
    st.sampled_from([ROUND, BOARD, Blank("oval", "oval", 300.0, 150.0)]),
    st.floats(60, 250),
    st.floats(-30, 30),
    st.floats(-30, 30),
    st.floats(-3, 3),
)
def test_the_width_offered_reaches_the_bleed(
    blank: Blank, width_mm: float, x_mm: float, y_mm: float, turn_rad: float
) -> None:
    """However a picture is moved and turned, the width offered covers the bleed, and one millimetre less does not."""
    setting = art(9000, 7000, width_mm, full_bleed=True, x_mm=x_mm, y_mm=y_mm, turn_rad=turn_rad)
    findings = picture_findings(sign_of(setting, blank))
    assume(findings and "--artwork-fit" in remedy_of(findings[0]))
    offered = width_offered(findings[0])
    assert "artwork-short-of-bleed" not in [
        one.code for one in picture_findings(sign_of(at_width(setting, offered), blank))
    ]
    assert "artwork-short-of-bleed" in [
        one.code for one in picture_findings(sign_of(at_width(setting, offered - 1), blank))
    ]
