"""Colours taken through a printer's profile: as the printer is told them, and as they come out.

The artwork and the letters are sRGB. A print holds the printer's own numbers, relative colorimetric with black point
compensation; the proof holds sRGB of what the printer makes of it, relative too, so that paper stays white and the wood
below is ours alone. Nothing is embedded in the files.

Invariant: white stays white, so that no dye is laid where none was.
"""

from __future__ import annotations

import io
from functools import lru_cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms

from studio.basics.colour import Colour
from studio.model.profile import PrinterProfile, Way

_INTENT: Final = ImageCms.Intent.RELATIVE_COLORIMETRIC
_FLAGS: Final = ImageCms.Flags.BLACKPOINTCOMPENSATION


def through_profile(pixels: NDArray[np.uint8], profile: PrinterProfile | None, way: Way) -> NDArray[np.uint8]:
    """Return pixels as the printer is told them, or as they come out.

    Args:
        pixels: sRGB codes, shape (rows, columns, 3 or 4); an alpha stays as it is.
        profile: The printer's; `None` leaves everything as it is.
        way: `printed` for the printer's own numbers, `seen` for sRGB of what it makes of them.
    """
    if profile is None or (way == "printed" and profile.space != "RGB"):
        return pixels
    colours = np.ascontiguousarray(pixels[..., :3])
    image: Any = ImageCms.applyTransform(Image.fromarray(colours), _transform(profile, way))
    changed = np.array(image, np.uint8)
    changed[(colours == 255).all(axis=-1)] = 255
    if pixels.shape[-1] == 3:
        return changed
    return np.concatenate((changed, pixels[..., 3:]), axis=-1)


@lru_cache(maxsize=256)
def colour_through(colour: Colour, profile: PrinterProfile | None, way: Way) -> Colour:
    """Return one colour as `through_profile` gives it."""
    red, green, blue = through_profile(np.array([[colour.rgb]], np.uint8), profile, way)[0, 0].tolist()
    return Colour(red, green, blue)


@lru_cache(maxsize=8)
def _transform(profile: PrinterProfile, way: Way) -> ImageCms.ImageCmsTransform:
    srgb = ImageCms.createProfile("sRGB")
    printer = ImageCms.ImageCmsProfile(io.BytesIO(profile.data))
    if way == "printed":
        return ImageCms.buildTransform(srgb, printer, "RGB", "RGB", _INTENT, _FLAGS)
    return ImageCms.buildProofTransform(
        srgb, srgb, printer, "RGB", "RGB", _INTENT, _INTENT, _FLAGS | ImageCms.Flags.SOFTPROOFING
    )
