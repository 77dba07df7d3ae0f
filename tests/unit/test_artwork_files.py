"""The eight artworks that come with the program: size, weight, colours, and room for a name."""

from __future__ import annotations

import struct
import tomllib
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

FOLDER = Path(__file__).parents[2] / "assets" / "artwork"
NAMES = (
    "campfire-stars",
    "canoe-dawn",
    "fern-berries",
    "lantern",
    "leaping-trout",
    "loon-lake",
    "mountain-ridge",
    "pine-ring",
)
SIZE_MM, SIZE_PX = 260.0, 3071
SAFE_MM = 127.0 - 0.04 * 254.0
# A ten-letter name with a cap height of 18 mm, its descenders included: 106 mm wide in the default face, up to 179 mm
# in the widest of the faces that come along, measured on their advances; 110 mm by 30 mm serves half of them.
NAME_MM = (110.0, 30.0)


@pytest.fixture(scope="module", params=NAMES)
def name(request: pytest.FixtureRequest) -> str:
    """Each piece in turn."""
    return str(request.param)


@pytest.fixture(scope="module")
def alpha(name: str) -> NDArray[np.uint8]:
    """How opaque each pixel of the piece is."""
    with Image.open(FOLDER / f"{name}.png") as image:
        return np.asarray(image.getchannel("A"))


@pytest.fixture(scope="module")
def facts(name: str) -> dict[str, object]:
    """What the piece's own file states."""
    return tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))


def radius_mm(size_px: int) -> NDArray[np.float64]:
    """Each pixel's distance from the centre in mm."""
    along = (np.arange(size_px) + 0.5) * SIZE_MM / size_px - SIZE_MM / 2
    return np.hypot(along[:, None], along[None, :])


def box_px(x_mm: float, y_mm: float, width_mm: float, height_mm: float) -> tuple[slice, slice]:
    """The rows and columns of a box in mm, y up."""

    def at(mm: float) -> int:
        return int(np.floor((mm + SIZE_MM / 2) * SIZE_PX / SIZE_MM + 0.5))

    return (
        slice(at(-y_mm - height_mm / 2), at(-y_mm + height_mm / 2)),
        slice(at(x_mm - width_mm / 2), at(x_mm + width_mm / 2)),
    )


def luminance(colour: str) -> float:
    """Relative luminance of `#rrggbb` (WCAG 2.2)."""
    channels = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255
    linear = np.where(channels <= 0.04045, channels / 12.92, ((channels + 0.055) / 1.055) ** 2.4)
    return float(linear @ np.array([0.2126, 0.7152, 0.0722]))


def has_room(free: NDArray[np.bool_], step_mm: float) -> bool:
    """Whether an upright box of NAME_MM lies wholly on free cells."""
    high, wide = (int(np.ceil(length / step_mm)) for length in reversed(NAME_MM))
    taken = np.pad(np.cumsum(np.cumsum(~free, axis=0), axis=1), ((1, 0), (1, 0)))
    inside = taken[high:, wide:] - taken[:-high, wide:] - taken[high:, :-wide] + taken[:-high, :-wide]
    return bool((inside == 0).any())


def test_there_are_eight_pictures_each_with_its_facts() -> None:
    """The folder holds exactly the eight pieces, each a picture and a page of facts."""
    assert sorted(path.stem for path in FOLDER.glob("*.png")) == list(NAMES)
    assert sorted(path.stem for path in FOLDER.glob("*.toml")) == list(NAMES)


def test_picture_has_the_exact_size_and_resolution(name: str) -> None:
    """Each picture is 3071 x 3071 RGBA of 8 bits, tagged sRGB and 300 dpi, and under 4 MB."""
    data = (FOLDER / f"{name}.png").read_bytes()
    assert len(data) < 4_000_000
    width, height, depth, kind = struct.unpack(">IIBB", data[16:26])
    assert (width, height, depth, kind) == (SIZE_PX, SIZE_PX, 8, 6)
    assert b"sRGB" in data[:100]
    start = data.index(b"pHYs") + 4
    assert struct.unpack(">IIB", data[start : start + 9]) == (11811, 11811, 1)


def test_facts_are_complete(facts: dict[str, object]) -> None:
    """Each page of facts names title, description, size, lettering colour and bleed, and nothing unknown."""
    known = {"title", "description", "width_mm", "height_mm", "lettering_color", "full_bleed"}
    assert known <= facts.keys() <= known | {"open_area", "layout", "keep"}
    assert (facts["width_mm"], facts["height_mm"]) == (SIZE_MM, SIZE_MM)
    assert facts["title"]
    assert "\n" not in str(facts["description"])


def test_lettering_colour_stands_out_on_painted_wood(facts: dict[str, object]) -> None:
    """The lettering colour has a contrast of at least 4.5 to 1 against #f4efe6 (WCAG 2.2, 1.4.3)."""
    paper, ink = luminance("#f4efe6"), luminance(str(facts["lettering_color"]))
    assert (paper + 0.05) / (ink + 0.05) >= 4.5


def test_there_is_room_for_a_ten_letter_name(alpha: NDArray[np.uint8]) -> None:
    """Inside the safe zone of a 10 in round there is a box of bare wood, 110 x 30 mm, with no ink at all in it."""
    step = 10
    cells = alpha[: SIZE_PX // step * step, : SIZE_PX // step * step]
    inked = cells.reshape(SIZE_PX // step, step, SIZE_PX // step, step).max(axis=(1, 3)) > 0
    safe = radius_mm(SIZE_PX // step) <= SAFE_MM
    assert has_room(~inked & safe, step * SIZE_MM / SIZE_PX)


def test_stated_open_area_is_bare(facts: dict[str, object], alpha: NDArray[np.uint8]) -> None:
    """Where a piece states its open area, that box holds no ink and lies within the safe zone."""
    area = facts.get("open_area")
    if area is None:
        # The area is to be found from the picture: nothing stated, so at least a third of the round must be bare.
        assert (alpha[radius_mm(SIZE_PX) <= SAFE_MM] == 0).mean() > 1 / 3
        return
    assert isinstance(area, dict)
    box = {key: float(area[key]) for key in ("x_mm", "y_mm", "width_mm", "height_mm")}
    assert alpha[box_px(**box)].max() == 0
    corner = np.hypot(abs(box["x_mm"]) + box["width_mm"] / 2, abs(box["y_mm"]) + box["height_mm"] / 2)
    assert corner <= SAFE_MM


def test_picture_runs_off_the_edge_where_it_says(facts: dict[str, object], alpha: NDArray[np.uint8]) -> None:
    """A full-bleed piece covers the whole rim out to 3 mm past the edge; any other reaches past it in part."""
    radius = radius_mm(SIZE_PX)
    rim = alpha[(radius >= 124.0) & (radius <= 130.0)]
    if facts["full_bleed"]:
        assert (rim == 255).mean() > 0.9999
    else:
        assert 0.1 < (rim == 255).mean() < 0.95


def test_pine_ring_leaves_the_centre_open() -> None:
    """The default piece has no ink within 80 mm of its centre."""
    with Image.open(FOLDER / "pine-ring.png") as image:
        alpha = np.asarray(image.getchannel("A"))
    assert alpha[radius_mm(SIZE_PX) <= 80.0].max() == 0


def test_at_most_three_pieces_state_their_open_area() -> None:
    """In at least five pieces the bare part is plain enough to be found from the picture."""
    stated = [path for path in FOLDER.glob("*.toml") if "open_area" in tomllib.loads(path.read_text(encoding="utf-8"))]
    assert len(stated) <= 3
