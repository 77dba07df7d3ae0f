"""Pages as a PDF at true size: prints with their packed bytes as they are, lines and letters as outlines.

Invariant: the same pages give the same bytes; there is no date and no random number in them. Every page is the sheet's
own size and upright, and asks the print dialog not to scale it. Source: ISO 32000-1 (PDF 1.7): 7.3 objects, 8.9 images,
9.7 composite fonts, 12.2 viewer preferences, 14.11.2 page boxes (from memory).
"""

from __future__ import annotations

import io
import math
import zlib
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any, BinaryIO, Final

from studio.geometry.shapes import Box
from studio.sheets.page import IDENTITY, PT_PER_MM, Line, PackedPicture, Page, PlacedPrint, ScaledPicture, Shape
from studio.sheets.picture_store import PictureStore, pictures_of
from studio.sheets.text_layer import PRIVATE_CODES, box_font, meaning_of_codes

if TYPE_CHECKING:
    from studio.basics.colour import Colour

_INWARDS_PX: Final = 0.001
"""Pictures and their windows are drawn this much smaller on every side, 8e-5 mm at 300 dpi: without it a renderer takes
a row of pixels more where an edge lies on its own pixel grid."""
_PT_PER_INCH: Final = 72.0
_FLATE_LEVEL: Final = 6


def pdf_bytes(pages: Sequence[Page], *, title: str) -> bytes:
    """Return the file of some pages."""
    held = io.BytesIO()
    write_pdf(pages, held, title=title)
    return held.getvalue()


def write_pdf(pages: Sequence[Page], stream: BinaryIO, *, title: str, store: BinaryIO | None = None) -> None:
    """Write pages as one file.

    Args:
        pages: In the order in which they are printed.
        stream: Where to.
        title: What the file calls itself.
        store: Empty, to put pictures by, such as a file for the time being; memory when not given.
    """
    import pikepdf  # a quarter of a second that only those who print sheets wait for

    pictures = PictureStore(pictures_of(pages), store if store is not None else io.BytesIO())
    pdf = pictures.pdf
    writer = _Writer(pictures)
    for page in pages:
        writer.add(page)
    pdf.docinfo["/Title"] = title
    pdf.Root.ViewerPreferences = pikepdf.Dictionary(
        PrintScaling=pikepdf.Name("/None"),
        Enforce=pikepdf.Array([pikepdf.Name.PrintScaling]),
        Duplex=pikepdf.Name.Simplex,
        PickTrayByPDFSize=True,
        NumCopies=1,
    )
    writer.finish()
    pdf.save(
        stream,
        min_version="1.7",
        deterministic_id=True,
        compress_streams=False,
        stream_decode_level=pikepdf.StreamDecodeLevel.none,
        object_stream_mode=pikepdf.ObjectStreamMode.disable,
    )


