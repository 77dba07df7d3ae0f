"""Draws the pictures of the README, each a sign made by the program: `python demo/draw_pictures.py`."""

from __future__ import annotations

import io
import sys
import tempfile
import zlib
from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np
from PIL import Image, ImageChops, ImageDraw

from studio.model.options import option_keys
from studio.model.sign import DEFAULT_COLOUR, FaceChoice
from studio.orders.order_list import OrderList, read_orders
from studio.orders.order_row import OrderRow
from studio.pipeline.make import Product, make
from studio.production.captions import caption_line
from studio.production.paperwork import PaperworkMaker
from studio.production.run import RunOptions, run_orders
from studio.production.same_size import same_sized
from studio.production.sign_sheets import SheetOptions, on_paper, sheets_for, wish_of
from studio.production.sign_source import ShopMakerSetup
from studio.production.strip_files import set_line
from studio.render.coverage import coverage
from studio.render.pixel_grid import PixelWindow
from studio.render.pixels import blend_ink
from studio.sheets.gang import GangSign
from studio.sheets.gang_sheets import gang_sheets
from studio.sheets.page import Page, PlacedPrint
from studio.sheets.pressing.page_picture import page_pixels
from studio.sheets.ruler_page import ruler_page
from studio.storage.assets import FileAssets
from studio.storage.catalogue import Catalogue
from studio.storage.sign_builder import build_sign
from studio.storage.workspace import open_shop
from studio.strip.drawing import strip_png
from studio.strip.found_picture import found_picture
from studio.strip.reading import read_strip
from studio.text.shaping import shape_line

PICTURES: Final = Path(__file__).parent / "pictures"
PAPER: Final = (232, 224, 210)
INK: Final = DEFAULT_COLOUR
SPECIMEN: Final = "Marlow & Tess"


class Sheet:
    """A page that proofs and lines of type are laid on."""

    def __init__(self, width_px: int, height_px: int, assets: FileAssets) -> None:
        self.page = Image.new("RGB", (width_px, height_px), PAPER)
        self.assets = assets

    def lay(self, png: bytes, left: int, top: int, longer_px: int) -> None:
        """Lay a picture file on the page, its longer side `longer_px`."""
        with Image.open(io.BytesIO(png)) as picture:
            part = picture.convert("RGBA")
        part.thumbnail((longer_px, longer_px), Image.Resampling.LANCZOS)
        self.page.paste(part, (left, top), part)

    def line(self, text: str, left: int, baseline: int, em_px: float, face: FaceChoice | None = None) -> None:
        """Set a line of type."""
        chosen = self.assets.face(face or FaceChoice("Nunito", 700))
        line = shape_line(text, chosen)
        contours = tuple(contour * em_px for contour in line.contours_em)
        pixels = np.array(self.page)
        window = PixelWindow(1.0, -left, baseline, pixels.shape[1], pixels.shape[0])
        blend_ink(pixels, coverage(contours, window), INK)
        self.page = Image.fromarray(pixels)

    def save(self, name: str) -> None:
        """Write the page with as few colours as look the same."""
        small = self.page.quantize(256, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.FLOYDSTEINBERG)
        small.save(PICTURES / name, optimize=True)


def main() -> None:
    """Draw every picture."""
    PICTURES.mkdir(exist_ok=True)
    catalogue = open_shop(environment={}).catalogue
    assets = FileAssets(catalogue)
    first_sign(catalogue, assets)
    compositions(catalogue, assets)
    same_size(catalogue, assets)
    artworks(catalogue, assets)
    faces(catalogue, assets)
    spacing(catalogue, assets)
    repair(catalogue, assets)
    woods(catalogue, assets)
    press_card_page(catalogue, assets)
    beside_the_print(catalogue, assets)
    on_two_sheets(catalogue, assets)
    on_a_shared_sheet(catalogue, assets)
    test_strip(assets)
    season()


def made(text: str, catalogue: Catalogue, assets: FileAssets, **options: str) -> Product:
    """Return a sign made."""
    return make(build_sign(text, options, catalogue), assets)


def first_sign(catalogue: Catalogue, assets: FileAssets) -> None:
    """The proof beside the print that it came from."""
    product = made(SPECIMEN, catalogue, assets)
    assert product.print_png is not None and product.proof_png is not None
    sheet = Sheet(1240, 640, assets)
    sheet.lay(product.proof_png, 40, 40, 520)
    sheet.lay(product.print_png, 640, 22, 556)
    sheet.line("the proof: what the customer sees", 40, 612, 26)
    sheet.line("the print: mirrored, with its marks", 640, 612, 26)
    sheet.save("first-sign.png")


