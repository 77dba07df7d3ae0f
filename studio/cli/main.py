"""From arguments to a command: the one road into every command, and the studio when there is none."""

from __future__ import annotations

import os
from collections.abc import Sequence

from studio.basics.errors import SettingsError
from studio.cli.arguments import COMMANDS, TOP_HELP, parser_for
from studio.cli.diagnostics import ExitCode, guarded, say
from studio.cli.stopping import open_missing_streams
from studio.model.options import nearest


def run(argv: Sequence[str]) -> int:
    """Run the program, and return its exit code; nothing is raised."""
    open_missing_streams()
    return int(guarded(lambda: _run(list(argv))))


def _run(argv: list[str]) -> int:
    if not argv:
        return _studio()
    first = argv[0]
    if first in ("-h", "--help", "help"):
        if len(argv) == 2 and argv[1] in COMMANDS:
            return _command(argv[1], ["--help"])
        _help()
        return ExitCode.OK
    if first == "--version":
        from studio import __version__
        from studio.cli.output import write

        write(f"sapwood {__version__}")
        return ExitCode.OK
    if argv == ["--serve"]:
        from studio.tui.serve import serve

        return serve()
    if first in COMMANDS:
        return _command(first, argv[1:])
    if first.startswith("-"):
        raise SettingsError(
            f"{first} is an option, and a command comes first.",
            advice=f"Commands are {', '.join(COMMANDS)}; see sapwood --help.",
        )
    hint = nearest(first, COMMANDS, listed=f"commands are {', '.join(COMMANDS)}")
    raise SettingsError(
        f"There is no command {first[:60]!r}{hint}", advice=f'To make a sign of it: sapwood render "{first[:60]}".'
    )


def _command(command: str, argv: list[str]) -> int:
    """Read a command's options and run it; only what it needs is imported."""
    try:
        arguments = parser_for(command).parse(argv)
    except SystemExit:  # argparse's own way out after --help
        return ExitCode.OK
    if command == "render":
        from studio.cli import render

        return render.run(arguments)
    if command == "check":
        from studio.cli import check

        return check.run(arguments)
    if command == "preview":
        from studio.cli import preview

        return preview.run(arguments)
    if command == "batch":
        from studio.cli import batch

        return batch.run(arguments)
    if command == "press":
        from studio.cli import press

        return press.run(arguments)
    if command == "ruler":
        from studio.cli import ruler

        return ruler.run(arguments)
    if command == "strip":
        from studio.cli import strip

        return strip.run(arguments)
    from studio.cli import listing

    return listing.run(arguments)


def _help() -> None:
    from studio.cli.output import write

    lines = "".join(f"  {name:<9} {what}\n" for name, what in COMMANDS.items())
    write(
        f"{TOP_HELP}{lines}\nsapwood COMMAND --help tells about each. Without a command the studio opens;\n"
        "with --serve alone it opens in a browser on this machine."
    )


def _studio() -> int:
    """Open the studio, or say what to use where there is no terminal for it."""
    from studio.terminal.capabilities import reason_against

    reason = reason_against(os.environ)
    if reason is not None:
        say(f"sapwood: {reason}")
        return ExitCode.USAGE
    from studio.tui.gc_pacing import begin_start

    begin_start()
    from studio.tui.startup import run_studio

    return run_studio()
