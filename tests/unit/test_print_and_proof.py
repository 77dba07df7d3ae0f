"""Print, proof and thumbnail of the same placement."""

from __future__ import annotations

import hashlib
import io

import numpy as np
import pytest
from PIL import Image

from studio.basics.colour import Colour
from studio.basics.errors import VerificationError
from studio.geometry.shapes import Contours, bounds, circle
from studio.layout.placement import PlacedLettering, Placement
from studio.model.artwork import Artwork, ArtworkSetting
from studio.model.blank import Blank, Hole
from studio.model.sign import LetteringOrder, Ring, Sign
from studio.model.surface import Surface
from studio.render.ascii_art import thumbnail_base
from studio.render.coverage import coverage
from studio.render.pixels import blend_ink, mirror
from studio.render.print import print_base, print_base_key
from studio.render.proof import proof_base, proof_press

INK = Colour(18, 53, 42)
WOOD = Colour(222, 184, 135)
HOLED = Blank("tag", "round", 60.0, 60.0, holes=(Hole(0.0, 24.0, 6.0),))


def bar(left: float, bottom: float, right: float, top: float) -> np.ndarray:
    """Return an upright rectangle."""
    return np.array([(left, bottom), (right, bottom), (right, top), (left, top)])


def lettering(contours: Contours, colour: Colour = INK, ring: float = 0.0) -> PlacedLettering:
    """Return a lettering of given contours; with a ring, its box grown by that much stands for the ring's ink."""
    box = bounds(contours)
    around = (bar(box.left_mm - ring, box.bottom_mm - ring, box.right_mm + ring, box.top_mm + ring),) if ring else ()
    return PlacedLettering(
        *("Tess", "box", "Pacifico", "0" * 64, None, "even", "letters", 10.0, 7.0, ("Tess",), (), ()),
        contours=contours,
        colour=colour,
        ink_box=box,
        farthest_mm=20.0,
        ring=Ring(ring, Colour(200, 0, 0)) if ring else None,
        ring_contours=around,
    )


PLACED = Placement((lettering((bar(-15, -5, -9, 8), circle(5.3, 1.2, 6), circle(5.3, 1.2, 3)[::-1])),))


def sign_of(blank: Blank = HOLED, **changes: object) -> Sign:
    """Return a sign on wood at a density that tests quickly."""
    settings: dict[str, object] = {"dpi": 120, **changes}
    return Sign(blank, Surface("oak", 0.35, WOOD), (LetteringOrder("Tess"),), **settings)


def picture() -> tuple[ArtworkSetting, np.ndarray]:
    """Return a ring-shaped artwork with soft edges."""
    y, x = np.mgrid[-1:1:120j, -1:1:120j]
    pixels = np.zeros((120, 120, 4), np.uint8)
    pixels[..., 0], pixels[..., 1], pixels[..., 2] = 40, (x * 60 + 120).astype(np.uint8), 60
    pixels[..., 3] = np.clip((np.hypot(x, y) - 0.6) * 900, 0, 255).astype(np.uint8)
    return ArtworkSetting(Artwork("ring", "-", 120, 120, 66.0, 66.0)), pixels


def words(text: str) -> Contours:
    """Set a line as bars."""
    return tuple(bar(0.6 * at, 0.0, 0.6 * at + 0.4, 0.7) for at in range(len(text)))


@pytest.mark.parametrize("background", ["white", "transparent"])
def test_a_print_is_the_exact_flip_of_what_is_drawn(background: str) -> None:
    """Inking the unmirrored ground and flipping it once gives the print's pixels bit for bit."""
    setting, pixels = picture()
    base = print_base(sign_of(artwork=setting, background=background), pixels, words)
    upright = mirror(base.picture.pixels)
    blend_ink(upright, coverage(PLACED.letterings[0].contours, base.canvas.window), INK)
    assert np.array_equal(base.print_of(PLACED).pixels(), mirror(upright))


