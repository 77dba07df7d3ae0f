"""`sapwood strip`: the test strip printed, read from a photo, or noted by eye, and kept as a surface.

stdout gets the paths of the files, or the surface's entry; everything else is said on stderr.
"""

from __future__ import annotations

import argparse
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

from studio.basics.errors import SettingsError
from studio.cli.diagnostics import ExitCode, say
from studio.cli.output import write, write_json
from studio.model.options import nearest
from studio.storage.paths import project_settings_file
from studio.storage.workspace import Shop, open_shop

if TYPE_CHECKING:
    from studio.basics.colour import Colour
    from studio.model.surface import Surface
    from studio.strip.reading import StripReading
    from studio.strip.scale import PrintScale

ACTIONS: Final = ("print", "read", "note")


def run(arguments: argparse.Namespace) -> int:
    """Print, read or note a strip."""
    action = arguments.action.lower()
    if action not in ACTIONS:
        hint = nearest(action, ACTIONS, listed=f"there are {', '.join(ACTIONS)}")
        raise SettingsError(
            f"sapwood strip {arguments.action[:40]!r} is not known{hint}", advice="See sapwood strip --help."
        )
    if action != "read" and arguments.picture is not None:
        raise SettingsError(
            f"{arguments.picture[:60]!r} is more than sapwood strip {action} takes.", advice="See sapwood strip --help."
        )
    return {"print": _print, "read": _read, "note": _note}[action](arguments)


def _print(arguments: argparse.Namespace) -> int:
    """Write the strip's print and the page of what to do."""
    from studio.cli.sheets import paper_wish
    from studio.production.strip_files import write_strip

    wish = paper_wish(arguments, _shop().catalogue)
    paths = write_strip(Path(arguments.output or ".").expanduser(), wish=wish, overwrite=arguments.overwrite)
    for path in paths:
        write(str(path))
    say("Print it at 100 % on transfer paper, as it is: it is mirrored already, 120.0 x 70.0 mm (4.72 x 2.76 in).")
    say(
        "Press it with the grain along its long side, by the makers' instructions for press, ink, paper and blank; mind"
    )
    say(f"hot plates and fumes. {paths[1].name} tells each step, and how to read it without a camera.")
    say("Then: sapwood strip read photo.jpg")
    return ExitCode.OK


def _read(arguments: argparse.Namespace) -> int:
    """Read a photo of the pressed strip, tell it, and keep it where that is asked for."""
    if arguments.picture is None:
        raise SettingsError("There is no picture to read.", advice="Write sapwood strip read photo.jpg.")
    if arguments.scanned is not None and arguments.ruler is not None:
        raise SettingsError("--scanned and --ruler both tell the scale.", advice="Give one of them.")
    name = _name(arguments)
    shop = _shop()
    starting = _starting(arguments, shop)
    typed = None
    if arguments.ruler is not None:
        from studio.strip.scale import typed_scale

        typed = typed_scale(arguments.ruler)
    dpi = None if arguments.scanned is None else _dpi(arguments.scanned)
    photo = Path(arguments.picture).expanduser()
    from studio.production.strip_files import found_path, read_photo, write_found
    from studio.strip.words import reading_document, reading_lines

    reference = None if arguments.reference is None else Path(arguments.reference).expanduser()
    read = read_photo(photo, reference=reference)
    scale = typed if dpi is None else _scanned(read.reading, dpi, read.dpi)
    surface = read.surface(starting, name or f"my-{starting.name}", date.today().isoformat())
    if dpi is not None:
        surface = replace(surface, base_colour=_wood_colour(read.reading))
    for line in reading_lines(read.reading, starting, scale):
        say(line)
    target = found_path(photo, None if arguments.output is None else Path(arguments.output).expanduser())
    write_found(target, read.picture)
    say(f"What was found: {target}")
    if arguments.json:
        write_json({**reading_document(read.reading, surface, scale), "picture": str(target)})
    else:
        _write_entry(surface)
    _keep(arguments, surface)
    return ExitCode.OK