def compositions(catalogue: Catalogue, assets: FileAssets) -> None:
    """One name under the four compositions."""
    sheet = Sheet(1400, 440, assets)
    for column, how in enumerate(("largest", "full", "balanced", "calm")):
        product = made("The Bear Den", catalogue, assets, artwork="none", face="Alfa Slab One", composition=how)
        assert product.proof_png is not None and product.plan.placement is not None
        left = 30 + column * 345
        sheet.lay(product.proof_png, left, 30, 310)
        cap_mm = product.plan.placement.letterings[0].cap_height_mm
        sheet.line(f"--composition {how}", left, 376, 22)
        sheet.line(f"capitals {cap_mm:.0f} mm", left, 408, 18)
    sheet.save("compositions.png")


def same_size(catalogue: Catalogue, assets: FileAssets) -> None:
    """One list as each name comes out alone, and with capitals of one height."""
    names = ("Bo", "Ida", "Otto", "Juniper", "Emberly", "Lindqvist")
    sheet = Sheet(1400, 600, assets)
    for row, wish in enumerate(("no", "list")):
        setup = ShopMakerSetup(catalogue, {"face": "Pacifico", "same_size": wish})
        maker = setup()
        rows = tuple(OrderRow(number + 1, number + 2, name) for number, name in enumerate(names))
        for column, order in enumerate(same_sized(OrderList(rows, (), ()), setup).rows):
            product = make(maker.sign_of(order), assets)
            if product.proof_png is not None:
                sheet.lay(product.proof_png, 25 + column * 229, 25 + row * 285, 205)
        sheet.line(f"--same-size {wish}", 25, 265 + row * 285, 22)
    sheet.save("same-size.png")


def artworks(catalogue: Catalogue, assets: FileAssets) -> None:
    """Every artwork with a name on it."""
    names = (
        "Wren & Otto",
        "Cabin Nine",
        "Juniper",
        "The Lamplighters",
        "Perch Point",
        "Loon Song",
        "High Camp",
        "Ottilie",
    )
    sheet = Sheet(1400, 800, assets)
    for index, (artwork, name) in enumerate(zip(catalogue.artworks, names, strict=False)):
        product = made(name, catalogue, assets, artwork=artwork.name)
        left, top = 30 + index % 4 * 345, 30 + index // 4 * 385
        if product.proof_png is not None:
            sheet.lay(product.proof_png, left, top, 310)
        sheet.line(artwork.name, left, top + 344, 24)
    sheet.save("artworks.png")


def faces(catalogue: Catalogue, assets: FileAssets) -> None:
    """A line in every face, at its good weight."""
    rows = (len(catalogue.faces) + 1) // 2
    sheet = Sheet(1240, 40 + rows * 96, assets)
    for index, entry in enumerate(catalogue.faces):
        text = "नमस्ते" if "devanagari" in entry.name.lower() else SPECIMEN
        left, baseline = 40 + index // rows * 610, 96 + index % rows * 96
        face = assets.face(FaceChoice(entry.name))
        sheet.line(text, left, baseline, 36 / face.cap_height_em, FaceChoice(entry.name))
        sheet.line(face.label, left, baseline + 26, 15)
    sheet.save("faces.png")


def spacing(catalogue: Catalogue, assets: FileAssets) -> None:
    """One name on the same arc with plain and with even spacing, along the top and along the bottom."""
    sheet = Sheet(1240, 1250, assets)
    for column, kind in enumerate(("plain", "even")):
        for row, layout in enumerate(("arc-top", "arc-bottom")):
            product = made(
                "WAVE HILL",
                catalogue,
                assets,
                artwork="none",
                face="Roboto Slab",
                layout=layout,
                spacing=kind,
                cap="25mm",
            )
            left, top = 50 + column * 610, 40 + row * 605
            if product.proof_png is not None:
                sheet.lay(product.proof_png, left, top, 530)
            sheet.line(f"--layout {layout} --spacing {kind}", left + 110, top + 562, 24)
    sheet.save("spacing.png")


def repair(catalogue: Catalogue, assets: FileAssets) -> None:
    """One name before and after a repair, pressed into bare wood."""
    sheet = Sheet(1240, 660, assets)
    options = {"artwork": "none", "face": "Nunito", "weight": "250"}
    options |= {"surface": "bare", "blank": "round-6in", "layout": "box"}
    for column, how in enumerate(("none", "weight")):
        product = made("Wilhelmina", catalogue, assets, repair=how, **options)
        fine = product.plan.thickness[0].thinnest_stroke_mm or 0.0
        if product.proof_png is not None:
            sheet.lay(product.proof_png, 50 + column * 610, 30, 530)
        words = "as asked" if how == "none" else f"--repair {how}"
        sheet.line(f"{words}: thinnest stroke {fine:.2f} mm", 50 + column * 610, 618, 24)
    sheet.line(f"bare wood holds {product.plan.sign.surface.finest_stroke_mm:.2f} mm", 50, 646, 18)
    sheet.save("repair.png")