def test_a_print_decodes_to_its_pixels_at_its_size() -> None:
    """Pillow reads the print's pixels, size and density; the digest is of those pixels."""
    setting, pixels = picture()
    made = print_base(sign_of(artwork=setting), pixels, words).print_of(PLACED, order="0012")
    with Image.open(io.BytesIO(made.png)) as read:
        seen = np.asarray(read)
        assert read.info["dpi"][0] == pytest.approx(120, abs=0.02)
    assert np.array_equal(seen, made.pixels())
    assert seen.shape == (369, 369, 3)
    assert made.pixels_sha256() == hashlib.sha256(seen.tobytes()).hexdigest()


def test_a_sign_made_after_others_is_the_sign_made_alone() -> None:
    """A base that has made another sign gives the same bytes as a fresh one."""
    setting, pixels = picture()
    other = Placement((lettering((bar(-20, -12, 20, 12),)),))
    used = print_base(sign_of(artwork=setting), pixels, words)
    used.print_of(other, order="0001 Otter Cove")
    fresh = print_base(sign_of(artwork=setting), pixels, words)
    assert used.print_of(PLACED, order="0012").png == fresh.print_of(PLACED, order="0012").png


def test_only_lettering_and_order_differ_between_signs() -> None:
    """Two prints from one base differ in no pixel outside lettering and order."""
    base = print_base(sign_of(), None, words)
    one, other = base.print_of(PLACED, order="0012").pixels(), base.print_of(PLACED, order="0013 Tess").pixels()
    rows = np.nonzero((one != other).any(axis=(1, 2)))[0]
    assert rows.min() > one.shape[0] * 0.9


def test_a_print_verifies_its_own_bytes_only() -> None:
    """The print accepts its bytes and refuses another sign's, even from the same base."""
    base = print_base(sign_of(), None, words)
    made, other = base.print_of(PLACED, order="1"), base.print_of(PLACED, order="12")
    made.verify(made.png)
    with pytest.raises(VerificationError):
        made.verify(other.png)


def test_rings_lie_below_letters() -> None:
    """Where ring and letter overlap the letter's colour is seen, beside it the ring's."""
    base = print_base(sign_of(), None)
    made = mirror(base.print_of(Placement((lettering((bar(-4, -4, 4, 4),), ring=3.0),))).pixels())
    middle = made.shape[0] // 2
    assert made[middle, middle].tolist() == list(INK.rgb)
    assert made[middle, middle + int(5.5 / 25.4 * 120)].tolist() == [200, 0, 0]


def test_letterings_whose_boxes_overlap_keep_both() -> None:
    """Two letterings in one another's bounding boxes are both there in full."""
    corner = np.array([(-12.0, -12.0), (12.0, -12.0), (12.0, -9.0), (-9.0, -9.0), (-9.0, 12.0), (-12.0, 12.0)])
    both = Placement((lettering((corner,)), lettering((bar(0, 0, 8, 8),), Colour(90, 0, 0))))
    base = print_base(sign_of(), None)
    made = mirror(base.print_of(both).pixels())
    window = base.canvas.window
    assert (made[coverage((corner,), window) == 255] == INK.rgb).all()
    assert (made[coverage((bar(0, 0, 8, 8),), window) == 255] == (90, 0, 0)).all()


def test_base_keys_tell_signs_apart_that_print_differently() -> None:
    """The text does not change the base, the density and the background do."""
    plain = sign_of()
    other = Sign(plain.blank, plain.surface, (LetteringOrder("Otter Cove"),), dpi=120)
    assert print_base_key(plain) == print_base_key(other)
    assert print_base_key(plain) != print_base_key(sign_of(dpi=121))
    assert print_base_key(plain) != print_base_key(sign_of(background="transparent"))


