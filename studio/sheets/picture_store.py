"""Pictures of a PDF on their way into it: put into a bare file one by one, so that they never stand in memory together.

That file is opened, pages are added to it, and it is saved elsewhere: pictures go from file to file then.

Source: ISO 32000-1, 7.5 (file structure: header, objects, cross-reference table, trailer; from memory).
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, BinaryIO

from studio.sheets.page import PackedPicture, Page, PlacedPrint, ScaledPicture

if TYPE_CHECKING:
    import pikepdf


def pictures_of(pages: Iterable[Page]) -> tuple[PackedPicture, ...]:
    """Return the pictures on some pages, each once, in the order in which they are met."""
    found: dict[str, PackedPicture] = {}
    for page in pages:
        for item in page.items:
            if isinstance(item, PlacedPrint | ScaledPicture):
                found.setdefault(item.picture.key, item.picture)
    return tuple(found.values())


class PictureStore:
    """A bare PDF of nothing but pictures, open for pages to be added; its stream must stay open until it is saved."""

    def __init__(self, pictures: Iterable[PackedPicture], stream: BinaryIO) -> None:
        """Write the pictures' packed bytes as they are, one at a time.

        Args:
            pictures: Each with a key of its own.
            stream: Empty, to write to and to read from.
        """
        import pikepdf

        self._numbers: dict[str, int] = {}
        offsets = []
        stream.write(b"%PDF-1.7\n")
        for number, picture in enumerate(pictures, 3):
            offsets.append(stream.tell())
            self._numbers[picture.key] = number
            data = picture.packed()
            stream.write(
                f"{number} 0 obj\n<< /Type /XObject /Subtype /Image /Width {picture.width_px} "
                f"/Height {picture.height_px} /ColorSpace /DeviceRGB /BitsPerComponent 8 /Interpolate false "
                f"/Filter /FlateDecode /DecodeParms << /Predictor 15 /Colors 3 /BitsPerComponent 8 "
                f"/Columns {picture.width_px} >> /Length {len(data)} >>\nstream\n".encode("ascii")
            )
            stream.write(data)
            stream.write(b"\nendstream\nendobj\n")
        ends = []
        for number, body in ((1, "<< /Type /Catalog /Pages 2 0 R >>"), (2, "<< /Type /Pages /Kids [] /Count 0 >>")):
            ends.append(stream.tell())
            stream.write(f"{number} 0 obj\n{body}\nendobj\n".encode("ascii"))
        table = stream.tell()
        places = "".join(f"{offset:010d} 00000 n \n" for offset in (*ends, *offsets))
        stream.write(
            f"xref\n0 {len(offsets) + 3}\n0000000000 65535 f \n{places}"
            f"trailer\n<< /Size {len(offsets) + 3} /Root 1 0 R >>\nstartxref\n{table}\n%%EOF\n".encode("ascii")
        )
        stream.seek(0)
        self.pdf: pikepdf.Pdf = pikepdf.open(stream, access_mode=pikepdf.AccessMode.stream)

    def picture(self, key: str) -> Any:
        """Return a picture as an object of the file."""
        return self.pdf.get_object(self._numbers[key], 0)