class _Writer:
    """Turns pages into a file's objects, each picture written once."""

    def __init__(self, store: PictureStore) -> None:
        self.pdf, self.store = store.pdf, store
        self.pictures: dict[str, Any] = {}
        self.font: Any = None
        self.codes: dict[str, int] = {}

    def add(self, page: Page) -> None:
        """Add a page."""
        import pikepdf

        content = _Content(page, self)
        for item in page.items:
            content.draw(item)
        width, height = page.width_mm * PT_PER_MM, page.height_mm * PT_PER_MM
        sheet = [0, 0, _exact(width), _exact(height)]
        resources = pikepdf.Dictionary()
        if content.pictures:
            resources.XObject = pikepdf.Dictionary(
                {f"/{name}": self.pictures[key] for key, name in content.pictures.items()}
            )
        if content.has_text:
            resources.Font = pikepdf.Dictionary(F=self._font())
        made = pikepdf.Dictionary(Type=pikepdf.Name.Page, MediaBox=sheet, CropBox=sheet, Rotate=0, Resources=resources)
        for name, box in (("/TrimBox", page.trim), ("/BleedBox", page.bleed)):
            if box is not None:
                made[name] = [_exact(number * PT_PER_MM) for number in _within(box, page)]
        made.Contents = self._stream("\n".join(content.lines).encode("ascii"))
        self.pdf.pages.append(pikepdf.Page(self.pdf.make_indirect(made)))

    def picture(self, picture: PackedPicture) -> None:
        """Have a picture in the file, its packed bytes as they are."""
        if picture.key not in self.pictures:
            self.pictures[picture.key] = self.store.picture(picture.key)

    def hex_codes(self, characters: str) -> str:
        """Return characters as the text layer's codes: their own in UTF-16, a private one beyond that."""
        return "".join(f"{self._code(character):04X}" for character in characters)

    def _code(self, character: str) -> int:
        if ord(character) < 0xD800 or 0xF900 <= ord(character) <= 0xFFFF:
            return ord(character)
        if character not in self.codes:
            if len(self.codes) >= len(PRIVATE_CODES):
                return 0xFFFD
            self.codes[character] = PRIVATE_CODES[len(self.codes)]
        return self.codes[character]

    def _font(self) -> Any:
        if self.font is None:
            self.font = self.pdf.make_indirect(self._made_font())
        return self.font

    def _made_font(self) -> Any:
        """Return a font of 16-bit codes whose every letter is the same box, one em wide."""
        import pikepdf

        data = box_font()
        file = self._stream(data, Length1=len(data))
        described = pikepdf.Dictionary(
            Type=pikepdf.Name.FontDescriptor,
            FontName=pikepdf.Name.TextLayer,
            Flags=4,
            FontBBox=[0, -250, 1000, 1000],
            ItalicAngle=0,
            Ascent=1000,
            Descent=-250,
            CapHeight=700,
            StemV=80,
            FontFile2=file,
        )
        inner = pikepdf.Dictionary(
            Type=pikepdf.Name.Font,
            Subtype=pikepdf.Name.CIDFontType2,
            BaseFont=pikepdf.Name.TextLayer,
            CIDSystemInfo=pikepdf.Dictionary(
                Registry=pikepdf.String("Adobe"), Ordering=pikepdf.String("Identity"), Supplement=0
            ),
            FontDescriptor=self.pdf.make_indirect(described),
            DW=1000,
            CIDToGIDMap=self._stream(b"\x00\x01" * 65536),
        )
        return pikepdf.Dictionary(
            Type=pikepdf.Name.Font,
            Subtype=pikepdf.Name.Type0,
            BaseFont=pikepdf.Name.TextLayer,
            Encoding=pikepdf.Name("/Identity-H"),
            DescendantFonts=[self.pdf.make_indirect(inner)],
        )

    def finish(self) -> None:
        """Say what the text layer's codes mean, now that all are known."""
        if self.font is not None:
            self.font.ToUnicode = self._stream(meaning_of_codes(self.codes).encode("ascii"))

    def _stream(self, data: bytes, **keys: Any) -> Any:
        import pikepdf

        made = pikepdf.Stream(self.pdf, b"")
        made.write(zlib.compress(data, _FLATE_LEVEL), filter=pikepdf.Name.FlateDecode)
        for key, value in keys.items():
            made[f"/{key}"] = value
        return self.pdf.make_indirect(made)


