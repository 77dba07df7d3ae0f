"""Whether another process still runs, which decides what a dead run left behind.

Nothing here ever sends a signal that a process could feel.
"""

from __future__ import annotations

import os
import platform
import re
import sys
import time


def host_tag() -> str:
    """Return the machine's name in at most 24 letters, digits and underscores, fit for a file name."""
    return re.sub(r"[^A-Za-z0-9]+", "_", platform.node())[:24].strip("_") or "here"


def process_alive(pid: int) -> bool:
    """Return whether a process of this number runs on this machine; a finished one not yet reaped counts as dead."""
    if pid <= 0:
        return False
    if sys.platform == "win32":
        return _alive_on_windows(pid)
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except OverflowError:
        return False
    except PermissionError:
        return True
    return not _finished(pid)


def process_age_s(pid: int) -> float | None:
    """Return how many seconds ago a process of this machine began; None where the system does not tell."""
    fields = _stat_fields(pid)
    if len(fields) < 20 or not hasattr(time, "CLOCK_BOOTTIME"):
        return None
    return time.clock_gettime(time.CLOCK_BOOTTIME) - int(fields[19]) / os.sysconf("SC_CLK_TCK")


def _finished(pid: int) -> bool:
    """Return whether the process is a zombie, where the system tells."""
    return _stat_fields(pid)[:1] in ([b"Z"], [b"X"])


def _stat_fields(pid: int) -> list[bytes]:
    """Return the fields of proc_pid_stat(5) from the state on, the third there; none where the system has no such."""
    try:
        with open(f"/proc/{pid}/stat", "rb") as stream:  # noqa: PTH123
            return stream.read(4096).rpartition(b")")[2].split()
    except OSError:
        return []


def _alive_on_windows(pid: int) -> bool:
    """Ask for a handle, since `os.kill(pid, 0)` would send Ctrl+C there."""
    if sys.platform != "win32":
        return False
    import ctypes

    query_limited_information, still_active = 0x1000, 259
    kernel = ctypes.windll.kernel32
    handle = kernel.OpenProcess(query_limited_information, False, pid)
    if not handle:
        return False
    code = ctypes.c_ulong()
    told = kernel.GetExitCodeProcess(handle, ctypes.byref(code))
    kernel.CloseHandle(handle)
    return bool(told) and code.value == still_active
