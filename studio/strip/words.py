"""The strip in words: what to do with it, what a photo of it told, and the reading as a document."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from studio.model.dye import Mixing, growth_spreads
from studio.model.surface import FinestMarks, Surface
from studio.strip.ladders import Finest, finest
from studio.strip.layout import COUNTERS_MM, DOTS_MM, HEIGHT_MM, RINGS_MM, WIDTH_MM, WIDTHS_MM
from studio.strip.reading import StripReading
from studio.strip.scale import PrintScale

HONEST: Final = (
    "Measured on one strip by a Gaussian model; 70 % and 50 % are the grades that bar codes are judged by. It says "
    "what this strip did, not that a sign will hold: press a first sign as a trial."
)
_LABEL: Final = 22
_MIXING: Final[dict[Mixing, str]] = {
    "dye": "Dye itself spreads: strokes gain weight, gaps and the insides of letters fill.",
    "cover": "Light alone is blurred, dye stays where it is: strokes and gaps fade alike.",
}


def how_to(file_name: str) -> str:
    """Return the page of what to do, in plain words.

    Args:
        file_name: What the strip's file is called.
    """
    thick_first = ", ".join(f"{width:g}" for width in reversed(WIDTHS_MM))
    return f"""\
THE TEST STRIP: what to do
==========================

It tells how far dye spreads in your own wood, with your paper, ink and press. Every warning of thin strokes
and narrow gaps goes by that figure.

You need
  {file_name}   {WIDTH_MM:g} x {HEIGHT_MM:g} mm, mirrored already
  a flat piece of the wood you make signs of, at least {WIDTH_MM:g} x {HEIGHT_MM:g} mm (a 6 in round is large enough)
  the transfer paper, ink, press, heat and time that you use for signs

1. Print
   Print the file at 100 % (no "fit to page") on transfer paper, with the printer settings you use for signs.
   It is mirrored already: leave the driver's own mirror setting off.
   Lay a steel ruler on the print: the long ruler should read 100 mm between its outer ticks, the upright one
   60 mm. If not, note what you read.

2. Press
   Lay the wood so that its grain runs along the long side of the strip, as the arrow says.
   Press it as you press a sign. The makers' instructions for press, ink, paper and blank come first; mind hot
   plates, fumes and moving air; keep children away.
   Let it cool before you touch or photograph it.

3. Take a picture
   A phone: from straight above, the whole strip in the picture and filling it, daylight or even light, no
   flash, no glare, no shadow of yours. Tap the strip to focus. Turn off filters and "beauty" modes.
   A scanner: 600 dpi, colour, no sharpening.
   Better still, photograph the printed paper in the same way before you press it: --reference.

4. Read it
   sapwood strip read photo.jpg
   sapwood strip read photo.jpg --reference paper.jpg
   sapwood strip read scan.png --scanned 600
   sapwood strip read photo.jpg --ruler 100mm=99.4mm,60mm=59.8mm
   Add --save NAME, such as --save maple-film, to keep it as a surface of that name, and make signs with
   --surface NAME from then on.

Without a camera
   Look at the pressed strip from reading distance, in good light.
   In the row of gaps (the black bar at the top left) find the narrowest gap that stays open from end to end:
   that is --gap-along. Do the same in the column of gaps: --gap-across. In the row of lines find the thinnest
   line as dark as the squares: --line.
   Widths from the thick end, in mm: {thick_first}
   sapwood strip note --gap-along 0.8mm --gap-across 0.6mm --line 0.4mm --save NAME

