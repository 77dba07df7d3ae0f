"""Colours through a printer's profile against the ICC's own arithmetic and published facts."""

from __future__ import annotations

import hashlib
import struct
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import ImageCms

from studio.basics.colour import Colour
from studio.basics.errors import SettingsError
from studio.model.profile import PrinterProfile
from studio.pipeline.cache import print_base_for, proof_base_for
from studio.pipeline.plan import plan
from studio.pipeline.sign_report import report_of
from studio.render.profiled import colour_through, through_profile
from studio.storage.assets import FileAssets
from studio.storage.catalogue import read_catalogue
from studio.storage.profiles import read_printer_profile
from studio.storage.sign_builder import build_sign

GHOSTSCRIPT_CMYK = Path("/usr/share/color/icc/ghostscript/default_cmyk.icc")
D50 = (0.9642, 1.0, 0.8249)
WIDE = np.array([[0.60974, 0.20528, 0.14919], [0.31111, 0.62567, 0.06322], [0.01947, 0.06087, 0.74457]])
"""Primaries of Adobe RGB (1998) adapted to D50, as columns; source: that specification, annex C (from memory)."""
SRGB = np.array([[0.43607, 0.38515, 0.14307], [0.22249, 0.71687, 0.06061], [0.01392, 0.09708, 0.71410]])
"""Primaries of sRGB adapted to D50, as columns. Source: IEC 61966-2-1 with the Bradford transform of ICC.1:2022."""


def matrix_profile(matrix: NDArray[np.float64], gamma: float, kind: bytes = b"prtr", space: bytes = b"RGB ") -> bytes:
    """Return a version 2 matrix profile laid out by hand. Source of the layout: ICC.1:2001-04, 6.1 and 6.5."""

    def fixed(value: float) -> bytes:
        return struct.pack(">i", round(value * 65536))

    def xyz(values: tuple[float, ...]) -> bytes:
        return b"XYZ \0\0\0\0" + b"".join(map(fixed, values))

    curve = b"curv\0\0\0\0" + struct.pack(">IH", 1, round(gamma * 256)) + b"\0\0"
    name = b"test printer\0"
    text = b"desc\0\0\0\0" + struct.pack(">I", len(name)) + name + b"\0" * (12 + 67)
    tags = {
        b"desc": text + b"\0" * (-len(text) % 4),
        b"cprt": b"text\0\0\0\0none\0\0\0\0",
        b"wtpt": xyz(D50),
        **{tag: xyz(tuple(matrix[:, column])) for column, tag in enumerate((b"rXYZ", b"gXYZ", b"bXYZ"))},
        **{tag: curve for tag in (b"rTRC", b"gTRC", b"bTRC")},
    }
    table, body, at = b"", b"", 128 + 4 + 12 * len(tags)
    for tag, data in tags.items():
        table += tag + struct.pack(">II", at + len(body), len(data))
        body += data
    size = at + len(body)
    head = struct.pack(">I", size) + b"\0\0\0\0" + b"\x02\x40\0\0" + kind + space + b"XYZ " + b"\0" * 12 + b"acsp"
    head += b"\0" * (68 - len(head)) + b"".join(map(fixed, D50))
    return head + b"\0" * (128 - len(head)) + struct.pack(">I", len(tags)) + table + body


def profile_in(folder: Path, data: bytes, name: str = "printer.icc") -> PrinterProfile:
    """Return a profile written to a folder and read from there."""
    file = folder / name
    file.write_bytes(data)
    return read_printer_profile(file)


def every_colour() -> NDArray[np.uint8]:
    """Return a grid of colours with all corners, shape (rows, columns, 3)."""
    steps = np.arange(0, 256, 15)
    return np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(len(steps), -1, 3).astype(np.uint8)