def woods(catalogue: Catalogue, assets: FileAssets) -> None:
    """One sign on four bare woods."""
    sheet = Sheet(1480, 430, assets)
    for index, wood in enumerate(("maple", "birch", "basswood", "pine")):
        product = made(SPECIMEN, catalogue, assets, artwork="fern-berries", surface="bare", wood=wood)
        assert product.proof_png is not None
        sheet.lay(product.proof_png, 24 + index * 362, 24, 346)
        sheet.line(wood, 24 + index * 362, 408, 24)
    sheet.save("woods.png")


def _paperwork(catalogue: Catalogue, assets: FileAssets, **options: str) -> PaperworkMaker:
    return PaperworkMaker(made(SPECIMEN, catalogue, assets, **options), assets, catalogue)


def press_card_page(catalogue: Catalogue, assets: FileAssets) -> None:
    """The press card of a sign on film."""
    (page,) = _paperwork(catalogue, assets, surface="film").pages("card")
    sheet = Sheet(800, 1020, assets)
    sheet.page.paste(_page_picture(page, 740), (30, 31))
    sheet.save("press-card.png")


def beside_the_print(catalogue: Catalogue, assets: FileAssets) -> None:
    """The approval, the first sheet of the template, the ruler page, and how to hang a sign with a rope."""
    rope = _paperwork(catalogue, assets, blank="round-12in-rope", artwork_fit="cover")
    letter = catalogue.paper("letter")
    ruler = ruler_page(letter.width_mm, letter.height_mm, caption_line, printer="kitchen", paper="letter")
    pages = (*_paperwork(catalogue, assets).pages("approval")[:1], rope.pages("template")[1], ruler)
    sheet = Sheet(1700, 590, assets)
    for number, page in enumerate((*pages, *rope.pages("hanging")[:1])):
        sheet.page.paste(_page_picture(page, 400), (20 + number * 420, 20))
    for number, words in enumerate(("approval", "template", "ruler page", "hanging")):
        sheet.line(words, 20 + number * 420, 570, 26)
    sheet.save("beside-the-print.png")


def test_strip(assets: FileAssets) -> None:
    """The test strip's print, a photo of it pressed on maple (simulated), and what was found in that photo."""
    sys.path.insert(0, str(Path(__file__).parents[1]))
    from tests.strip.simulator import Camera, Press, photographed, pressed

    png = strip_png(set_line)
    scene = pressed(png, Press(along_mm=0.34, across_mm=0.24, wood="maple", texture=0.04), 12)
    camera = Camera(px_per_mm=16, turn_deg=9, tilt_deg=12, tilt_towards_deg=60, light=0.2, noise=0.006, jpeg=90)
    photo = photographed(scene, replace(camera, table="dark", room=1.06), 12)
    found = found_picture(read_strip(photo), set_line)
    sheet = Sheet(1700, 920, assets)
    sheet.lay(png, 30, 30, 640)
    held = io.BytesIO()
    Image.fromarray(photo).save(held, "PNG")
    sheet.lay(held.getvalue(), 30, 456, 640)
    sheet.lay(found, 710, 30, 960)
    sheet.line("the print, mirrored", 30, 436, 26)
    sheet.line("pressed on maple and photographed (simulated)", 30, 906, 26)
    sheet.line("what was found in the photo", 710, 740, 26)
    sheet.page.save(PICTURES / "strip.jpg", quality=88)  # a photo takes more colours than the palette of the others


def _page_picture(page: Page, width_px: int) -> Image.Image:
    """Return a page as a picture so many pixels wide."""
    drawn = Image.fromarray(page_pixels(page, 2 * width_px / page.width_mm * 25.4))
    return drawn.resize((width_px, round(width_px * page.height_mm / page.width_mm)), Image.Resampling.LANCZOS)


def on_two_sheets(catalogue: Catalogue, assets: FileAssets) -> None:
    """The default sign on two letter sheets, and what they come to once joined and pressed."""
    product = made(SPECIMEN, catalogue, assets)
    wish = wish_of(SheetOptions(paper="letter"), catalogue)
    assert wish is not None and product.proof_png is not None
    sheets = sheets_for(product, wish)
    sheet = Sheet(1640, 760, assets)
    for number, page in enumerate(sheets.pages):
        sheet.page.paste(_sheet_picture(page, 500), (30 + number * 530, 30))
        sheet.line(f"sheet {number + 1} of {len(sheets.pages)}, seen from the printed side", 30 + number * 530, 724, 24)
    sheet.lay(product.proof_png, 1100, 100, 510)
    sheet.line("joined and pressed", 1220, 724, 24)
    sheet.save("on-two-sheets.png")


