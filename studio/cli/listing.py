"""`sapwood list`: what there is to choose from."""

from __future__ import annotations

import argparse
from typing import Any

from studio.basics.errors import SettingsError
from studio.basics.units import spoken_size
from studio.cli.arguments import LISTS
from studio.cli.diagnostics import ExitCode, say
from studio.cli.output import write_json, write_table
from studio.model.artwork import Artwork
from studio.model.blank import Blank
from studio.model.options import nearest
from studio.model.paper import Paper
from studio.model.printer import Printer
from studio.model.surface import Surface
from studio.storage.fonts import FaceEntry
from studio.storage.workspace import open_shop


def run(arguments: argparse.Namespace) -> int:
    """List one kind of thing, as a table or as JSON."""
    kind = arguments.kind.lower()
    if kind not in LISTS:
        hint = nearest(kind, LISTS, listed=f"lists are {', '.join(LISTS)}")
        raise SettingsError(f"There is no list of {arguments.kind[:40]!r}{hint}", advice="See sapwood list --help.")
    shop = open_shop()
    for remark in shop.remarks:
        say(f"note: {remark}")
    catalogue = shop.catalogue
    described = {
        "blanks": [_blank(blank) for blank in catalogue.blanks],
        "surfaces": [_surface(surface) for surface in catalogue.surfaces],
        "artwork": [_artwork(artwork) for artwork in catalogue.artworks],
        "faces": [_face(face) for face in catalogue.faces],
        "papers": [_paper(paper) for paper in catalogue.papers],
        "printers": [_printer(printer) for printer in catalogue.printers],
    }[kind]
    if arguments.json:
        write_json({kind: [values for values, _ in described]})
    else:
        write_table([cells for _, cells in described])
    return ExitCode.OK


def _blank(blank: Blank) -> tuple[dict[str, Any], tuple[str, ...]]:
    holes = [{"x_mm": hole.x_mm, "y_mm": hole.y_mm, "diameter_mm": hole.diameter_mm} for hole in blank.holes]
    values = {
        "name": blank.name,
        "shape": blank.shape,
        "width_mm": blank.width_mm,
        "height_mm": blank.height_mm,
        "corner_radius_mm": blank.corner_radius_mm,
        "holes": holes,
        "description": blank.description,
    }
    return values, (blank.name, blank.shape, spoken_size(blank.width_mm, blank.height_mm), blank.description)


def _surface(surface: Surface) -> tuple[dict[str, Any], tuple[str, ...]]:
    values = {
        "name": surface.name,
        "spread_mm": surface.spread_mm,
        "finest_stroke_mm": surface.finest_stroke_mm,
        "finest_gap_mm": surface.finest_gap_mm,
        "standing": surface.standing,
        "base_color": surface.base_colour.hex,
        "description": surface.description,
    }
    finest = f"spread {surface.spread_mm:.2f} mm, finest stroke {surface.finest_stroke_mm:.2f} mm"
    return values, (surface.name, finest, surface.standing, surface.description)


def _artwork(artwork: Artwork) -> tuple[dict[str, Any], tuple[str, ...]]:
    values = {
        "name": artwork.name,
        "title": artwork.title,
        "description": artwork.description,
        "width_mm": artwork.width_mm,
        "height_mm": artwork.height_mm,
        "width_px": artwork.width_px,
        "height_px": artwork.height_px,
        "full_bleed": artwork.full_bleed,
        "lettering_color": None if artwork.lettering_colour is None else artwork.lettering_colour.hex,
        "file": artwork.source,
    }
    stated = artwork.width_mm is not None and artwork.height_mm is not None
    size = spoken_size(artwork.width_mm or 0, artwork.height_mm or 0) if stated else "covers the blank"
    return values, (artwork.name, size, artwork.description)


def _paper(paper: Paper) -> tuple[dict[str, Any], tuple[str, ...]]:
    height_mm = None if paper.is_roll else paper.height_mm
    values = {
        "name": paper.name,
        "width_mm": paper.width_mm,
        "height_mm": height_mm,
        "roll": paper.is_roll,
        "description": paper.description,
    }
    size = f"roll {paper.width_mm:.1f} mm" if height_mm is None else spoken_size(paper.width_mm, height_mm)
    return values, (paper.name, size, paper.description)


def _printer(printer: Printer) -> tuple[dict[str, Any], tuple[str, ...]]:
    edge = printer.margins
    values = {
        "name": printer.name,
        "paper": printer.paper,
        "margins_mm": {
            "left": edge.left_mm,
            "bottom": edge.bottom_mm,
            "right": edge.right_mm,
            "top": edge.top_mm,
        },
        "scale_across": printer.scale_across,
        "scale_feed": printer.scale_feed,
        "skew": printer.skew,
        "measured": printer.measured,
        "measured_paper": printer.measured_paper,
    }
    margins = f"margins {edge.left_mm:g}, {edge.bottom_mm:g}, {edge.right_mm:g}, {edge.top_mm:g} mm"
    scale = f"measured {printer.measured}" if printer.is_measured else "scale not measured"
    return values, (printer.name, printer.paper, margins, scale)


def _face(face: FaceEntry) -> tuple[dict[str, Any], tuple[str, ...]]:
    values = {
        "name": face.name,
        "kind": face.kind,
        "connected": face.connected,
        "weights": None if face.weights is None else list(face.weights),
        "good_weight": face.good_weight,
        "scripts": list(face.scripts),
        "licence": face.licence,
        "provenance": face.provenance,
        "shipped": face.is_shipped,
        "file": str(face.file),
    }
    weights = "" if face.weights is None else f"{face.weights[0]:g} to {face.weights[1]:g}"
    return values, (face.name, face.kind, weights, ", ".join(face.scripts))
