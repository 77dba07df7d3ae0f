"""Paper on the command line: what was typed about it, and sheets told in sentences."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from studio.basics.units import parse_length_mm, spoken_size
from studio.cli.diagnostics import say
from studio.model.options import Value

if TYPE_CHECKING:
    from studio.production.run_sheets import RunSheets
    from studio.sheets.sign_on_paper import Wish
    from studio.sheets.sign_sheets import SignSheets
    from studio.storage.catalogue import Catalogue

_SHOWN_REMARKS: Final = 8


def paper_wish(arguments: argparse.Namespace, catalogue: Catalogue) -> Wish | None:
    """Return how sheets are wanted; `None` when they are not.

    Raises:
        SettingsError: What was typed is wrong.
    """
    typed = {
        name: str(getattr(arguments, key, None) or "")
        for name, key in (
            ("paper", "paper"),
            ("printer", "printer"),
            ("margins", "printer_margins"),
            ("seam", "seam"),
            ("overlap", "overlap"),
        )
    }
    if not any(typed.values()):
        return None
    from studio.production.sign_sheets import SheetOptions, wish_of

    return wish_of(SheetOptions(**typed), catalogue)


def values_for_paper(values: Mapping[str, Value], catalogue: Catalogue, wish: Wish | None) -> dict[str, Value]:
    """Return option values with an artwork that is to fit the paper given its width; others as they are."""
    if values.get("artwork_fit") != "paper":
        return dict(values)
    from studio.production.paper_fit import fitted_to_paper

    fitted, cost = fitted_to_paper(values, catalogue, wish)
    if cost:
        say(f"note: {cost}")
    return fitted


def sheets_lines(sheets: SignSheets, wish: Wish) -> tuple[str, ...]:
    """Return what the maker is told about sheets: how many, where they are joined, how to print them."""
    from studio.production.sign_sheets import printer_remarks

    count = len(sheets.pages)
    page = sheets.pages[0]
    size = spoken_size(page.width_mm, page.height_mm)
    lines = [f"Sheets: {'one sheet' if count == 1 else f'{count} sheets'} of {wish.paper.name}, {size}."]
    if sheets.tiling is not None:
        for seam in sheets.tiling.seams:
            way = f"upright at x {-seam.at_mm:.1f} mm" if seam.is_upright else f"level at y {seam.at_mm:.1f} mm"
            crossed = seam.cost.lettering_mm
            through = f"through {crossed:.1f} mm of lettering" if crossed else "clear of the lettering"
            lines.append(f"  Seam {seam.letter}: {way} as the sign is read, {through}.")
    lines += [*sheets.remarks, *printer_remarks(wish)]
    lines.append(
        "Print the PDF at 100 % (Actual size), not fitted to the page, and lay a ruler on its bar. It is already "
        "mirrored: leave the printer's own mirror off."
    )
    return tuple(lines)


def gap_of(arguments: argparse.Namespace) -> float:
    """Return the gap between signs that share a sheet.

    Raises:
        SettingsError: It is no length.
    """
    from studio.sheets.gang import GAP_MM

    return parse_length_mm(arguments.gap, what="--gap") if arguments.gap else GAP_MM


def run_sheets_lines(laid: RunSheets, wish: Wish) -> tuple[str, ...]:
    """Return what the maker is told about a run's sheets."""
    from studio.production.sign_sheets import printer_remarks

    own = laid.pages - laid.shared
    parts = [
        f"{count} {what}" for count, what in ((laid.shared, "shared by small signs"), (own, "for large signs")) if count
    ]
    sheets = "1 sheet" if laid.pages == 1 else f"{laid.pages} sheets"
    return (
        f"Sheets: {sheets} of {wish.paper.told}, {' and '.join(parts)}; the report says which sign is where.",
        *laid.remarks[:_SHOWN_REMARKS],
        *((f"... and {len(laid.remarks) - _SHOWN_REMARKS} more.",) if len(laid.remarks) > _SHOWN_REMARKS else ()),
        *printer_remarks(wish),
        "Print the PDF at 100 % (Actual size), not fitted to the page, and lay a ruler on its bar.",
    )
