"""PDF pages as other programs see them: pdfium's pixels and text, pikepdf's objects, poppler's pixels."""

from __future__ import annotations

import io
import shutil
import subprocess
import tempfile
from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2
from numpy.typing import NDArray
from PIL import Image


def opened(data: bytes) -> pikepdf.Pdf:
    """Return a file as pikepdf opens it; any warning or problem fails."""
    pdf = pikepdf.open(io.BytesIO(data), suppress_warnings=False)
    problems = pdf.check_pdf_syntax()
    assert problems == [], problems
    assert pdf.get_warnings() == []
    return pdf


def image_streams(pdf: pikepdf.Pdf) -> list[bytes]:
    """Return the packed bytes of every picture of a file, as they stand in it."""
    found = []
    for thing in pdf.objects:
        if isinstance(thing, pikepdf.Stream) and thing.get("/Subtype") == "/Image":
            found.append(thing.read_raw_bytes())
    return found


def pdfium_pixels(
    data: bytes, page: int, size: tuple[int, int], cut: tuple[int, int, int, int] | None = None
) -> NDArray[np.uint8]:
    """Return a page as pdfium shows it at a size in whole pixels, or a piece of that, shape (rows, columns, 3).

    Args:
        data: The file.
        page: Its page, from 0.
        size: Columns and rows of the whole page.
        cut: Left, top, columns and rows of the piece.
    """
    left, top, wide, high = cut or (0, 0, *size)
    document = pypdfium2.PdfDocument(data)
    try:
        bitmap = pypdfium2.PdfBitmap.new_native(wide, high, pypdfium2.raw.FPDFBitmap_BGR)
        bitmap.fill_rect((255, 255, 255, 255), 0, 0, wide, high)
        pypdfium2.raw.FPDF_RenderPageBitmap(bitmap, document[page], -left, -top, *size, 0, 0)
        return bitmap.to_numpy()[:, :, ::-1].copy()
    finally:
        document.close()


def pdfium_text(data: bytes, page: int) -> str:
    """Return a page's text as pdfium copies it."""
    document = pypdfium2.PdfDocument(data)
    try:
        text: str = document[page].get_textpage().get_text_bounded()
        return text
    finally:
        document.close()


def has_poppler() -> bool:
    """Tell whether poppler's tools are on this machine."""
    return shutil.which("pdftoppm") is not None


def poppler_pixels(data: bytes, page: int, dpi: int) -> NDArray[np.uint8]:
    """Return a page as poppler shows it, shape (rows, columns, 3)."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "pages.pdf"
        file.write_bytes(data)
        number = str(page + 1)
        subprocess.run(
            [
                "pdftoppm",
                "-r",
                str(dpi),
                "-f",
                number,
                "-l",
                number,
                "-singlefile",
                "-png",
                str(file),
                str(Path(folder) / "p"),
            ],
            check=True,
        )
        with Image.open(Path(folder) / "p.png") as picture:
            return np.asarray(picture.convert("RGB")).copy()