def test_the_proof_reads_the_right_way_round_and_is_cut() -> None:
    """The proof is 1200 pixels, unmirrored, clear outside the rim and in the hole, bare wood where unprinted."""
    base = proof_base(sign_of(), None)
    made = proof_press(base).proof_of(PLACED).pixels()
    assert made.shape == (1200, 1200, 4)
    assert made[0, 0].tolist() == [0, 0, 0, 0]
    assert made[600 - 24 * 20, 600].tolist() == [0, 0, 0, 0]
    assert made[900, 900].tolist() == [*WOOD.rgb, 255]
    left, right = made[580, 600 - 12 * 20, :3], made[580, 600 + 12 * 20, :3]
    assert left.sum() < right.sum()


def test_the_proof_is_print_times_wood() -> None:
    """A lettering's colour is darkened by the wood, and white ink leaves bare wood."""
    base = proof_base(sign_of(), None, 300)
    white = base.pixels_of(Placement((lettering((bar(-9, -9, 9, 9),), Colour(255, 255, 255)),)))
    assert np.array_equal(white, base.pressed)
    dark = base.pixels_of(Placement((lettering((bar(-9, -9, 9, 9),), Colour(128, 128, 128)),)))
    assert (dark[150, 150, :3] < np.minimum(WOOD.rgb, 128)).all()


def test_the_longer_side_of_a_proof_is_1200() -> None:
    """A tall blank is 1200 pixels high and as wide as it is in proportion."""
    window = proof_base(sign_of(Blank("tall", "rect", 50.0, 200.0)), None).window
    assert (window.width_px, window.height_px) == (300, 1200)


def test_a_proof_file_decodes_to_the_proof() -> None:
    """Pillow reads the spliced proof as the pixels that the base gives for the placement."""
    setting, pixels = picture()
    base = proof_base(sign_of(artwork=setting), pixels)
    made = proof_press(base).proof_of(PLACED)
    with Image.open(io.BytesIO(made.png)) as read:
        assert np.array_equal(np.asarray(read), base.pixels_of(PLACED))


def test_the_thumbnail_is_ascii_within_its_width() -> None:
    """Every line is printable ASCII, at most as wide as asked for, and none ends in a space."""
    setting, pixels = picture()
    base = proof_base(sign_of(artwork=setting), pixels)
    for columns in (20, 60, 101):
        drawn = thumbnail_base(base, columns).draw(PLACED)
        lines = drawn.splitlines()
        assert drawn.endswith("\n")
        assert all(line.isascii() and line.isprintable() for line in lines if line)
        assert max(map(len, lines)) <= columns
        assert len(lines) == columns // 2 + columns % 2
        assert all(line == line.rstrip() for line in lines)


def test_the_thumbnail_shows_where_the_name_sits() -> None:
    """Solid signs stand in the cells that the lettering covers and in no others."""
    wide = Placement((lettering((bar(-20, -6, 4, 6),)),))
    lines = thumbnail_base(proof_base(sign_of(), None)).draw(wide).splitlines()
    solid = [(row, column) for row, line in enumerate(lines) for column, sign in enumerate(line) if sign == "8"]
    columns = [column for _, column in solid]
    rows = [row for row, _ in solid]
    assert (min(columns), max(columns)) == (10, 33)
    assert (min(rows), max(rows)) == (12, 17)


def test_the_thumbnail_shows_rim_and_hole_of_a_bare_sign() -> None:
    """A bare round without a name shows its rim on every line and its hole."""
    drawn = thumbnail_base(proof_base(sign_of(), None)).draw(None)
    assert drawn.count("O") == 1
    assert all(line.strip() for line in drawn.splitlines())


def test_the_thumbnail_of_a_tall_blank_stays_short() -> None:
    """A blank ten times as high as wide takes at most 60 lines."""
    base = proof_base(sign_of(Blank("post", "rect", 30.0, 300.0)), None)
    assert len(thumbnail_base(base).draw(None).splitlines()) == 60
