"""Colour profiles on disk: read whole, judged by their header, and tried once before a sign is made with them.

Source of the header: ICC.1:2022, 7.2: size at 0, class at 12, colour space at 16, connection space at 20, 'acsp' at 36.
"""

from __future__ import annotations

import hashlib
from functools import lru_cache
from pathlib import Path
from typing import Final, Literal

from studio.basics.errors import SettingsError
from studio.model.profile import PrinterProfile

LARGEST_BYTES: Final = 16_000_000
_HEADER: Final = 128
_CLASSES: Final = {
    "prtr": "a printer",
    "mntr": "a screen",
    "scnr": "a scanner or camera",
    "spac": "a colour space",
    "link": "a fixed way from one device to another",
    "abst": "an effect",
    "nmcl": "named colours",
}
_ADVICE: Final = "Take the RGB profile that belongs to your printer, ink and paper; its maker has it."


def read_printer_profile(path: Path) -> PrinterProfile:
    """Return the profile in a file.

    Raises:
        SettingsError: It is missing, not a profile, damaged, or not one that a sign can be printed through.
    """
    try:
        if not path.is_file():
            what = "is not a regular file" if path.exists() else "is not there"
            raise SettingsError(f"{path} {what}.", advice="Check the name and the folder.", option="profile")
        stamp = path.stat()
        if stamp.st_size > LARGEST_BYTES:
            raise SettingsError(
                f"{path} is {stamp.st_size / 1e6:.0f} MB, over the {LARGEST_BYTES / 1e6:.0f} MB read.",
                advice=_ADVICE,
                option="profile",
            )
    except (OSError, ValueError) as problem:
        raise SettingsError(
            f"{path} cannot be read: {problem}.", advice="Check the file.", option="profile"
        ) from problem
    return _read(path, stamp.st_mtime_ns, stamp.st_size)


@lru_cache(maxsize=8)
def _read(path: Path, _changed_ns: int, _size: int) -> PrinterProfile:
    try:
        data = path.read_bytes()
    except OSError as problem:
        raise SettingsError(
            f"{path} cannot be read: {problem.strerror}.", advice="Check it.", option="profile"
        ) from problem
    space = _space_of(path, data)
    profile = PrinterProfile(str(path), hashlib.sha256(data).hexdigest(), space, _tried(path, data, space), data)
    return profile


def _space_of(path: Path, data: bytes) -> Literal["RGB", "CMYK"]:
    if len(data) < _HEADER or data[36:40] != b"acsp":
        raise SettingsError(f"{path} is not an ICC profile.", advice=_ADVICE, option="profile")
    if int.from_bytes(data[:4], "big") > len(data):
        raise SettingsError(
            f"{path} is cut off: {len(data)} of {int.from_bytes(data[:4], 'big')} bytes are there.",
            advice="Get the file again.",
            option="profile",
        )
    kind, space = (data[at : at + 4].decode("latin-1").strip() for at in (12, 16))
    said = _CLASSES.get(kind, f"something unknown ({kind!r})")
    if kind == "prtr" and space == "CMYK":
        return "CMYK"
    if kind in ("prtr", "mntr", "scnr", "spac") and space == "RGB":
        return "RGB"
    raise SettingsError(
        f"{path} is a profile of {said} in {space[:8]!r} colours; signs are printed through one of a "
        "printer in RGB, or proofed through one in CMYK.",
        advice=_ADVICE,
        option="profile",
    )


def _tried(path: Path, data: bytes, space: str) -> str:
    """Return what a profile calls itself, once colours were taken through it both ways."""
    import io

    from PIL import ImageCms

    try:
        opened = ImageCms.ImageCmsProfile(io.BytesIO(data))
        srgb = ImageCms.createProfile("sRGB")
        ImageCms.buildTransform(srgb, opened, "RGB", space, ImageCms.Intent.RELATIVE_COLORIMETRIC)
        ImageCms.buildTransform(opened, srgb, space, "RGB", ImageCms.Intent.RELATIVE_COLORIMETRIC)
        return ImageCms.getProfileDescription(opened).strip()
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError) as problem:
        raise SettingsError(
            f"{path} cannot be printed through: it has no way from colours to the device, or is damaged.",
            advice=_ADVICE,
            option="profile",
        ) from problem
