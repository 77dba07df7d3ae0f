"""A folder shown in the system's own file window."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path


def show_folder(folder: Path) -> bool:
    """Open a folder outside the terminal, and tell whether there is anything here that can."""
    command = {"darwin": "open", "win32": "explorer"}.get(sys.platform, "xdg-open")
    has_screen = sys.platform != "linux" or os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    program = shutil.which(command)
    if program is None or not has_screen:
        return False
    try:
        subprocess.Popen(
            [program, str(folder)], stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
    except OSError:
        return False
    return True
