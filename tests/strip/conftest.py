from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from studio.production.strip_files import set_line
from studio.strip.drawing import strip_png
from studio.strip.reading import StripReading, read_strip
from tests.strip.simulator import Camera, Press, photographed, pressed


@pytest.fixture(scope="session")
def png() -> bytes:
    """The strip's print file."""
    return strip_png(set_line)


@pytest.fixture(scope="session")
def wood(png: bytes) -> NDArray[np.float32]:
    """A strip pressed on pale film: 0.35 mm of dye spread along the grain, 0.25 mm across."""
    return pressed(png, Press(along_mm=0.35, across_mm=0.25, wood="film", texture=0.02), 1)


@pytest.fixture(scope="session")
def photo(wood: NDArray[np.float32]) -> NDArray[np.uint8]:
    """A fair photo of it: turned, aslant, unevenly lit, with noise, as JPEG."""
    return photographed(wood, Camera(px_per_mm=15, turn_deg=12, tilt_deg=8, light=0.15, noise=0.005, jpeg=88), 3)


@pytest.fixture(scope="session")
def reading(photo: NDArray[np.uint8]) -> StripReading:
    """What that photo tells."""
    return read_strip(photo)


@pytest.fixture(scope="session")
def shoot(wood: NDArray[np.float32]) -> Callable[[Camera], NDArray[np.uint8]]:
    """Takes other photos of the same strip."""
    return lambda camera: photographed(wood, camera, 3)
