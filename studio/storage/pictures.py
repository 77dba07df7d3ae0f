"""Pictures of the workshop's own, as sRGB pixels the right way up, whatever kind of PNG or JPEG they are.

Invariant: size, format and every side chunk are judged from the file's own bytes before anything is decompressed.
"""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from studio.basics.errors import PictureError
from studio.storage.picture_guard import MOST_PIXELS, PictureBytes, picture_bytes

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL import Image

_ORIENTATION_TAG: Final = 0x0112
"""Source: Exif 2.32, tag 274, orientation (from memory)."""
_QUARTER_TURNED: Final = (5, 6, 7, 8)
_BELIEVABLE_DPI: Final = 120.0
"""72 and 96 are what programs write when nobody said; a size taken from them would be nonsense."""
_LARGEST_ICC_BYTES: Final = 8_000_000
_STRIP_ROWS: Final = 256
"""Rows of a decoded picture that are copied at a time."""


@dataclass(frozen=True, slots=True)
class PictureHeader:
    """What a picture's header says.

    Attributes:
        width_px: Width once upright.
        dpi: Its density where it states one that can be believed.
    """

    width_px: int
    height_px: int
    dpi: float | None


def read_header(path: Path) -> PictureHeader:
    """Return what the header of a PNG or JPEG says; no pixel is decoded.

    Raises:
        PictureError: The file is missing, no PNG or JPEG, damaged, or larger than what is read.
    """
    held = picture_bytes(path)
    with _opened(held, path) as image:
        turn = _orientation(image)
        width_px, height_px = image.size
        if turn in _QUARTER_TURNED:
            width_px, height_px = height_px, width_px
        return PictureHeader(width_px, height_px, _stated_dpi(image))


def read_pixels(path: Path) -> NDArray[np.uint8]:
    """Return a picture upright in sRGB, shape (rows, columns, 4).

    Raises:
        PictureError: The file is missing, no PNG or JPEG, damaged, broken off, or larger than what is read.
    """
    import numpy as np

    held = picture_bytes(path)
    with _opened(held, path) as image:
        try:
            turn = _orientation(image)
            image.load()
            upright = _upright(_in_srgb(image), turn)
        except (OSError, ValueError, SyntaxError, EOFError, IndexError, TypeError, ArithmeticError) as problem:
            raise _damaged(path, problem) from problem
        except MemoryError as problem:
            raise PictureError(
                f"{path}: there is not enough memory for {image.size[0]} x {image.size[1]} pixels.",
                advice="Save it smaller.",
            ) from problem
        pixels = np.empty((upright.height, upright.width, 4), np.uint8)
        for top in range(0, upright.height, _STRIP_ROWS):  # half the time of one copy of the whole
            strip = upright.crop((0, top, upright.width, min(top + _STRIP_ROWS, upright.height)))
            pixels[top : top + _STRIP_ROWS] = np.asarray(strip)
        return pixels


def _opened(held: PictureBytes, path: Path) -> Image.Image:
    """Return the picture opened but not decoded; its size has been judged already."""
    from PIL import Image, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # the size is held to our own limit, which is stricter
            image = Image.open(io.BytesIO(held.data), formats=(held.format,))
    except (
        UnidentifiedImageError,
        OSError,
        ValueError,
        SyntaxError,
        EOFError,
        Image.DecompressionBombError,
    ) as problem:
        raise _damaged(path, problem) from problem
    if image.size[0] * image.size[1] > MOST_PIXELS:
        raise PictureError(f"{path}: the header contradicts itself about the size.", advice="Save it again as PNG.")
    return image


def _damaged(path: Path, problem: BaseException) -> PictureError:
    reason = str(problem).splitlines()[0][:80] if str(problem) else type(problem).__name__
    return PictureError(
        f"{path}: the picture is damaged or cut off ({reason}).", advice="Open it elsewhere and save it again as PNG."
    )


def _orientation(image: Image.Image) -> int:
    """Return how the camera was held, 1 to 8; a damaged note counts as upright."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            turn = image.getexif().get(_ORIENTATION_TAG, 1)
    except Exception:  # any damage in a side note of a good picture
        return 1
    return turn if isinstance(turn, int) and 1 <= turn <= 8 else 1


def _upright(image: Image.Image, turn: int) -> Image.Image:
    from PIL.Image import Transpose

    moves = {
        2: Transpose.FLIP_LEFT_RIGHT,
        3: Transpose.ROTATE_180,
        4: Transpose.FLIP_TOP_BOTTOM,
        5: Transpose.TRANSPOSE,
        6: Transpose.ROTATE_270,
        7: Transpose.TRANSVERSE,
        8: Transpose.ROTATE_90,
    }
    return image.transpose(moves[turn]) if turn in moves else image


def _stated_dpi(image: Image.Image) -> float | None:
    stated = image.info.get("dpi")
    try:
        across, down = (float(part) for part in stated)  # type: ignore[union-attr]
    except (TypeError, ValueError):
        return None
    if not _BELIEVABLE_DPI < across <= 10_000 or abs(across - down) > 0.01 * across:
        return None
    return across


def _in_srgb(image: Image.Image) -> Image.Image:
    """Return a loaded picture as sRGB with alpha, eight bits a channel."""
    profile = image.info.get("icc_profile")
    if profile is None and image.mode in ("RGB", "RGBA") and "transparency" not in image.info:
        return image if image.mode == "RGBA" else image.convert("RGBA")
    if image.mode.startswith("I") or image.mode == "F":
        image = _from_sixteen_bits(image)
    elif image.mode in ("P", "PA") or "transparency" in image.info:
        image = _with_plain_transparency(image).convert("RGBA")
    alpha = image.getchannel("A") if "A" in image.getbands() else None
    colour = image.convert("RGB") if alpha is not None and "R" in image.getbands() else image
    if alpha is not None and colour is image:
        colour = image.getchannel("L")
    rgb = _through_profile(colour, profile)
    rgb.putalpha(255 if alpha is None else alpha)
    return rgb


def _from_sixteen_bits(image: Image.Image) -> Image.Image:
    """Return sixteen bit grey as eight bit grey, with alpha where one grey is stated to be clear."""
    import numpy as np
    from PIL import Image

    codes = np.asarray(image).astype(np.int64)
    grey = Image.fromarray(((np.clip(codes, 0, 65535) + 128) // 257).astype(np.uint8))
    clear = image.info.get("transparency")
    if not isinstance(clear, int):
        return grey
    alpha = Image.fromarray(np.where(codes == clear, 0, 255).astype(np.uint8))
    return Image.merge("LA", (grey, alpha))


def _with_plain_transparency(image: Image.Image) -> Image.Image:
    """Return the picture with its one clear colour in eight bits, as its pixels are."""
    clear = image.info.get("transparency")
    if isinstance(clear, tuple) and any(code > 255 for code in clear):
        image.info["transparency"] = tuple(code >> 8 for code in clear)
    return image


def _through_profile(image: Image.Image, profile: Any) -> Image.Image:
    """Return a picture without alpha in sRGB; a profile that does not fit the picture is left aside."""
    from PIL import ImageCms

    mode = image.mode if image.mode in ("L", "RGB", "CMYK", "LAB") else "RGB"
    plain = image if image.mode == mode else image.convert(mode)
    if isinstance(profile, bytes) and 128 <= len(profile) <= _LARGEST_ICC_BYTES:
        try:
            source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            target = ImageCms.createProfile("sRGB")
            turned = ImageCms.profileToProfile(plain, source, target, outputMode="RGB")
        except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
            turned = None
        if turned is not None:
            return turned
    return plain.convert("RGB")