def test_srgb_is_the_identity(tmp_path: Path) -> None:
    """A printer that speaks sRGB changes no colour, printed or seen."""
    profile = profile_in(tmp_path, ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    colours = every_colour()

    assert (through_profile(colours, profile, "printed") == colours).all()
    assert (through_profile(colours, profile, "seen") == colours).all()


def test_a_matrix_profile_is_the_matrix_written_out(tmp_path: Path) -> None:
    """Printed codes are those of the ICC's matrix model computed by hand, to one code.

    Source: ICC.1:2022, annex F: device = curve^-1(matrix^-1 x PCS).
    """
    profile = profile_in(tmp_path, matrix_profile(WIDE, 2.2))
    colours = every_colour()
    codes = colours / 255
    light = np.where(codes <= 0.04045, codes / 12.92, ((codes + 0.055) / 1.055) ** 2.4)
    device = np.clip(light @ SRGB.T @ np.linalg.inv(WIDE).T, 0, 1) ** (1 / (round(2.2 * 256) / 256)) * 255

    printed = through_profile(colours, profile, "printed")

    inside = (light @ SRGB.T @ np.linalg.inv(WIDE).T > 0.002).all(axis=-1)
    assert np.abs(printed[inside] - device[inside]).max() <= 1.5
    assert profile.description == "test printer"


def test_a_wide_printer_shows_what_was_asked(tmp_path: Path) -> None:
    """A printer whose colours hold all of sRGB's shows each as it was asked for, to two codes."""
    profile = profile_in(tmp_path, matrix_profile(WIDE, 2.2))
    colours = every_colour()

    seen = through_profile(colours, profile, "seen").astype(int)

    assert np.abs(seen - colours)[..., 1:].max() <= 2  # its red and green do hold sRGB's, to a rounding
    assert np.percentile(np.abs(seen - colours), 99) <= 2


@pytest.mark.skipif(not GHOSTSCRIPT_CMYK.is_file(), reason="the free CMYK profile of Debian's ghostscript is not here")
def test_an_ink_profile_proofs_relative_and_leaves_the_print() -> None:
    """Through Debian's default_cmyk.icc white stays white, colours lose, and the print keeps its codes.

    Relative proofing maps the paper to white; an absolute one would show it as (225, 223, 216).
    """
    profile = read_printer_profile(GHOSTSCRIPT_CMYK)
    colours = every_colour()

    assert profile.space == "CMYK"
    assert through_profile(colours, profile, "printed") is colours
    assert colour_through(Colour(255, 255, 255), profile, "seen") == Colour(255, 255, 255)
    seen_blue = colour_through(Colour(0, 0, 255), profile, "seen")
    assert seen_blue != Colour(0, 0, 255) and seen_blue.blue < 255


def test_signs_are_printed_and_proofed_through_the_profile(tmp_path: Path) -> None:
    """Print and proof change with a profile, unprinted paper does not, and the report names the profile's digest."""
    data = matrix_profile(WIDE, 1.8)
    (tmp_path / "printer.icc").write_bytes(data)
    catalogue = read_catalogue()
    assets = FileAssets(catalogue)
    values = {"artwork": "none", "color": "#a03020", "dpi": "60", "surface": "bare", "wood": "maple"}
    plain = build_sign("Tess", values, catalogue)
    sign = build_sign("Tess", values | {"profile": str(tmp_path / "printer.icc")}, catalogue)
    made = plan(sign, assets, remedies=False)
    assert made.placement is not None and sign.profile is not None

    before = print_base_for(plain, assets).print_of(made.placement).pixels()
    after = print_base_for(sign, assets).print_of(made.placement).pixels()
    solid = colour_through(Colour(0xA0, 0x30, 0x20), sign.profile, "printed")

    assert solid.rgb != (0xA0, 0x30, 0x20)
    assert {tuple(pixel) for pixel in after[(before == (0xA0, 0x30, 0x20)).all(axis=-1)].tolist()} == {solid.rgb}
    assert (after[(before == 255).all(axis=-1)] == 255).all()
    assert report_of(made)["profile"]["sha256"] == hashlib.sha256(data).hexdigest()
    narrow = replace(
        sign.profile, sha256="narrow", data=matrix_profile(0.5 * WIDE + 0.5 * WIDE.mean(axis=1)[:, None], 1.8)
    )
    dull = proof_base_for(replace(sign, profile=narrow), assets, 300).pixels_of(made.placement)
    assert (dull != proof_base_for(sign, assets, 300).pixels_of(made.placement)).any()


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "is not an ICC profile"),
        (b"\x89PNG\r\n" + b"\0" * 200, "is not an ICC profile"),
        (matrix_profile(WIDE, 2.2)[:300], "is cut off: 300 of"),
        (matrix_profile(WIDE, 2.2, b"link"), "a fixed way from one device to another"),
        (matrix_profile(WIDE, 2.2, b"abst"), "an effect"),
        (matrix_profile(WIDE, 2.2, b"prtr", b"GRAY"), "in 'GRAY' colours"),
        (matrix_profile(WIDE, 2.2, b"prtr", b"CMYK"), "cannot be printed through"),
        (matrix_profile(0 * WIDE, 2.2), "cannot be printed through"),
    ],
    ids=["empty", "picture", "cut off", "link", "effect", "grey", "no inks", "no colours"],
)
def test_other_files_are_refused_with_advice(tmp_path: Path, data: bytes, told: str) -> None:
    """A file that is no profile, or one that cannot be printed through, is refused in a sentence with a way out."""
    with pytest.raises(SettingsError) as raised:
        profile_in(tmp_path, data)

    assert told in raised.value.message
    assert raised.value.advice


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    """A profile that is not there, or is a folder, is told so."""
    for path, told in ((tmp_path / "none.icc", "is not there"), (tmp_path, "is not a regular file")):
        with pytest.raises(SettingsError) as raised:
            read_printer_profile(path)
        assert told in raised.value.message
