"""The strip's reader against published methods, closed forms and general-purpose libraries."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import ndimage
from skimage.transform import ProjectiveTransform

from studio.model.dye import MIXINGS
from studio.production.strip_files import set_line
from studio.strip.drawing import strip_png
from studio.strip.edges import Edge, EdgeFit, edge_light
from studio.strip.ladders import Rung
from studio.strip.layout import RINGS_MM, SQUARE_MM, strip_layout
from studio.strip.patches import PatchReading, tone_curve
from studio.strip.pose import Pose, fitted
from studio.strip.reading import read_strip
from studio.strip.spread import judged
from tests.strip.simulator import Camera, Press, linear, photographed, pressed

Array = NDArray[np.float64]


def esfr_mtf50(light: Array) -> float:
    """MTF50 in cycles a pixel of a near-vertical edge, by the e-SFR steps of ISO 12233 (2014/2017, text excerpt).

    Edge found row by row as the centroid of the derivative, line fitted, pixels projected into bins of a quarter
    pixel, derivative [-1/2 0 1/2], Hamming window, discrete Fourier transform, derivative's own response divided out.
    """
    derivative = np.abs(np.diff(light, axis=1))
    columns = np.arange(derivative.shape[1]) + 1.0
    window = np.hamming(derivative.shape[1])
    places = (derivative * window * columns).sum(1) / (derivative * window).sum(1)
    slope, start = np.polyfit(np.arange(len(places)), places, 1)
    row, column = np.mgrid[: light.shape[0], : light.shape[1]]
    away = (column + 0.5 - (start + slope * row)) * math.cos(math.atan(slope))
    bins = np.floor((away - away.min()) * 4).astype(int)
    count = np.bincount(bins.ravel())
    spread = np.bincount(bins.ravel(), light.ravel())[count > 0] / count[count > 0]
    line = np.convolve(spread, [0.5, 0.0, -0.5], "valid")
    centre = int(np.argmax(np.abs(ndimage.gaussian_filter1d(line, 4))))
    half = min(centre, len(line) - centre - 1)
    line = line[centre - half : centre + half + 1] * np.hamming(2 * half + 1)
    padded = np.zeros(8192)
    padded[: len(line)] = line
    mtf = np.abs(np.fft.rfft(padded))
    frequency = np.fft.rfftfreq(8192, 0.25)
    response = np.sinc(2 * frequency * 0.25)  # sin(2 pi f h) / (2 pi f h) at h = a quarter pixel
    mtf = mtf / np.maximum(response, 0.1)
    mtf /= mtf[0]
    below = int(np.argmax(mtf < 0.5))
    share = (mtf[below - 1] - 0.5) / (mtf[below - 1] - mtf[below])
    return float(frequency[below - 1] + share * (frequency[below] - frequency[below - 1]))


def test_a_light_blurred_edge_agrees_with_iso_12233() -> None:
    """On an edge blurred as light, e-SFR's MTF50 and the fit give the same width within 3 %.

    Source: ISO 12233 e-SFR; MTF50 x s = 0.18739063 for a Gaussian (closed form sqrt(ln 2 / 2) / pi).
    """
    scene = pressed(strip_png(set_line), Press(along_mm=0.30, across_mm=0.30, mixing="cover", texture=0.0), 1)
    codes = photographed(scene, Camera(px_per_mm=20), 1)
    reading = read_strip(codes)
    square = strip_layout().squares[0]
    normal = square.turn_rad + math.pi  # the square's left edge
    middle = np.array(
        [[square.x_mm + math.cos(normal) * SQUARE_MM / 2, square.y_mm + math.sin(normal) * SQUARE_MM / 2]]
    )
    column, row = reading.pose.to_px(middle)[0]
    part = linear(codes[round(row) - 70 : round(row) + 70, round(column) - 50 : round(column) + 50, 1])
    width_px = 0.18739063 / esfr_mtf50(part.astype(np.float64))
    edge = min(reading.edges, key=lambda each: abs(each.normal_rad - normal))
    fitted_px = math.hypot(edge.fits["cover"].spread_mm, edge.camera_mm, edge.raggedness_mm) * reading.px_per_mm

    assert fitted_px == pytest.approx(width_px, rel=0.03)


def test_the_edge_runs_from_10_to_90_percent_as_a_gaussian_does() -> None:
    """A light-blurred edge takes 2.5631031 spreads from 10 to 90 %. Source: the normal distribution's quantiles."""
    away = np.linspace(-3, 3, 60_001)
    light = edge_light(away, 1.0, 1.0, 0.0 + 1e-12, "cover")

    assert np.interp(0.9, light, away) - np.interp(0.1, light, away) == pytest.approx(2.5631031, abs=1e-4)


