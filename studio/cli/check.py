"""`sapwood check`: how a sign fits and what will blur; nothing is written."""

from __future__ import annotations

import argparse

from studio.basics.units import spoken_size
from studio.cli.diagnostics import ExitCode
from studio.cli.output import write, write_json
from studio.cli.sign import ordered_sign
from studio.cli.summary import finding_lines, fit_lines
from studio.pipeline.plan import plan

_VERDICTS = {"ok": "Good to print.", "warn": "Printable, with warnings.", "refused": "Refused."}


def run(arguments: argparse.Namespace) -> int:
    """Fit and check the sign, and tell what was found."""
    sign, assets = ordered_sign(arguments)
    planned = plan(sign, assets, strict=arguments.strict)
    if arguments.json:
        from studio.pipeline.sign_report import report_of

        write_json(report_of(planned, papers=assets.catalogue.papers))
    else:
        size = spoken_size(sign.blank.width_mm, sign.blank.height_mm)
        write(f"{sign.blank.name}, {size}, {sign.surface.name} ({sign.surface.standing})")
        for line in (*fit_lines(planned), *finding_lines(planned.findings), _VERDICTS[planned.status]):
            write(line)
    return ExitCode.SOME_REFUSED if planned.status == "refused" else ExitCode.OK
