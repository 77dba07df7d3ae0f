"""Distances counted in cells: what the fitting's map is made of, against a transform that no one here wrote."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import ndimage

from studio.layout.distance_grid import largest_squares, squared_distances


@pytest.mark.parametrize("share", [0.5, 0.05, 0.001])
@pytest.mark.parametrize("shape", [(1, 40), (40, 1), (37, 90), (120, 64)])
def test_distances_are_those_of_an_independent_transform(shape: tuple[int, int], share: float) -> None:
    """Squared distances are the sums of squares that SciPy's exact distance transform finds (outside source)."""
    taken = np.random.default_rng(7).random(shape) < share
    taken[shape[0] // 2, shape[1] // 3] = True
    nearest = ndimage.distance_transform_edt(~taken, return_distances=False, return_indices=True)
    expected = ((nearest - np.indices(shape)) ** 2).sum(axis=0)
    assert np.array_equal(squared_distances(taken), expected)


@pytest.mark.parametrize("share", [0.0, 0.02, 0.3, 1.0])
@pytest.mark.parametrize("shape", [(1, 40), (37, 90), (120, 64)])
def test_largest_squares_are_those_of_an_independent_transform(shape: tuple[int, int], share: float) -> None:
    """Reach and middles are where SciPy's chessboard distance is greatest (outside source)."""
    free = np.random.default_rng(7).random(shape) >= share
    reach, middles = largest_squares(free)
    expected = ndimage.distance_transform_cdt(np.pad(free, 1), metric="chessboard")[1:-1, 1:-1]
    assert reach == expected.max()
    assert np.array_equal(middles, np.argwhere(expected == reach) if reach else np.zeros((0, 2)))
