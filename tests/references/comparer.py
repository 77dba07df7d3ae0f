"""Reference pictures: how a picture and a placement are compared with what is kept, and what a difference says.

Decoded pixels are compared, never file bytes. A placement is compared in millimetres first, so that a difference says
what moved before anyone looks at pixels.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any, Final

import numpy as np
from PIL import Image

from studio.layout.placement import PlacedLettering, Placement
from studio.pipeline.sign_report import versions

LARGEST_STEP: Final = 1
"""Most that a channel of a pixel may differ by; a case that needs more says why."""
LARGEST_MOVE_MM: Final = 0.002
LARGEST_FILE: Final = 64_000
DECIDING: Final = ("freetype", "harfbuzz", "pillow", "numpy", "skia-pathops")
"""Libraries that decide pixels: references are renewed with the kept versions of these only."""


def compare(actual: Image.Image, reference: Path, step: int = LARGEST_STEP) -> tuple[str, Image.Image | None]:
    """Return how a picture differs from its reference in words, empty when it does not, and a sheet that shows where.

    The sheet holds what is expected, a mask of the pixels that differ, and the actual picture side by side.
    """
    if not reference.exists():
        return f"{reference.name}: there is no such reference", None
    with Image.open(reference) as kept:
        expected = kept.copy()
    if (expected.mode, expected.size) != (actual.mode, actual.size):
        told = f"{reference.name}: reference is {expected.mode} {expected.size}, got {actual.mode} {actual.size}"
        return told, None
    steps = np.abs(np.asarray(actual, np.int16) - np.asarray(expected, np.int16)).max(axis=2)
    wrong = steps > step
    if not wrong.any():
        return "", None
    sheet = Image.new("RGB", (3 * actual.width, actual.height), "white")
    mask = Image.fromarray(np.where(wrong, 255, 0).astype(np.uint8))
    for column, picture in enumerate((expected, mask, actual)):
        sheet.paste(picture.convert("RGB"), (column * actual.width, 0))
    return f"{reference.name}: {wrong.sum()} pixels differ, by up to {steps.max()} steps", sheet


def moved(actual: list[Any], expected: list[Any]) -> list[str]:
    """Return what a placement does differently from the kept one, in words and millimetres."""
    if len(actual) != len(expected):
        return [f"{len(expected)} letterings expected, {len(actual)} found"]
    told = []
    for now, kept in zip(actual, expected, strict=True):
        for key in kept.keys() | now.keys():
            if key != "glyphs" and not _alike(now.get(key), kept.get(key)):
                told.append(f"“{kept['text']}”: {key} was {kept.get(key)}, is {now.get(key)}")
        names = [[(glyph["text"], glyph["face"], glyph["id"]) for glyph in one["glyphs"]] for one in (now, kept)]
        if names[0] != names[1]:
            told.append(f"“{kept['text']}”: other glyphs: {names[0]} for {names[1]}")
            continue
        for new, old in zip(now["glyphs"], kept["glyphs"], strict=True):
            way = math.hypot(new["x_mm"] - old["x_mm"], new["y_mm"] - old["y_mm"])
            if way > LARGEST_MOVE_MM or abs(new["angle_deg"] - old["angle_deg"]) > LARGEST_MOVE_MM:
                told.append(
                    f"“{old['text']}” moved by {way:.3f} mm to {new['x_mm']:.3f}, {new['y_mm']:.3f} and turned by "
                    f"{new['angle_deg'] - old['angle_deg']:.3f} degrees"
                )
    return told


def placement_json(placement: Placement) -> list[dict[str, Any]]:
    """Return a placement as it is kept."""
    return [_lettering_json(lettering) for lettering in placement.letterings]


def strangers(library: dict[str, str]) -> list[str]:
    """Return which libraries are of other versions than those the references were made with."""
    here = versions()
    return [
        f"{name} {library.get(name)} kept, {here[name]} here" for name in DECIDING if library.get(name) != here[name]
    ]


def written(value: object) -> str:
    """Return a value as JSON text, one glyph to a line."""
    text = json.dumps(value, ensure_ascii=False, indent=1)
    return f"{text}\n"


def _lettering_json(lettering: PlacedLettering) -> dict[str, Any]:
    box = lettering.ink_box
    return {
        "text": lettering.text,
        "layout": lettering.layout,
        "face": lettering.face,
        "weight": lettering.weight,
        "spacing": lettering.spacing,
        "follow": lettering.follow,
        "lines": list(lettering.lines),
        "em_mm": round(lettering.em_mm, 4),
        "ink_box_mm": [round(edge, 4) for edge in (box.left_mm, box.bottom_mm, box.right_mm, box.top_mm)],
        "glyphs": [
            {
                "text": glyph.letter,
                "face": glyph.face,
                "id": glyph.glyph_id,
                "x_mm": round(glyph.x_mm, 4),
                "y_mm": round(glyph.y_mm, 4),
                "angle_deg": round(math.degrees(glyph.angle_rad), 4),
            }
            for glyph in lettering.glyphs
        ],
    }


def _alike(one: Any, other: Any) -> bool:
    if isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        return all(_alike(first, second) for first, second in zip(one, other, strict=True))
    if isinstance(one, float) and isinstance(other, float):
        return abs(one - other) <= LARGEST_MOVE_MM
    return bool(one == other)
