"""The report of a sign: what was asked for, what came out, every finding; plain values ready for JSON."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any, Final

import freetype
import numpy as np
import pathops
import PIL
import scipy
import uharfbuzz as hb

from studio import __version__
from studio.checks.stroke_and_gap import Thickness
from studio.layout.placement import Composed, PlacedLettering
from studio.model.paper import Paper
from studio.pipeline.make import Product
from studio.pipeline.types import Plan
from studio.proofreading.spell_out import spelled
from studio.render.canvas import canvas_of
from studio.render.paper import fits
from studio.render.png.deflate import DEFLATE_LIBRARY

SCHEMA: Final = 1


def report_of(
    planned: Plan,
    product: Product | None = None,
    files: dict[str, str | None] | None = None,
    papers: Iterable[Paper] = (),
) -> dict[str, Any]:
    """Return the report of a sign.

    Args:
        planned: The sign fitted and checked.
        product: The sign made, when it was: its pixels' digest goes into the report.
        files: Where the files went, by `print`, `proof`, `thumbnail`, `report`.
        papers: Those that are looked through for the ones that the print fits on.

    Raises:
        SettingsError: The canvas has more pixels than can be made.
    """
    sign = planned.sign
    canvas = canvas_of(sign)
    written = {"print": None, "proof": None, "thumbnail": None, "report": None} | (files or {})
    printed = product.print if product is not None else None
    return {
        "schema": SCHEMA,
        "text": sign.letterings[0].text,
        "spelled": planned.spelled[0],
        "order": sign.order,
        "status": planned.status,
        "versions": versions(),
        "blank": {
            "name": sign.blank.name,
            "shape": sign.blank.shape,
            "width_mm": sign.blank.width_mm,
            "height_mm": sign.blank.height_mm,
            "corner_radius_mm": sign.blank.corner_radius_mm,
            "margin_mm": sign.safe_margin_mm,
            "bleed_mm": sign.bleed_mm,
            "holes": [
                {
                    "x_mm": hole.x_mm,
                    "y_mm": hole.y_mm,
                    "diameter_mm": hole.diameter_mm,
                    "clearance_mm": hole.clearance_mm,
                }
                for hole in sign.blank.holes
            ],
        },
        "surface": {
            "name": sign.surface.name,
            "spread_mm": sign.surface.spread_mm,
            "finest_stroke_mm": sign.surface.finest_stroke_mm,
            "finest_gap_mm": sign.surface.finest_gap_mm,
            "finest_dot_mm": sign.surface.finest_dot_mm,
            "finest_counter_mm": sign.surface.finest_counter_mm,
            "standing": sign.surface.standing,
        },
        "profile": None
        if sign.profile is None
        else {
            "name": sign.profile.name,
            "description": sign.profile.description,
            "space": sign.profile.space,
            "sha256": sign.profile.sha256,
            "print_converted": sign.profile.space == "RGB",
        },
        "wood": None
        if sign.wood is None
        else {"name": sign.wood.name, "grain_deg": round(math.degrees(sign.wood.grain_rad), 6)},
        "artwork": None if sign.artwork is None else {"name": sign.artwork.artwork.name, "fit": sign.artwork.fit},
        "lettering": _letterings(planned),
        "findings": [finding.as_json() for finding in planned.findings],
        "canvas": {
            "width_px": canvas.width_px,
            "height_px": canvas.height_px,
            "dpi": canvas.dpi,
            "width_mm": canvas.width_mm,
            "height_mm": canvas.height_mm,
            "waste_mm": sign.waste_mm,
            "mirrored": True,
            "pixels_sha256": None if printed is None else printed.pixels_sha256(),
        },
        "paper": list(fits(canvas.width_mm, canvas.height_mm, papers)),
        "files": written,
    }


def versions() -> dict[str, str]:
    """Return the versions of this program and of the libraries that decide its pixels."""
    freetype_version = ".".join(str(part) for part in freetype.version())
    return {
        "sapwood": __version__,
        "harfbuzz": hb.version_string(),
        "freetype": freetype_version,
        "skia-pathops": pathops.__version__,
        "numpy": np.__version__,
        "scipy": scipy.__version__,
        "pillow": PIL.__version__,
        "deflate": DEFLATE_LIBRARY,
    }


def _letterings(planned: Plan) -> list[dict[str, Any]]:
    if planned.placement is None:
        return [
            {
                "text": order.text,
                "spelled": letters,
                "layout": order.layout,
                "face": order.face.name,
                "face_sha256": None,
                "weight": order.face.weight,
                "spacing": order.spacing,
                "follow": order.follow,
                "em_mm": None,
                "cap_height_mm": None,
                "lines": [],
                "line_cap_mm": [],
                "composed": None,
                "ink_box_mm": None,
                "farthest_mm": None,
                "baseline_radius_mm": None,
                "sweep_deg": None,
                "glyphs": [],
                "thinnest_stroke_mm": None,
                "thinnest_gap_mm": None,
            }
            for order, letters in zip(planned.sign.letterings, planned.spelled, strict=True)
        ]
    pairs = zip(planned.placement.letterings, planned.thickness, strict=True)
    return [_lettering(lettering, fine) for lettering, fine in pairs]


def _composed(composed: Composed | None) -> dict[str, Any] | None:
    """Return why a text is set as it is, with all that was weighed, the one that was set first."""
    if composed is None:
        return None
    return {
        "reason": composed.reason,
        "candidates": [
            {
                "layout": one.layout,
                "lines": list(one.lines),
                "line_cap_mm": [one.cap_mm * size for size in one.line_sizes],
                "score": one.score,
                "is_estimate": one.is_estimate,
                "prices": dict(one.prices),
            }
            for one in composed.candidates
        ],
    }


def _lettering(lettering: PlacedLettering, fine: Thickness) -> dict[str, Any]:
    box = lettering.ink_box
    return {
        "text": lettering.text,
        "spelled": spelled(lettering.text),
        "layout": lettering.layout,
        "face": lettering.face,
        "face_sha256": lettering.face_sha256,
        "weight": lettering.weight,
        "color": lettering.colour.hex,
        "spacing": lettering.spacing,
        "follow": lettering.follow,
        "em_mm": lettering.em_mm,
        "cap_height_mm": lettering.cap_height_mm,
        "lines": list(lettering.lines),
        "line_cap_mm": list(lettering.line_caps_mm),
        "composed": _composed(lettering.composed),
        "ink_box_mm": [box.left_mm, box.bottom_mm, box.right_mm, box.top_mm],
        "farthest_mm": lettering.farthest_mm,
        "baseline_radius_mm": lettering.baseline_radius_mm,
        "sweep_deg": lettering.sweep_deg,
        "offset_mm": lettering.offset_mm,
        "outline_mm": None if lettering.ring is None else lettering.ring.width_mm,
        "glyphs": [
            {
                "cluster": glyph.cluster,
                "text": glyph.letter,
                "face": glyph.face,
                "weight": glyph.weight,
                "scale": glyph.scale,
                "glyph_id": glyph.glyph_id,
                "x_mm": glyph.x_mm,
                "y_mm": glyph.y_mm,
                "angle_deg": math.degrees(glyph.angle_rad),
                "advance_mm": glyph.advance_mm,
            }
            for glyph in lettering.glyphs
        ],
        "thinnest_stroke_mm": fine.thinnest_stroke_mm,
        "thinnest_gap_mm": fine.thinnest_gap_mm,
        "runners_up": list(lettering.runners_up),
    }