def _note(arguments: argparse.Namespace) -> int:
    """Keep what was seen by eye."""
    from studio.basics.units import parse_length_mm
    from studio.strip.noted import LIKELY_ERROR, NotedStrip

    if arguments.gap_along is None or arguments.gap_across is None:
        raise SettingsError(
            "A note needs both gaps.",
            advice="Write sapwood strip note --gap-along 0.8mm --gap-across 0.6mm --line 0.4mm; strip.txt tells "
            "where to look.",
        )
    name = _name(arguments)
    starting = _starting(arguments, _shop())
    line_mm = None if arguments.line is None else parse_length_mm(arguments.line, what="--line")
    noted = NotedStrip(
        parse_length_mm(arguments.gap_along, what="--gap-along"),
        parse_length_mm(arguments.gap_across, what="--gap-across"),
        line_mm,
    )
    surface = replace(
        starting,
        name=name or f"my-{starting.name}",
        spread_mm=max(noted.along_mm, noted.across_mm),
        along_mm=noted.along_mm,
        across_mm=noted.across_mm,
        mixing=None,
        finest=replace(starting.finest, stroke_mm=line_mm, gap_mm=noted.finest_gap_mm, dot_mm=None, counter_mm=None),
        measured=date.today().isoformat(),
        description=f"A test strip pressed on {starting.name}, read by eye",
    )
    say(
        f"Spread along the grain about {noted.along_mm:.2f} mm, across it about {noted.across_mm:.2f} mm, an estimate "
        f"by eye within {LIKELY_ERROR:.0%}; {starting.name} says {starting.spread_along_mm:.2f} and "
        f"{starting.spread_across_mm:.2f} mm ({starting.standing})."
    )
    say(
        f"Finest gap {noted.finest_gap_mm:.2f} mm, as seen" + (f"; finest stroke {line_mm:.2f} mm." if line_mm else ".")
    )
    say("What spreads, dye or light, an eye cannot tell: dots and round holes keep the careful limit of 4 spreads.")
    if arguments.json:
        from studio.strip.words import HONEST

        write_json(
            {
                "surface": surface.name,
                "measured": surface.measured,
                "spread_along_mm": round(noted.along_mm, 4),
                "spread_across_mm": round(noted.across_mm, 4),
                "likely_error": LIKELY_ERROR,
                "finest_gap_mm": noted.finest_gap_mm,
                "finest_stroke_mm": line_mm,
                "note": HONEST,
            }
        )
    else:
        _write_entry(surface)
    _keep(arguments, surface)
    return ExitCode.OK


def _shop() -> Shop:
    shop = open_shop()
    for remark in shop.remarks:
        say(f"note: {remark}")
    return shop


def _starting(arguments: argparse.Namespace, shop: Shop) -> Surface:
    """Return the surface that the strip was pressed on: as typed, else the shop's usual one."""
    from studio.model.options import OPTIONS

    usual = next(option.default for option in OPTIONS if option.key == "surface")
    return shop.catalogue.surface(str(arguments.surface or shop.values.get("surface") or usual))


def _name(arguments: argparse.Namespace) -> str:
    """Return the name to keep it under; empty where it is only shown."""
    from studio.storage.surface_keeping import surface_name

    return "" if arguments.save is None else surface_name(arguments.save, "--save")


def _dpi(text: str) -> float:
    from studio.cli.arguments import whole_number

    return float(whole_number(text.removesuffix("dpi"), "--scanned", 100, 9600))


def _scanned(reading: StripReading, dpi: float, stated: float | None) -> PrintScale:
    from studio.strip.scale import scanned_scale

    if stated is not None and abs(stated / dpi - 1) > 0.01:
        say(f"note: the file states {stated:.0f} dpi, --scanned says {dpi:g}; the second is used.")
    scale = scanned_scale(reading.pose, dpi)
    for side in (scale.long, scale.short):
        if side is not None and abs(side - 1) > 0.1:
            raise SettingsError(
                f"--scanned: at {dpi:g} dpi the strip would be {side:.0%} of its size.",
                advice="Give the density that the scan was made at; a photo has none, leave --scanned out.",
            )
    return scale


def _wood_colour(reading: StripReading) -> Colour:
    """Return the bare wood's colour at the strip's middle, as scanned."""
    import numpy as np

    from studio.basics.colour import Colour
    from studio.render.pixels import codes_of

    middle = np.zeros((1, 2))
    light = np.array([float(reading.view.bare_light(middle, channel)[0]) for channel in range(3)])
    red, green, blue = (int(code) for code in codes_of(light))
    return Colour(red, green, blue)


def _write_entry(surface: Surface) -> None:
    from studio.storage.surface_entry import entry_text

    write(entry_text(surface))


def _keep(arguments: argparse.Namespace, surface: Surface) -> None:
    """Write the surface into the working folder's settings file, or say how."""
    if arguments.save is None:
        say(f"Not kept. Add --save NAME, such as --save {surface.name}, to use it with --surface NAME.")
        return
    from studio.storage.surface_keeping import keep_surface

    file = project_settings_file()
    known = keep_surface(file, surface)
    say(f"{'Replaced' if known else 'Kept'} as surface {surface.name} in {file}: use it with --surface {surface.name}.")
