"""The studio in a browser on this machine: an optional extra, `pip install 'sapwood[serve]'`.

Invariant: it listens on this machine alone, since there is no login; every page is a studio of its own.
"""

from __future__ import annotations

import importlib
import shlex
import sys
from typing import Final

from studio.basics.errors import SettingsError

HOST: Final = "127.0.0.1"
PORT: Final = 8750
_PAGE: Final = "--page"


def serve(port: int = PORT) -> int:
    """Serve the studio until Ctrl+C, and return the exit code.

    Args:
        port: On this machine.

    Raises:
        SettingsError: The extra is not installed, or the port cannot be used.
    """
    try:
        server = importlib.import_module("textual_serve.server")
    except ImportError as problem:
        raise SettingsError(
            "The studio cannot be served: a library is missing.", advice="Install it with pip install 'sapwood[serve]'."
        ) from problem
    command = f"{shlex.quote(sys.executable)} -m studio.tui.serve {_PAGE}"
    try:
        server.Server(command, host=HOST, port=port, title="Sapwood").serve()
    except OSError as problem:
        raise SettingsError(
            f"The port {port} of this machine cannot be used: {problem.strerror or problem}.",
            advice="Is the studio served already? Close that one first.",
        ) from problem
    return 0


def _page() -> None:
    """Run one visitor's studio; the browser is its terminal."""
    from studio.tui.startup import open_app

    open_app().run()


if __name__ == "__main__":
    if _PAGE in sys.argv[1:]:
        _page()
    else:
        sys.exit(serve())
