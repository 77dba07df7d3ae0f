"""Everything that is said on stderr, and the one place where errors become exit codes.

Invariant: errors map by their type, never by their words; no traceback reaches a person, only the path of the log.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from enum import IntEnum
from typing import Final

from studio.basics.errors import (
    FontError,
    OrderError,
    OutputError,
    PictureError,
    SettingsError,
    StudioError,
    VerificationError,
)
from studio.cli.output import harmless


class ExitCode(IntEnum):
    """How the program ended, for scripts."""

    OK = 0
    """Made."""
    SOME_REFUSED = 1
    """Some signs were refused or failed; the rest are made."""
    USAGE = 2
    """Wrong usage or setting, or an unknown name."""
    INPUT = 3
    """Order list or picture missing or unreadable."""
    FONT = 4
    """Font missing or unusable."""
    OUTPUT = 5
    """Cannot write, or a file of that name is there."""
    VERIFY = 6
    """Written, but did not read back as ordered."""
    INTERNAL = 70
    """A bug in the program; its traceback is in the log."""
    HUNG_UP = 129
    """Stopped since the terminal was closed."""
    INTERRUPTED = 130
    """Stopped with Ctrl+C."""
    TERMINATED = 143
    """Stopped by another program, or by the system shutting down."""


CODES: Final[dict[type[StudioError], ExitCode]] = {
    SettingsError: ExitCode.USAGE,
    OrderError: ExitCode.INPUT,
    PictureError: ExitCode.INPUT,
    FontError: ExitCode.FONT,
    OutputError: ExitCode.OUTPUT,
    VerificationError: ExitCode.VERIFY,
}
"""Kind of error -> exit code."""


def code_of(error: StudioError) -> ExitCode:
    """Return the exit code of an error; a kind that nobody listed is a bug of ours."""
    return next((code for kind, code in CODES.items() if isinstance(error, kind)), ExitCode.INTERNAL)


def say(text: str = "") -> None:
    """Tell something on stderr, after whatever went to stdout before."""
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        raise
    except (OSError, ValueError) as problem:
        raise OutputError(f"The results could not be written: {problem}.", advice="Check where they go.") from problem
    try:
        print(harmless(text), file=sys.stderr, flush=True)
    except (OSError, ValueError):
        return  # nobody listens; the exit code still tells


def guarded(task: Callable[[], int]) -> int:
    """Run a task and return its exit code, whatever happens in it."""
    try:
        code = task()
        sys.stdout.flush()
    except StudioError as error:
        _complain(error)
        return code_of(error)
    except KeyboardInterrupt as stop:
        _say_quietly("Stopped. What was finished stays; nothing is half written.")
        return ExitCode(getattr(stop, "code", ExitCode.INTERRUPTED))
    except BrokenPipeError:
        let_go_of_stdout()  # the reader has seen what it wanted, as `head` does
        return ExitCode.OK
    except OSError as problem:
        if problem.filename is None and problem.errno is not None and _is_stdout_trouble(problem):
            let_go_of_stdout()
            _say_quietly(f"sapwood: The results could not be written: {problem.strerror}.")
            return ExitCode.OUTPUT
        return _bug(problem)
    except MemoryError:
        _say_quietly("sapwood: There is not enough memory. Use a lower --dpi or a smaller picture.")
        return ExitCode.INTERNAL
    except Exception as problem:
        return _bug(problem)
    return code


def _complain(error: StudioError) -> None:
    from studio.cli.wording import advice_of, message_of

    _say_quietly(f"sapwood: {message_of(error)}")
    if advice := advice_of(error):
        _say_quietly(f"  {advice}")


def _say_quietly(text: str) -> None:
    """Say something while ending; whatever is wrong with stdout must not hide it."""
    try:
        sys.stdout.flush()
    except (OSError, ValueError):
        let_go_of_stdout()
    try:
        print(harmless(text), file=sys.stderr, flush=True)
    except (OSError, ValueError):
        return


def _is_stdout_trouble(problem: OSError) -> bool:
    import errno

    return problem.errno in (errno.ENOSPC, errno.EIO, errno.EFBIG, errno.EBADF)


def let_go_of_stdout() -> None:
    """Send what is left of stdout nowhere, so that the interpreter does not complain again when it closes it."""
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)
    except (OSError, ValueError):
        return


def _bug(problem: BaseException) -> ExitCode:
    import traceback

    path = log_trace("".join(traceback.format_exception(problem)))
    _say_quietly(f"sapwood: This is a bug in the program: {type(problem).__name__}.")
    where = f"Details are in {path}; please send that file." if path else "It could not be logged anywhere."
    _say_quietly(f"  {where} Your files are as they were.")
    return ExitCode.INTERNAL


def log_trace(trace: str) -> str | None:
    """Write a traceback into the log and return its path; `None` where no log can be written."""
    from studio.storage import log

    path = log.log_trace(trace, f"sapwood {' '.join(sys.argv[1:])!r}")
    return None if path is None else str(path)
