"""What can go wrong, as one family of errors that carry a sentence and a way out.

Nothing here knows exit codes or streams: the front ends map the classes to their own codes.
"""

from __future__ import annotations


class StudioError(Exception):
    """A mistake in what was asked for or found, told in words a maker can act on.

    Attributes:
        message: What is wrong, where, and by how much.
        advice: What to do about it; may be empty.
    """

    def __init__(self, message: str, *, advice: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.advice = advice

    def __str__(self) -> str:
        return f"{self.message} {self.advice}".rstrip()

    def __reduce__(self) -> tuple[object, ...]:
        return (_rebuilt, (type(self), self.message, self.advice))


def _rebuilt(kind: type[StudioError], message: str, advice: str) -> StudioError:
    """Make the error again on the far side of a process boundary."""
    return kind(message, advice=advice)


class SettingsError(StudioError):
    """An option, a settings file or a name is wrong or unknown."""


class OrderError(StudioError):
    """An order list is missing or cannot be read."""


class PictureError(StudioError):
    """An artwork file is missing, broken, too large or of a kind that cannot be read."""


class FontError(StudioError):
    """A font file is missing, damaged or cannot be used."""


class OutputError(StudioError):
    """A file cannot be written, or one of that name is there already."""


class VerificationError(StudioError):
    """A file was written but did not read back as ordered; it was removed."""