def on_a_shared_sheet(catalogue: Catalogue, assets: FileAssets) -> None:
    """Small signs of several shapes on one letter sheet."""
    wish = wish_of(SheetOptions(paper="letter"), catalogue)
    assert wish is not None
    signs = []
    for text, blank, artwork in (
        ("Marlow", "round:3in", "pine-ring"),
        ("Nora", "round:3in", "pine-ring"),
        ("Tess", "round:3in", "pine-ring"),
        ("Pikewater", "oval:4inx2.5in", "fern-berries"),
        ("Cabin 7", "rect:3.5inx1.75in:4mm", "none"),
        ("Juniper", "rect:3.5inx1.75in:4mm", "none"),
    ):
        options = {"blank": blank, "artwork": artwork, "min_cap": "2mm"}
        product = made(text, catalogue, assets, **options, **({} if artwork == "none" else {"artwork_fit": "cover"}))
        assert product.print is not None
        known = on_paper(product)
        signs.append(GangSign(known.name, f"PW-{101 + len(signs)}", known.rim, known.bleed_mm, known.picture))
    shared = gang_sheets(signs, wish, caption_line)
    sheet = Sheet(620, 790, assets)
    sheet.page.paste(_sheet_picture(shared.pages[0], 560), (30, 30))
    sheet.save("on-a-shared-sheet.png")


def _sheet_picture(page: Page, width_px: int) -> Image.Image:
    """Return a sheet with its prints as a picture so many pixels wide."""
    plain = replace(page, items=tuple(item for item in page.items if not isinstance(item, PlacedPrint)))
    dpi = 3 * width_px / page.width_mm * 25.4
    drawn = Image.fromarray(page_pixels(plain, dpi))
    for item in page.items:
        if isinstance(item, PlacedPrint):
            _lay_print(drawn, item, page.height_mm, dpi)
    return drawn.resize((width_px, round(width_px * page.height_mm / page.width_mm)), Image.Resampling.LANCZOS)


def _lay_print(drawn: Image.Image, placed: PlacedPrint, height_mm: float, dpi: float) -> None:
    """Lay a print's window on a picture of its page, cut to its outline."""
    picture, window, scale = placed.picture, placed.window, dpi / placed.picture.dpi
    rows = np.frombuffer(zlib.decompress(picture.packed()), np.uint8).reshape(picture.height_px, -1)[:, 1:]
    pixels = np.cumsum(rows.reshape(picture.height_px, picture.width_px, 3), axis=1, dtype=np.uint8)
    shown = Image.new("L", (picture.width_px, picture.height_px))
    across, down = window.left_px + window.width_px, window.top_px + window.height_px
    shown.paste(255, (window.left_px, window.top_px, across, down))
    turn = 90 * placed.quarter_turns
    whole, mask = Image.fromarray(pixels).rotate(turn, expand=True), shown.rotate(turn, expand=True)
    size = (round(whole.width * scale), round(whole.height * scale))
    cut = Image.new("L", drawn.size)
    for contour in placed.clip:
        points = [(x * dpi / 25.4, (height_mm - y) * dpi / 25.4) for x, y in contour.tolist()]
        ImageDraw.Draw(cut).polygon(points, fill=255)
    place = (round(placed.left_px * scale), round(placed.top_px * scale))
    within = Image.new("L", drawn.size)
    within.paste(mask.resize(size), place)
    laid = Image.new("RGB", drawn.size)
    laid.paste(whole.resize(size, Image.Resampling.LANCZOS), place)
    drawn.paste(laid, (0, 0), ImageChops.multiply(within, cut))


def season() -> None:
    """The upper half of the contact sheet of Pikewater's list."""
    orders = read_orders((PICTURES.parent / "season.csv").read_bytes(), option_names=option_keys())
    shop = open_shop()
    with tempfile.TemporaryDirectory() as home:
        for _ in run_orders(orders, ShopMakerSetup(shop.catalogue, shop.values), RunOptions(Path(home), jobs=1)):
            pass
        with Image.open(Path(home) / "contact.png") as opened:
            sheet = opened.convert("RGB")
    upper = sheet.crop((0, 0, sheet.width, int(sheet.height * 0.495)))
    upper.thumbnail((1000, 1000), Image.Resampling.LANCZOS)
    small = upper.quantize(128, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.FLOYDSTEINBERG)
    small.save(PICTURES / "season.png", optimize=True)


if __name__ == "__main__":
    main()