class _Content:
    """The drawing of one page, in points."""

    def __init__(self, page: Page, writer: _Writer) -> None:
        self.page, self.writer = page, writer
        self.height_pt = page.height_mm * PT_PER_MM
        self.pictures: dict[str, str] = {}
        self.has_text = False
        self.lines: list[str] = []
        if page.correction != IDENTITY:
            a, b, c, d = page.correction
            x, y = page.width_mm * PT_PER_MM / 2, self.height_pt / 2
            self.lines.append(f"{_numbers(a, b, c, d, x - a * x - c * y, y - b * x - d * y)} cm")

    def draw(self, item: Shape | Line | PlacedPrint | ScaledPicture) -> None:
        """Draw one item over what is there."""
        if isinstance(item, Shape):
            self._shape(item)
        elif isinstance(item, Line):
            self._line(item)
        elif isinstance(item, PlacedPrint):
            self._print(item)
        else:
            self._scaled(item)

    def _shape(self, shape: Shape) -> None:
        if not any(len(contour) for contour in shape.contours) or (shape.fill is None and shape.stroke is None):
            return
        self.lines.append("q")
        if shape.fill is not None:
            self.lines.append(f"{_rgb(shape.fill)} rg")
        if shape.stroke is not None:
            self.lines.append(f"{_rgb(shape.stroke)} RG {_numbers(shape.line_mm * PT_PER_MM)} w")
            if shape.dashes_mm:
                self.lines.append(f"[{_numbers(*(length * PT_PER_MM for length in shape.dashes_mm))}] 0 d")
        self._contours(shape)
        painted = {(True, False): "f", (False, True): "S", (True, True): "B"}
        self.lines.append(f"{painted[shape.fill is not None, shape.stroke is not None]} Q")

    def _contours(self, shape: Shape) -> None:
        closed = " h" if shape.is_closed or shape.fill is not None else ""
        for contour in shape.contours:
            if len(contour):
                self.lines.append(_polygon(contour) + closed)

    def _line(self, line: Line) -> None:
        cos, sin = math.cos(line.turn_rad), math.sin(line.turn_rad)
        x, y = line.x_mm * PT_PER_MM, line.y_mm * PT_PER_MM
        if line.curves:
            self.lines.append(f"q {_rgb(line.colour)} rg {_numbers(cos, sin, -sin, cos, x, y)} cm")
            self.lines.extend(f"{_fine(numbers)} {step}".lstrip() for step, numbers in line.curves)
            self.lines.append("f Q")
        if not line.words:
            return
        self.has_text = True
        size = line.em_mm * PT_PER_MM
        self.lines.append(f"BT 3 Tr /F {_numbers(size)} Tf")
        for word in line.words:
            if not word.characters:
                continue
            along = word.start_mm * PT_PER_MM
            stretch = 100 * word.advance_mm * PT_PER_MM / (len(word.characters) * size)
            self.lines.append(
                f"{_numbers(max(stretch, 0.01))} Tz "
                f"{_numbers(cos, sin, -sin, cos, x + along * cos, y + along * sin)} Tm "
                f"<{self.writer.hex_codes(word.characters)}> Tj"
            )
        self.lines.append("ET")

    def _print(self, placed: PlacedPrint) -> None:
        picture, window = placed.picture, placed.window
        unit = _PT_PER_INCH / picture.dpi
        turns = placed.quarter_turns % 4
        across, down = (picture.width_px, picture.height_px)[:: -1 if turns % 2 else 1]
        left, top, wide, high = _turned_window(window, picture, turns)
        e = _INWARDS_PX
        self.lines.append("q")
        for contour in placed.clip:
            self.lines.append(_polygon(contour) + " h")
        if placed.clip:
            self.lines.append("W n")
        x, y = (placed.left_px + left + e) * unit, self.height_pt - (placed.top_px + top + high - e) * unit
        self.lines.append(f"{_numbers(x, y, (wide - 2 * e) * unit, (high - 2 * e) * unit)} re W n")
        x0, y0 = (placed.left_px + e) * unit, self.height_pt - (placed.top_px + down - e) * unit
        w, h = (across - 2 * e) * unit, (down - 2 * e) * unit
        matrix = (
            (w, 0, 0, h, x0, y0),
            (0, h, -w, 0, x0 + w, y0),
            (-w, 0, 0, -h, x0 + w, y0 + h),
            (0, -h, w, 0, x0, y0 + h),
        )[turns]
        self.lines.append(f"{_numbers(*matrix)} cm /{self._named(picture)} Do Q")

    def _scaled(self, placed: ScaledPicture) -> None:
        box = placed.box
        matrix = (box.width_mm, 0, 0, box.height_mm, box.left_mm, box.bottom_mm)
        self.lines.append(
            f"q {_numbers(*(number * PT_PER_MM for number in matrix))} cm /{self._named(placed.picture)} Do Q"
        )

    def _named(self, picture: PackedPicture) -> str:
        self.writer.picture(picture)
        return self.pictures.setdefault(picture.key, f"I{len(self.pictures)}")


def _turned_window(window: Any, picture: PackedPicture, turns: int) -> tuple[int, int, int, int]:
    """Return left, top, width and height of a window in the picture as turned, pixels from its upper left corner."""
    left, top, wide, high = window.left_px, window.top_px, window.width_px, window.height_px
    right, below = picture.width_px - left - wide, picture.height_px - top - high
    return ((left, top, wide, high), (top, right, high, wide), (right, below, wide, high), (below, left, high, wide))[
        turns
    ]


def _polygon(contour: Any) -> str:
    points = (contour * PT_PER_MM).tolist()
    return " ".join(f"{_numbers(x, y)} {'l' if index else 'm'}" for index, (x, y) in enumerate(points))


def _rgb(colour: Colour) -> str:
    return _numbers(colour.red / 255, colour.green / 255, colour.blue / 255)


def _numbers(*values: float) -> str:
    """Return numbers with at most six decimals, which is 4e-7 mm, and no more of them than are needed."""
    return " ".join(_number(value) for value in values)


def _fine(lengths_mm: Iterable[float]) -> str:
    """Return points of letters, at most three decimals: 2e-4 mm, and half the bytes of a page of text."""
    return " ".join(f"{length_mm * PT_PER_MM:.3f}".rstrip("0").rstrip(".") for length_mm in lengths_mm)


def _number(value: float) -> str:
    text = f"{value:.6f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _exact(value: float) -> Any:
    from decimal import Decimal

    return Decimal(_number(value))


def _within(box: Box, page: Page) -> tuple[float, float, float, float]:
    """Return a box cut to the sheet, since no page box may reach beyond it."""
    return (
        max(box.left_mm, 0.0),
        max(box.bottom_mm, 0.0),
        min(box.right_mm, page.width_mm),
        min(box.top_mm, page.height_mm),
    )