{HONEST}
"""


def reading_lines(reading: StripReading, starting: Surface, scale: PrintScale | None = None) -> list[str]:
    """Return what a photo told, a sentence a line.

    Args:
        reading: The reading.
        starting: The surface that it is held against.
        scale: How true to size it was printed, where that is known.
    """
    spread, mixed = reading.spread, reading.mixed
    other: Mixing = "cover" if reading.mixing == "dye" else "dye"
    whole = len(RINGS_MM)
    lines = [
        f"Strip found: {len(reading.pose.rings)} of {whole} ring marks, {reading.px_per_mm:.1f} pixels a mm, turned "
        f"{reading.pose.turn_deg:.0f} degrees{', seen mirrored' if reading.is_mirrored else ''}.",
        *reading.remarks,
        f"Spread along the grain {spread.along_mm:.2f} mm (likely within {spread.along_error_mm:.2f}), across it "
        f"{spread.across_mm:.2f} mm (likely within {spread.across_error_mm:.2f}); {starting.name} says "
        f"{starting.spread_along_mm:.2f} and {starting.spread_across_mm:.2f} mm ({starting.standing}).",
        f"{_MIXING[reading.mixing]} Misfit {mixed.misfits[reading.mixing]:.1f}, the other way "
        f"{mixed.misfits[other]:.1f}.",
        f"Edges grow by {reading.growth_mm:.2f} mm, told at half the light; the model expects "
        f"{growth_spreads(reading.density, reading.mixing) * (spread.along_mm + spread.across_mm) / 2:.2f} mm.",
        f"A solid keeps {reading.solid:.0%} of the wood's light: density {reading.density:.2f}.",
        "Tones: " + ", ".join(f"{tint.asked:.0%} comes out as {tint.came_out:.0%}" for tint in reading.tints) + ".",
        *finest_lines(reading),
        f"Edges are ragged by {reading.raggedness_mm:.3f} mm; bare wood varies by {reading.bare_noise:.1%}.",
    ]
    if scale is None:
        lines.append(
            "Scale: a photo cannot tell it. Give --ruler with what your ruler says, or --scanned with the dpi."
        )
    else:
        told = [
            f"{value:.2%} along the {side} side"
            for side, value in (("long", scale.long), ("short", scale.short))
            if value is not None
        ]
        lines.append(f"Scale, from {scale.source}: {', '.join(told)} of true size.")
    lines.append(HONEST)
    return lines


def finest_lines(reading: StripReading) -> list[str]:
    """Return the finest marks that keep 70 % of their contrast, a sentence a line."""
    line_along, line_across = reading.finest_both("line")
    gap_along, gap_across = reading.finest_both("gap")
    dot, hole = finest(reading.rungs, "dot"), finest(reading.rungs, "counter")
    return [
        f"Finest stroke that keeps 70 %: {_told(line_along, WIDTHS_MM)} along, {_told(line_across, WIDTHS_MM)} across "
        f"the grain; finest gap: {_told(gap_along, WIDTHS_MM)} along, {_told(gap_across, WIDTHS_MM)} across.",
        f"Finest dot: {_told(dot, DOTS_MM)}; finest round hole: {_told(hole, COUNTERS_MM)}. The camera's own blur is "
        "in these figures.",
    ]


def measured_surface(reading: StripReading, starting: Surface, name: str, day: str) -> Surface:
    """Return the surface that a reading makes.

    Args:
        reading: The reading.
        starting: The surface whose colour and wood it keeps.
        name: What it is to be called.
        day: The day of the measurement, as 2026-05-31.
    """
    least_mm = 0.01
    along_mm, across_mm = max(reading.spread.along_mm, least_mm), max(reading.spread.across_mm, least_mm)
    return Surface(
        name=name,
        spread_mm=max(along_mm, across_mm),
        base_colour=starting.base_colour,
        description=f"Measured with a test strip pressed on {starting.name}",
        along_mm=along_mm,
        across_mm=across_mm,
        mixing=reading.mixing,
        solid_density=round(reading.density, 2),
        finest=FinestMarks(
            _worse(reading.finest_both("line")),
            _worse(reading.finest_both("gap")),
            finest(reading.rungs, "dot").width_mm,
            finest(reading.rungs, "counter").width_mm,
        ),
        measured=day,
        wood=starting.wood,
    )


def figure_lines(reading: StripReading, found: Surface, starting: Surface) -> list[str]:
    """Return the figures of a reading beside those of the surface that it is held against, a line each.

    Args:
        reading: The reading.
        found: The surface that it makes.
        starting: The surface that the strip was pressed on.
    """
    rows = (
        ("spread along", f"{found.spread_along_mm:.2f} mm", f"{starting.spread_along_mm:.2f} mm"),
        ("spread across", f"{found.spread_across_mm:.2f} mm", f"{starting.spread_across_mm:.2f} mm"),
        ("finest stroke", f"{found.finest_stroke_mm:.2f} mm", f"{starting.finest_stroke_mm:.2f} mm"),
        ("finest gap", f"{found.finest_gap_mm:.2f} mm", f"{starting.finest_gap_mm:.2f} mm"),
        ("finest dot", f"{found.finest_dot_mm:.2f} mm", f"{starting.finest_dot_mm:.2f} mm"),
        ("finest round hole", f"{found.finest_counter_mm:.2f} mm", f"{starting.finest_counter_mm:.2f} mm"),
        ("solid density", f"{found.solid_density:.2f}", f"{starting.solid_density:.2f}"),
    )
    head = f"{'':<{_LABEL}}{'this strip':<14}{starting.name} ({starting.standing})"
    spread = reading.spread
    return [
        head,
        *(f"{name:<{_LABEL}}{ours:<14}{theirs}" for name, ours, theirs in rows),
        f"Likely within {spread.along_error_mm:.2f} mm along and {spread.across_error_mm:.2f} mm across.",
        "Dye itself spreads." if reading.mixing == "dye" else "Light alone is blurred.",
        *reading.remarks,
        HONEST,
    ]


def reading_document(reading: StripReading, surface: Surface, scale: PrintScale | None) -> dict[str, Any]:
    """Return a reading as a document for other programs: plain numbers, texts and lists."""
    spread, kinds = reading.spread, ("line", "gap", "dot", "counter")
    return {
        "surface": surface.name,
        "measured": surface.measured,
        "rings_found": len(reading.pose.rings),
        "rings_missing": list(reading.missing),
        "px_per_mm": round(reading.px_per_mm, 3),
        "turn_deg": round(reading.pose.turn_deg, 2),
        "mirrored": reading.is_mirrored,
        "ring_residual_px": round(reading.pose.residual_px, 3),
        "spread_along_mm": round(spread.along_mm, 4),
        "spread_along_error_mm": round(spread.along_error_mm, 4),
        "spread_across_mm": round(spread.across_mm, 4),
        "spread_across_error_mm": round(spread.across_error_mm, 4),
        "mixing": reading.mixing,
        "misfits": {name: round(value, 3) for name, value in reading.mixed.misfits.items()},
        "edge_growth_mm": round(reading.growth_mm, 4),
        "raggedness_mm": round(reading.raggedness_mm, 4),
        "solid_density": round(reading.density, 3),
        "camera_blur_mm": round(reading.camera_mm, 4),
        "tone_curve": [{"asked": tint.asked, "came_out": round(tint.came_out, 4)} for tint in reading.tints],
        "finest": {
            "stroke_along_mm": reading.finest_both("line")[0].width_mm,
            "stroke_across_mm": reading.finest_both("line")[1].width_mm,
            "gap_along_mm": reading.finest_both("gap")[0].width_mm,
            "gap_across_mm": reading.finest_both("gap")[1].width_mm,
            "dot_mm": finest(reading.rungs, "dot").width_mm,
            "counter_mm": finest(reading.rungs, "counter").width_mm,
        },
        "ladders": {kind: _rungs(reading, kind) for kind in kinds},
        "patches": {
            patch.name: [round(density, 3) for density in patch.densities] for patch in reading.patches
        },
        "scale": None if scale is None else {"long": scale.long, "short": scale.short, "source": scale.source},
        "remarks": list(reading.remarks),
    }  # fmt: skip


def _rungs(reading: StripReading, kind: str) -> list[dict[str, Any]]:
    return [
        {"width_mm": rung.width_mm, "direction": rung.direction, "kept": round(rung.kept, 4), "grade": rung.grade}
        for rung in reading.rungs
        if rung.kind == kind
    ]


def _worse(both: Iterable[Finest]) -> float | None:
    """Return the wider of two directions; `None` where one of them keeps nothing."""
    widths = [each.width_mm for each in both]
    known = [width for width in widths if width is not None]
    return max(known) if len(known) == len(widths) else None


def _told(found: Finest, widths_mm: tuple[float, ...]) -> str:
    if found.width_mm is None:
        return f"none, over {max(widths_mm):g} mm"
    return f"{'under ' if found.is_finest_rung else ''}{found.width_mm:.2f} mm"