def test_a_dye_edge_grows_by_0_6951_spreads() -> None:
    """At density 1.1 half the light lies 0.6951 spreads outside. Source: Beer and Lambert on a Gaussian edge."""
    away = np.linspace(-3, 3, 60_001)
    solid = 10**-1.1
    light = edge_light(away, 1.0, 1.0, solid, "dye")

    assert np.interp((1 + solid) / 2, light, away) == pytest.approx(0.6951, abs=1e-3)


@pytest.mark.parametrize("mixing", MIXINGS)
def test_the_cameras_blur_agrees_with_scipy(mixing: str) -> None:
    """An edge with the camera's blur is what scipy.ndimage makes of the edge without it, within 0.2 % of the step."""
    step = 0.002
    away = np.arange(-4, 4, step)
    plain = edge_light(away, 0.25, 1.0, 0.08, "dye" if mixing == "dye" else "cover")
    blurred = ndimage.gaussian_filter1d(plain, 0.12 / step, mode="nearest")
    ours = edge_light(away, 0.25, 1.0, 0.08, "dye" if mixing == "dye" else "cover", 0.12)

    assert np.abs(ours - blurred).max() < 0.002


def test_the_pose_agrees_with_scikit_image() -> None:
    """Without a lens the pose of seven rings is scikit-image's projective transform, within 0.01 pixel."""
    matrix = np.array([[14.0, 3.0, 900.0], [-2.5, -13.0, 600.0], [2e-4, -1e-4, 1.0]])
    model = np.array(RINGS_MM)
    centres = Pose(matrix, (900.0, 600.0), 1080.0).to_px(model)
    start = Pose(matrix + np.array([[0.3, -0.1, 5], [0.1, 0.2, -4], [0, 0, 0]]), (900.0, 600.0), 1080.0)
    pose = fitted(start, list(range(7)), centres, lens=False)
    theirs = ProjectiveTransform.from_estimate(model, centres)
    corners = np.array([(-60.0, -35.0), (60.0, -35.0), (60.0, 35.0), (-60.0, 35.0)])

    assert np.abs(pose.to_px(corners) - theirs(corners)).max() < 0.01


def test_spreads_across_slanted_edges_make_the_two_spreads() -> None:
    """The squared spread across an edge is n'Sn: 0.34935, 0.25091, 0.31259, 0.29545 mm make 0.35 and 0.25 mm.

    Source: the covariance of a Gaussian along a direction; the four values worked out by hand.
    """
    known = {5: 0.34935, 95: 0.25091, 40: 0.31259, 130: 0.29545}
    edges = tuple(
        Edge(math.radians(turn), dict.fromkeys(MIXINGS, EdgeFit(width, 0.0, 0.01, 0.08)), 0.0, 0.05, 0.0)
        for angle, width in known.items()
        for turn in (angle, angle + 180)
    )
    spread = judged(edges).spread

    assert spread.along_mm == pytest.approx(0.35, abs=1e-4)
    assert spread.across_mm == pytest.approx(0.25, abs=1e-4)


@pytest.mark.parametrize(("light", "gain"), [(0.5400, 0.0), (0.4731, 0.0727), (0.3892, 0.1639), (0.2828, 0.2795)])
def test_tone_value_increase_agrees_with_noffke_and_seymour(light: float, gain: float) -> None:
    """Half-tones of 50 % with a solid of 8 % gain 0, 7.27, 16.39 and 27.95 %.

    Source: Noffke and Seymour, A universal model for halftone reflectance (TAGA), by Murray and Davies.
    """
    patches = tuple(PatchReading(name, (light, light, light, light)) for name in ("25%", "50%", "75%"))
    half = next(tint for tint in tone_curve(patches, 0.08) if tint.asked == 0.5)

    assert half.gain == pytest.approx(gain, abs=1e-4)


@pytest.mark.parametrize(("kept", "grade"), [(0.70, "good"), (0.699, "soft"), (0.50, "soft"), (0.499, "lost")])
def test_grades_are_those_of_bar_codes(kept: float, grade: str) -> None:
    """Good from 70 % and lost under 50 % kept contrast. Source: ISO/IEC 15416 modulation, grades A and C."""
    assert Rung("gap", "along", 1.0, 0.0, 0.0, kept).grade == grade
