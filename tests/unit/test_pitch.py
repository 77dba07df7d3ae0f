"""Letters on an arc of one bend: corners in closed form, limits of sweep, turn and inward reach."""

from __future__ import annotations

import math

import numpy as np
import pytest

from studio.geometry.paths import PATH_UNITS, drawn_path
from studio.layout.arc_pitch import LARGEST_INWARD_SHARE, LetterSteps, Pitches
from studio.layout.arc_spacing import EvenSpacing
from studio.layout.letter_ink import LineInk, line_ink
from studio.model.sign import LARGEST_TURN_RAD, FaceChoice
from studio.storage.assets import FileAssets
from studio.storage.catalogue import read_catalogue
from studio.text.font import outline_of
from studio.text.shaping import Cluster, ShapedLine, shape_line


class Faceless:
    """Stands where a face would: keeps what is measured."""

    def __init__(self) -> None:
        self.memory: dict[str, object] = {}
        self.cap_height_em = 0.7


def block(width: float, bottom: float = 0.0, top: float = 0.7, advance: float | None = None) -> Cluster:
    """Return a letter that is a filled box in the middle of its advance."""
    advance = width if advance is None else advance
    left = (advance - width) / 2

    def draw(pen: object) -> None:
        pen.moveTo((left * PATH_UNITS, bottom * PATH_UNITS))  # type: ignore[attr-defined]
        for x, y in ((left + width, bottom), (left + width, top), (left, top)):
            pen.lineTo((x * PATH_UNITS, y * PATH_UNITS))  # type: ignore[attr-defined]
        pen.closePath()  # type: ignore[attr-defined]

    return Cluster(0, "x", advance, (), outline_of(drawn_path(draw, PATH_UNITS)), True)


def space(advance: float) -> Cluster:
    """Return a cluster without ink."""
    return Cluster(0, " ", advance, (), outline_of(drawn_path(lambda pen: None, PATH_UNITS)), True)


def line(*clusters: Cluster) -> LineInk:
    """Return the ink of a line of clusters."""
    advances = np.array([cluster.advance_em for cluster in clusters])
    starts = np.concatenate([[0.0], np.cumsum(advances)])
    ink = line_ink(ShapedLine("x", Faceless(), clusters, starts[:-1], float(starts[-1]), ()))  # type: ignore[arg-type]
    assert ink is not None
    return ink


def reach(ink: LineInk, bend: float, side: int) -> float:
    """Return how far the ink reaches from the circle's centre."""
    figure = Pitches(LetterSteps(ink, side, "plain", 0.0)).at(bend).figure(ink.hull, ink.hull_owner)
    return float(np.hypot(figure[:, 0], figure[:, 1]).max())


def test_the_outer_corner_reaches_further_than_the_height() -> None:
    """A box 12 wide and 15 high on a baseline of 80 reaches hypot(6, 95) = 95.18928511, not 95."""
    assert reach(line(block(12, 0, 15)), 1 / 80, 1) == pytest.approx(95.18928511, abs=1e-8)


def test_inside_an_arc_the_corner_on_the_baseline_reaches_furthest() -> None:
    """With the tops to the centre, it is the foot's corner: hypot(6, 80) = 80.22468448."""
    assert reach(line(block(12, 0, 15)), 1 / 80, -1) == pytest.approx(80.22468448, abs=1e-8)


def test_plain_letters_stand_on_their_mid_advances_about_the_middle_of_the_advance() -> None:
    """Advances 1, 3 and 2 put the middles at 0.5, 2.5 and 5 of 6, taken from the middle at 3."""
    pitch = Pitches(LetterSteps(line(block(1), block(3), block(2)), 1, "plain", 0.0)).at(0.1)
    assert pitch.mids == pytest.approx([-2.5, -0.5, 2.0])
    assert pitch.sweep_rad == pytest.approx(0.6)
    assert pitch.turn_rad == pytest.approx(0.25)


def test_a_space_takes_room_but_is_no_letter() -> None:
    """The letters round a space stand its advance apart; it counts for the sweep."""
    pitch = Pitches(LetterSteps(line(block(1), space(0.5), block(1)), 1, "plain", 0.0)).at(0.1)
    assert pitch.mids == pytest.approx([-0.75, 0.75])
    assert pitch.sweep_rad == pytest.approx(0.25)


def test_a_led_line_is_centred_on_its_ink() -> None:
    """Joined outlines stand with their ink in the middle, whatever their side bearings."""
    pitch = Pitches(LetterSteps(line(block(1), block(1, advance=3)), 1, "plain", 0.0), "outline").at(0.1)
    assert pitch.mids == pytest.approx([0.5 - 1.5, 2.5 - 1.5])


def test_the_same_figure_seen_in_a_mirror_below() -> None:
    """Turning the blank half round swaps the sides of an arc whose letters have no height."""
    ink = line(block(1, -0.01, 0.01), block(2, -0.01, 0.01))
    top, bottom = (
        Pitches(LetterSteps(ink, side, "plain", 0.0)).at(0.2).figure(ink.hull, ink.hull_owner) for side in (1, -1)
    )
    assert top[:, 0] == pytest.approx(bottom[:, 0], abs=0.02)
    assert top[:, 1] == pytest.approx(-bottom[:, 1], abs=0.02)


@pytest.mark.parametrize("sweep_deg", [30.0, 90.0, 160.0, 330.0])
def test_the_sweep_limits_the_bend(sweep_deg: float) -> None:
    """Many narrow letters may bend until their advance spans the sweep."""
    ink = line(*[block(0.2)] * 30)
    assert Pitches(LetterSteps(ink, 1, "plain", 0.0)).sharpest_bend(math.radians(sweep_deg)) == pytest.approx(
        math.radians(sweep_deg) / 6
    )


def test_the_turn_limits_the_bend() -> None:
    """Two wide letters may bend until neighbours turn by 22.5 degrees."""
    bend = Pitches(LetterSteps(line(block(1), block(1)), 1, "plain", 0.0)).sharpest_bend(math.radians(160))
    assert bend == pytest.approx(LARGEST_TURN_RAD / 1)
    assert math.degrees(LARGEST_TURN_RAD) == 22.5


def test_the_reach_inwards_limits_the_bend() -> None:
    """One letter alone may reach four fifths of the way to the centre with its tops, or its tails."""
    tops, tails = line(block(0.1, 0, 2)), line(block(0.1, -1, 2))
    assert Pitches(LetterSteps(tops, -1, "plain", 0.0)).sharpest_bend(3) == pytest.approx(LARGEST_INWARD_SHARE / 2)
    assert Pitches(LetterSteps(tails, 1, "plain", 0.0)).sharpest_bend(3) == pytest.approx(LARGEST_INWARD_SHARE)


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize("gap_em", [0.0, 0.05, 0.3])
def test_steps_each_at_a_bend_of_its_own_are_those_of_the_table(side: int, gap_em: float) -> None:
    """Steps evened each at its own radius equal those of whole lines at these radii, word spaces included."""
    face = FileAssets(read_catalogue()).face(FaceChoice("Nunito"))
    spacing = EvenSpacing(shape_line("Tea  for Ava, To", face).clusters)
    radii = 3.0 + np.arange(len(spacing.plain_em)) * 1.7
    radii[2] = np.inf
    whole = spacing.steps_em(radii, side, np.full(len(radii), gap_em))
    np.testing.assert_allclose(spacing.steps_em_each(radii, side, gap_em), np.diagonal(whole), rtol=0, atol=1e-9)
